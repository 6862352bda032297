"""Layers laid by compiled code, against the plain arrays of the effects: bit for bit."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from effects import Layer, Scheme, asked, bind
from effects.palette import ring
from effects.registry import effects
from effects.show import ShownPart
from layouts import house_from
from sim.composed import lay
from sim.composed.laying import mix

HOUSE = {
    "name": "test",
    "drawing": {"size": [20, 6]},
    "runs": [
        {"name": "eave", "pixels": "sk6812", "path": [[1, 3], [3, 3]]},
        {"name": "porch", "pixels": "sk6812", "path": [[6, 3], [7, 3]]},
        {"name": "gable", "pixels": "sk6812", "path": [[3, 3], [4, 5], [5, 3]]},
    ],
}
BLENDS = ("over", "add", "lighten", "multiply")


@pytest.fixture(scope="module")
def house():
    return house_from(HOUSE, file="house.yaml")


@pytest.mark.parametrize("name", sorted(effects()))
@pytest.mark.parametrize("colour", ["matched", "raw"])
def test_every_effect_is_laid_as_by_plain_arrays(house, name, colour):
    """On all, on neighbours, and on zones that are apart; with every blend, some half seen."""
    palette = ("#ff8000", "#1020ff", "#ffffff")
    zones = (("all",), ("porch",), ("eave", "gable"), ("all",))
    layers = tuple(
        Layer(name, palette=palette, zones=zone, blend=blend, opacity=opacity)
        for zone, blend, opacity in zip(zones, BLENDS, (1.0, 0.6, 1.0, 0.3), strict=True)
    )
    # a green beyond sRGB is negative in red and blue, and so is what a layer of no cover is laid on
    base = Layer("steady", palette=("#808080", "oklch(0.7 0.35 145)"))
    show = bind(house, Scheme("s", "", (base, *layers), colour=colour))
    time_s = np.concatenate([np.arange(30) / 40, [77.7, 1e5]])
    wanted = asked(show, time_s)
    assert np.array_equal(wanted, asked(show, time_s, lay))
    assert (asked(replace(show, layers=show.layers[:1]), time_s).min() < 0) == (colour == "matched")


def test_plain_fields_are_asked_for_a_few_frames_at_a_time(house, monkeypatch):
    asked_for = []
    tide = effects()["tide"]

    def field(time_s, *rest):
        asked_for.append(len(time_s))
        return tide.field(time_s, *rest)

    show = bind(house, Scheme("s", "", (Layer("tide"),)))
    counted = replace(show.layers[0], effect=replace(tide, field=field))
    time_s = np.arange(30) / 40
    monkeypatch.setattr("sim.composed.laying.BLOCK", 7 * show.pixels)
    found = asked(replace(show, layers=(counted,)), time_s, lay)
    assert asked_for == [7, 7, 7, 7, 2]
    assert np.array_equal(found, asked(show, time_s))


@pytest.mark.parametrize("which", [0, 1])
@pytest.mark.parametrize(("frames", "pixels"), [(29, 0), (30, -1), (30, 1)])
def test_a_field_of_another_size_is_refused_as_by_plain_arrays(house, which, frames, pixels):
    """Of a field of another package compiled code would read what lies beside it in memory."""

    def field(time_s, place, *rest):
        found = [np.zeros((1, 1), np.float32)] * 2
        found[which] = np.zeros((frames, len(place.along_m) + pixels), np.float32)
        return found

    show = bind(house, Scheme("s", "", (Layer("tide"),)))
    changed = replace(show.layers[0], effect=replace(effects()["tide"], field=field))
    for how in (None, lay):
        with pytest.raises(ValueError, match="broadcast"):
            asked(replace(show, layers=(changed,)), np.arange(30) / 40, how)


def test_the_end_of_the_ring_is_its_start():
    """Also for positions below zero, and for one that rounding has brought to the very end."""
    table = ring(("#ff0000", "#00ff00"), "raw")
    bound = SimpleNamespace(ring=table, colours=2, layer=SimpleNamespace(blend="over"))
    part = ShownPart(None, slice(0, 5))
    out = np.zeros((1, 5, 3), np.float32)
    all_of_it = np.ones((1, 1), np.float32)
    mix(out, bound, part, np.float32([0, 2, -2, 1.9999999, -1e-9]), all_of_it, all_of_it)
    assert np.array_equal(out[0], table[np.zeros(5, int), :3])
