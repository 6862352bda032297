"""Whatever is broken at once on the demo houses: balances hold, and everything can be told."""

from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from effects import bind, load_scheme
from layouts import House, load_house
from layouts.faults import KINDS, Fault
from sim.circuit import join, kirchhoff_residual_a, power
from sim.circuit.loads import loads_of
from sim.frame import on_wire, rig_for
from sim.report.wording import fault_label, sentence
from sim.upkeep import broken, frame_of_broken
from sim.upkeep.broken_findings import broken_findings
from sim.upkeep.broken_loads import broken_loads

DEMO = Path(__file__).resolve().parents[2] / "demo"


def any_fault(house: House, rng: np.random.Generator) -> Fault:
    kind = KINDS[rng.integers(len(KINDS))]
    run = house.runs[rng.integers(len(house.runs))]
    pixel, before = int(rng.integers(run.count)), int(rng.integers(1, run.count))
    wire = int(rng.integers(len(house.wires)))
    supply = house.supplies[rng.integers(len(house.supplies))].name
    on_wire = rng.random() < 0.4
    ohm = float(10 ** rng.uniform(-3, 1))
    if kind in ("dark", "dead", "garbage"):
        return Fault(kind, run.name, pixel)
    if kind == "stuck":
        return Fault(kind, run.name, pixel, colour=(200, 10, 0))
    if kind == "open" and not on_wire:
        return Fault(kind, run.name, before, ("plus", "minus", "data")[rng.integers(3)])
    if kind == "open":
        return Fault(kind, wire=wire, conductor=("plus", "minus")[rng.integers(2)])
    if kind == "joint" and not on_wire:
        return Fault(kind, run.name, before, ("plus", "minus", None)[rng.integers(3)], ohm=ohm)
    if kind == "short" and not on_wire:
        return Fault(kind, run.name, pixel, ohm=ohm)
    if kind in ("joint", "short"):
        return Fault(kind, wire=wire, ohm=ohm)
    if kind == "blown":
        return Fault(kind, wire=wire)
    return Fault(kind, supply=supply, volts=float(rng.uniform(0, 5)) if kind == "sag" else None)


@pytest.mark.parametrize("name", ["bungalow", "cottage", "townhouse"])
def test_any_faults(name: str) -> None:
    house = load_house(DEMO / name / "house.yaml")
    scheme = load_scheme(DEMO / name / "christmas.scheme.yaml", house)
    rig = rig_for(house, scheme)
    codes = on_wire(rig, bind(house, scheme), np.array([0.0, 3.0]))
    rng = np.random.default_rng(7)
    for _ in range(60):
        faults = [any_fault(house, rng) for _ in range(rng.integers(1, 6))]
        frame = frame_of_broken(broken(rig, faults), codes)
        assert sum(state.share for state in frame.states) == pytest.approx(1)
        for state in frame.states:
            assert kirchhoff_residual_a(state.solution).max() < 1e-8, faults
            assert np.abs(power(state.solution).imbalance_w).max() < 1e-6, faults
            assert (state.received[:, ~frame.broken.works] == 0).all()
        assert np.isfinite(frame.volts).all()
        assert frame.light.min() >= 0
        assert frame.light.max() <= 1
        for fault in faults:
            assert fault_label(fault, house)
        for found in broken_findings(frame):
            assert sentence(found)


def test_many_frames_at_once_are_each_frame_alone() -> None:
    """The frame on show of a broken house (`frame_of_broken`) and its curve must not disagree."""
    house = load_house(DEMO / "cottage" / "house.yaml")
    rig = rig_for(house, load_scheme(DEMO / "cottage" / "christmas.scheme.yaml", house))
    rng = np.random.default_rng(11)
    frames = 6
    level = np.linspace(0, 1, frames)[:, None, None]
    some_opened = some_held = some_free = 0
    # shorts near to what opens a fuse: by themselves they do, beside what pixels draw some do not
    sets = [[Fault("short", wire=w, ohm=ohm)] for w in (4, 5) for ohm in (0.187, 0.327)]
    sets += [[any_fault(house, rng) for _ in range(rng.integers(1, 4))] for _ in range(8)]
    for faults in sets:
        ill = broken(rig, faults)
        full = rng.integers(128, 256, (len(house.pixels), len(house.channels)))
        codes = (full * level).astype(np.uint8)
        numbers = rng.permutation(1000)[:frames]
        paused: list[int] = []
        found = broken_loads(ill, codes, numbers, lambda paused=paused: paused.append(1))
        alone = [
            frame_of_broken(ill, codes[t : t + 1], number=int(numbers[t])) for t in range(frames)
        ]
        want = join([loads_of(one.solution, one.received) for one in alone])
        for each in fields(want):
            np.testing.assert_allclose(
                getattr(found, each.name), getattr(want, each.name), atol=1e-7, rtol=1e-7
            )
        held = sum(bool(one.tripped) for one in alone)
        assert len(paused) == held
        some_held += 0 < held < frames
        some_opened += len({one.opened for one in alone}) > 1
        some_free += not held and not any(one.opened for one in alone)
    assert some_opened  # fuses that open in some of the frames alone
    assert some_held  # supplies at their limit in some of the frames alone
    assert some_free
