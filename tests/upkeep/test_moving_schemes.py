"""What is broken is found as well while a scheme moves or has dark gaps as while one stands still.

A few of the faults that `tests/bench/bench_moving_schemes.py` counts on the demo houses.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from effects import Show, bind
from effects.load import scheme_from_text
from layouts import house_from
from layouts.faults import Fault
from layouts.records import House
from layouts.sightings import sightings_from_text
from sim.frame import Rig, on_wire, rig_for
from sim.upkeep.diagnosis import diagnose
from sim.upkeep.diagnosis import shown as shown_module
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.predicted import LIT

SCHEMES = {
    "still": "{zones: all, effect: steady, palette: ['#ffffff']}",
    # Half of it dark at any time, every pixel lit half of the time.
    "chase": "{zones: all, effect: chase, palette: ['#ff0000', '#00ff00'],"
    " set: {band: 0.6, gap: 0.6, speed: 0.12}}",
    "glints": "{zones: all, effect: glint, palette: ['#ffffff'], set: {rate: 8, length: 0.8}}",
}
FAULTS = {
    "dead": Fault("dead", "eave", 31),
    "garbage": Fault("garbage", "eave", 31),
    "blown": Fault("blown", wire=2),
    "open-wire": Fault("open", wire=2, conductor="plus"),
}


@pytest.fixture(scope="module")
def bench() -> Iterator[ModuleType]:
    """The bench of moving schemes, which watches and tells."""
    folder = str(Path(__file__).parents[1] / "bench")
    sys.path.insert(0, folder)
    try:
        yield importlib.import_module("bench_moving_schemes")
    finally:
        sys.path.remove(folder)


@pytest.fixture(scope="module")
def house() -> House:
    """Two runs on ports of their own, fed apart; a wire feeds the end of the long one alone."""
    runs = [{"name": "eave", "pixels": "ws2811-12v-group3", "path": [[0, 3], [6, 3]], "count": 60},
            {"name": "porch", "pixels": "ws2811-12v-group3", "path": [[0, 2], [2, 2]], "count": 20,
             "cuts": [10]}]  # fmt: skip
    feeds = [{"from": "box", "to": to, "wire": "16 AWG", "length": 2, "fuse": 5}
             for to in ("eave[30]", "porch.start", "porch.end")]  # fmt: skip
    head = {"format": "evenfall-house/1", "name": "Two", "drawing": {"size": [8, 4]}}
    outputs = [{"name": f"port {run['name']}", "chain": [run["name"]]} for run in runs]
    supply = {"name": "box", "volts": 12, "amps": 10, "source_ohm": 0.005}
    return house_from(
        {**head, "runs": runs, "supplies": [supply], "wires": feeds, "outputs": outputs}
    )


@pytest.fixture(scope="module")
def watched(bench: ModuleType, house: House) -> dict[str, object]:
    made = {}
    for name, layer in SCHEMES.items():
        text = f"format: evenfall-scheme/1\nname: {name}\nlayers:\n  - {layer}\n"
        scheme = scheme_from_text(text, f"{name}.scheme.yaml", house)
        made[name] = bench.evening(rig_for(house, scheme), bind(house, scheme))
    return made


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("kind", FAULTS)
def test_found_whatever_is_shown(
    bench: ModuleType, watched: dict[str, object], kind: str, scheme: str
) -> None:
    there, fault = watched[scheme], FAULTS[kind]
    looks = bench.watched_looks(there, (fault,))
    real = bench.Truth(kind, (fault,), -1, {}, {})
    assert bench.rank(there, real, bench.honest(there.of.rig.house, looks)) <= 3


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_house_in_order_is_lit(watched: dict[str, object], scheme: str) -> None:
    """Where the scheme is dark at the moment nothing is wrong: in both models."""
    there = watched[scheme].of.exact_of([Breakage("none", (), 1.0)] * 2, "scheme", 1)
    assert (there.looks == LIT).all()


def test_what_is_never_lit_says_nothing(bench: ModuleType, house: House) -> None:
    """Said dark of a run that the scheme leaves dark, nothing is learnt: 50 to 50 stays so."""
    text = "format: evenfall-scheme/1\nname: Eave\nlayers:\n"
    text += "  - {zones: eave, effect: steady, palette: ['#ffffff']}\n"
    scheme = scheme_from_text(text, "e.scheme.yaml", house)
    of = bench.evening(rig_for(house, scheme), bind(house, scheme)).of
    head = "format: evenfall-sightings/1\nseen:\n  - {dark: 'eave[31]', onwards: true}\n"
    ranks = []
    for more in ("", "  - {dark: porch}\n"):
        seen = sightings_from_text(head + more, "s.yaml", house).seen
        found = diagnose(of, seen, test=False)
        ranks.append([each.probability for each in found.suspects[:5]])
    np.testing.assert_allclose(ranks[0], ranks[1], rtol=1e-9)


def test_a_spare_pixel_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every pixel that lights is lit in the first 48 frames of a steady scheme: no more are made.

    Neither a spare nor one cut out is ever lit; of either, nothing is asked.
    """
    run = {"name": "eave", "pixels": "ws2811-12v-group3", "path": [[0, 3], [2, 3]], "count": 10,
           "spare_first": 1, "missing": [5]}  # fmt: skip
    house = house_from(
        {
            "format": "evenfall-house/1",
            "name": "One",
            "drawing": {"size": [4, 4]},
            "runs": [run],
        }
    )
    text = f"format: evenfall-scheme/1\nname: still\nlayers:\n  - {SCHEMES['still']}\n"
    scheme = scheme_from_text(text, "still.scheme.yaml", house)
    made: list[int] = []

    def counted(rig: Rig, show: Show, time_s: np.ndarray) -> np.ndarray:
        made.append(len(time_s))
        return on_wire(rig, show, time_s)

    monkeypatch.setattr(shown_module, "on_wire", counted)
    sent = shown_module.shown(rig_for(house, scheme), bind(house, scheme))
    assert sum(made) == 48
    assert np.flatnonzero(~sent.visible).tolist() == [0, 5]
