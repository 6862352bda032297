"""Whatever is broken at once on the demo houses: balances hold, and everything can be told."""

from pathlib import Path

import numpy as np
import pytest

from effects import bind, load_scheme
from layouts import House, load_house
from layouts.faults import KINDS, Fault
from sim.circuit import kirchhoff_residual_a, power
from sim.frame import on_wire, rig_for
from sim.report.wording import fault_label, sentence
from sim.upkeep import broken, frame_of_broken
from sim.upkeep.broken_findings import broken_findings

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
