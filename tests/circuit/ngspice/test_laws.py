"""Nodes with resistors, regulators and staggered currents, against ngspice: within a microvolt."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.records import Channel, House, Kind, Regulator
from sim.circuit import build, kirchhoff_residual_a, power, solve

pytestmark = pytest.mark.outside

MICROVOLT = 1e-6


def kind_of(make: SimpleNamespace, name: str) -> Kind:
    """A 12 V RGBW node of each law."""
    rows = (("r", 16.0, 2.0, 620), ("g", 15.0, 3.1, 525), ("b", 14.0, 3.2, 470))
    channels = tuple(
        Channel(c, ma, vf, 1.0, dominant_nm=nm, fwhm_nm=20.0) for c, ma, vf, nm in rows
    )
    both = {"channels": channels, "supply_v": 12.0, "min_v": 6.0, "rail_ohm_per_m": 0.5}
    match name:
        case "staggered":
            return make.kind(law="staggered", **both)
        case "resistor":
            own = (replace(channels[0], resistor_ohm=977.0), *channels[1:])
            return make.kind(
                law="resistor", resistor_ohm=854.0, idle_resistor=True, **both | {"channels": own}
            )
        case "saturating resistor":
            return make.kind(law="resistor", resistor_ohm=500.0, **both)
        case "linear":
            return make.kind(law="regulator", regulator=Regulator(1.7, 0.6), **both)
    made = Regulator(0.4, 0.2, efficiency=0.85)
    return make.kind(law="regulator", regulator=made, **both)


def fed(make: SimpleNamespace, kind: Kind, shape: str, count: int) -> House:
    """A run fed at one end, at both, or a tree of three runs on one junction."""
    supply = [make.supply(volts=12.0, ohm=0.03)]
    match shape:
        case "one end":
            return make.house({"a": (kind, count)}, supply, [("psu", "a.start", "18 AWG", 3.0)])
        case "both ends":
            wires = [("psu", "a.start", "18 AWG", 1.0), ("psu", "a.end", "18 AWG", 4.0)]
            return make.house({"a": (kind, count)}, supply, wires)
    wires = [("psu", "j", "16 AWG", 2.0)]
    wires += [("j", f"{run}.start", "18 AWG", 1.0 + at) for at, run in enumerate("abc")]
    return make.house({run: (kind, count // 3) for run in "abc"}, supply, wires)


LAWS = ("staggered", "resistor", "saturating resistor", "linear", "step-down")


@pytest.mark.parametrize("lit", ["all", "random"])
@pytest.mark.parametrize("shape", ["one end", "both ends", "tree"])
@pytest.mark.parametrize("name", LAWS)
def test_a_law(make: SimpleNamespace, spice: Callable, name: str, shape: str, lit: str) -> None:
    house = fed(make, kind_of(make, name), shape, 60)
    codes = np.full((len(house.pixels), 4), 255, dtype=np.uint8)
    if lit == "random":
        codes = np.random.default_rng(7).integers(0, 256, codes.shape).astype(np.uint8)
    solution = solve(build(house), codes[None])
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT
    assert kirchhoff_residual_a(solution).max() < 1e-9
    assert np.abs(power(solution).imbalance_w).max() < 1e-7


@pytest.mark.parametrize("name", ["staggered", "resistor", "linear"])
def test_a_starved_one(make: SimpleNamespace, spice: Callable, name: str) -> None:
    """The end of a long run is far below the volts it needs."""
    house = fed(make, kind_of(make, name), "one end", 240)
    codes = np.full((len(house.pixels), 4), 255, dtype=np.uint8)
    solution = solve(build(house), codes[None])
    assert solution.dim[0][:, :3].min() < 0.5
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT


def test_step_down_nodes_beside_others(make: SimpleNamespace, spice: Callable) -> None:
    """Nodes whose current falls and nodes whose current rises, on one long wire."""
    falling, rising = kind_of(make, "step-down"), kind_of(make, "resistor")
    wires = [("psu", "j", "18 AWG", 6.0)]
    wires += [("j", f"{run}.start", "18 AWG", 1.0) for run in "ab"]
    house = make.house({"a": (falling, 70), "b": (rising, 40)}, [make.supply(volts=12.0)], wires)
    codes = np.full((len(house.pixels), 4), 255, dtype=np.uint8)
    solution = solve(build(house), codes[None])
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT
