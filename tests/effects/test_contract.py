"""What every registered effect keeps, whoever wrote it."""

from __future__ import annotations

import numpy as np
import pytest

from effects import Layer, Scheme, asked, bind, effects
from effects.place import place

FPS = 40
PALETTE = ("#ff0000", "#00ff00", "#0000ff")
ZONES = ("eave", "gable")
everything = pytest.mark.parametrize("effect", effects().values(), ids=lambda effect: effect.name)


def shown(house, effect, settings=None, zones=ZONES, direction="forward", palette=PALETTE):
    layer = Layer(effect.name, zones, palette, settings or {}, direction, seed=3)
    return bind(house, Scheme("test", "", (layer,), colour="raw", fps=FPS))


def corners(effect):
    """The defaults, then each parameter at its lowest and highest."""
    yield {}
    for parameter in effect.parameters:
        yield {parameter.name: parameter.low}
        yield {parameter.name: parameter.high}


def field(house, effect, time_s, settings=None, colours=3, zones=ZONES):
    _, where = place(house, zones)
    position, level = effect.field(
        time_s[:, None], where, effect.settle(settings or {}), colours, 3
    )
    shape = (len(time_s), len(where.along_m))
    return np.broadcast_to(position, shape), np.broadcast_to(level, shape), where


@everything
def test_help_and_parameters_say_what_they_are(effect):
    assert effect.help
    assert not effect.help.endswith(".")
    for parameter in effect.parameters:
        assert parameter.help
        assert parameter.low < parameter.high
        assert parameter.wrong(parameter.default) is None
        assert parameter.unit in {"", "m", "m/s", "s", "/s", "/min", "deg"}
    names = [parameter.name for parameter in effect.parameters]
    assert len(set(names)) == len(names)
    assert not {"direction", "seed"} & set(names)  # the engine's own


@everything
def test_shape_range_and_finite(effect, wall):
    time_s = np.concatenate([np.arange(200) / FPS, [0.0, 1e5, 3.2e7]])
    for settings in corners(effect):
        position, level, _ = field(wall, effect, time_s, settings)
        assert position.dtype == level.dtype == np.float32
        assert np.isfinite(position).all()
        assert level.min() >= 0, settings
        assert level.max() <= 1 + 1e-6, settings


@everything
def test_is_seen(effect, wall):
    assert asked(shown(wall, effect), np.arange(0, 60, 0.25)).max() > 0.5


@everything
def test_same_twice_and_any_frame_first(effect, wall):
    time_s = np.arange(300) / FPS + 1234.5
    show = shown(wall, effect)
    many = asked(show, time_s)
    assert np.array_equal(many, asked(show, time_s))
    for frame in (299, 0, 123):
        assert np.array_equal(many[frame], asked(show, time_s[frame : frame + 1])[0])


@everything
@pytest.mark.parametrize("direction", ["forward", "backward", "inward", "outward"])
def test_order_and_splitting_of_runs_do_not_matter(effect, direction, wall, split):
    time_s = np.linspace(0, 100, 41)
    one = asked(shown(wall, effect, direction=direction), time_s)
    two = asked(shown(split, effect, direction=direction), time_s)
    here, there = (np.lexsort(h.pixels.xy_m.round(4).T) for h in (wall, split))
    assert np.allclose(wall.pixels.xy_m[here], split.pixels.xy_m[there])
    # Lengths are added up in another order: float32 rounding, as seen through steep edges.
    assert np.abs(one[:, here] - two[:, there]).max() < 2e-2


@everything
def test_changes_no_faster_than_it_says(effect, wall):
    """The share of each palette colour in a pixel, joined straight, obeys the stated rate."""
    fps, colours = 200, 3
    for settings in corners(effect):
        settled = effect.settle(settings)
        for start_s in (0.0, 977.0):
            time_s = start_s + np.arange(800) / fps
            position, level, where = field(
                wall, effect, time_s, settings, colours, zones=("rake-left",)
            )
            most = effect.change_per_s(settled, colours, where)
            for colour in range(colours):
                away = np.abs((position - colour + colours / 2) % colours - colours / 2)
                share = level * np.maximum(0, 1 - away)
                jump = np.abs(np.diff(share, axis=0)).max()
                assert jump <= most / fps + 3e-4, (settings, start_s, jump * fps, most)


@everything
def test_repeats_after_its_period(effect, wall):
    _, where = place(wall, ZONES)
    for settings in corners(effect):
        period_s = effect.period_s(effect.settle(settings), 3, where)
        if period_s is None:
            continue
        time_s = np.linspace(0, 12, 61) + 0.0137
        show = shown(wall, effect, settings)
        again = asked(show, time_s + (period_s or 7.31))
        assert np.abs(asked(show, time_s) - again).max() < 2e-2, settings


@everything
def test_another_seed_changes_only_what_is_random(effect, wall):
    time_s = np.array([[12.3]])
    _, where = place(wall, ZONES)
    settings = effect.settle({})
    one, other = (effect.field(time_s, where, settings, 3, seed) for seed in (1, 2))
    random = effect.period_s(settings, 3, where) is None
    same = all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))
    assert same != random


@everything
def test_looks_the_same_on_finer_pixels(effect, build):
    """Physical sizes: 30 and 120 pixels a metre show the same picture, seen from afar."""
    text = (
        "runs: [{{name: eave, pixels: ws2813, path: [[1, 3], [9, 3]], count: {}, aim: down,"
        " standoff: 0.1, profile: bare}}]\n"
    )
    counted = effect.parameter("every") is not None and effect.parameter("every").whole
    if counted or effect.name in {"twinkle", "glint"}:
        pytest.skip("its grain is the pixel itself")
    time_s = np.linspace(3, 40, 12)
    coarse, fine = (
        asked(shown(build(text.format(n)), effect, zones=("eave",)), time_s) for n in (240, 960)
    )
    metre = (8, 30), (8, 120)
    means = [
        frames.reshape(len(time_s), *size, 3).mean(axis=2)
        for frames, size in zip((coarse, fine), metre, strict=True)
    ]
    assert np.abs(means[0] - means[1]).max() < 0.06
