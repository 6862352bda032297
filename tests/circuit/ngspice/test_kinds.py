"""Kinds of the catalogue as they are: white channels, 12 V strings, dies in series; by ngspice."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts import change, kinds
from layouts.records import House
from sim.circuit import build, kirchhoff_residual_a, power, solve

pytestmark = pytest.mark.outside

MICROVOLT = 1e-6


def fed(make: SimpleNamespace, name: str, count: int, length_m: float) -> House:
    """A run of the catalogue's kind, fed at one end by 18 AWG."""
    kind = kinds()[name]
    wires = [("psu", "a.start", "18 AWG", length_m)]
    return make.house({"a": (kind, count)}, [make.supply(volts=kind.supply_v)], wires)


#: Kind, how many pixels, and metres of wire: short enough for full voltage, and long enough to
#: starve.
RUNS = {
    "sk6812-rgbw-warm": ((20, 0.3), (150, 4.0)),
    "ws2811-12v-group3": ((10, 0.3), (120, 25.0)),
    "ws2815": ((30, 0.3), (260, 40.0)),
}


@pytest.mark.parametrize("lit", ["white", "all", "random"])
@pytest.mark.parametrize("starved", [False, True])
@pytest.mark.parametrize("name", RUNS)
def test_a_kind_of_the_catalogue(
    make: SimpleNamespace, spice: Callable, name: str, starved: bool, lit: str
) -> None:
    house = fed(make, name, *RUNS[name][starved])
    count = len(house.pixels)
    codes = np.full((count, 4), 255, dtype=np.uint8)
    if lit == "white" and kinds()[name].channel("w"):
        codes[:, :3] = 0
    elif lit == "random":
        codes = np.random.default_rng(count).integers(60, 256, (count, 4)).astype(np.uint8)
    solution = solve(build(house), codes[None])
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT
    assert kirchhoff_residual_a(solution).max() < 1e-9
    assert np.abs(power(solution).imbalance_w).max() < 1e-7
    lit_dim = solution.dim[0][codes > 0]
    shown = [c for c in range(4) if kinds()[name].channel("rgbw"[c])]
    least = solution.dim[0][:, shown].min() if len(shown) == 4 else lit_dim.min()
    assert (least < 1) is np.bool_(starved)


def test_a_white_channel_with_a_forward_voltage_of_its_own(
    make: SimpleNamespace, spice: Callable
) -> None:
    """White gives out before the colours do: its dies are two in series."""
    kind = kinds()["sk6812-rgbw-neutral"]
    channels = tuple(
        replace(channel, vf_v=4.4, current_ma=20.0) if channel.name == "w" else channel
        for channel in kind.channels
    )
    odd = replace(kind, channels=channels, name="odd")
    wires = [("psu", "a.start", "18 AWG", 1.0), ("psu", "a.end", "16 AWG", 2.0)]
    house = make.house({"a": (odd, 120)}, [make.supply()], wires)
    codes = np.full((120, 4), 255, dtype=np.uint8)
    solution = solve(build(house), codes[None])
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT
    assert solution.dim[0, 60, 3] < solution.dim[0, 60, :3].min()


def test_a_12_v_string_whose_leads_are_longer_than_its_pitch(
    make: SimpleNamespace, spice: Callable
) -> None:
    kind = replace(kinds()["ws2811-12v-group3"], mount="string", pitch_m=0.1)
    wires = [("psu", "a.start", "18 AWG", 5.0), ("psu", "a.end", "18 AWG", 9)]
    house = make.house({"a": (kind, 100)}, [make.supply(volts=12, ohm=0.02)], wires)
    close = change(house, runs={"a": {"path": [[0, 3], [5, 3]], "count": 100}})
    codes = np.random.default_rng(4).integers(0, 256, (100, 4)).astype(np.uint8)
    solution = solve(build(close), codes[None])
    assert np.abs(solution.volts[0] - spice(close, codes)).max() < MICROVOLT
