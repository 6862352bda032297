"""Five currents a pixel, and such a kind beside one of three channels; by ngspice."""

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest

from layouts import kinds
from sim.circuit import build, kirchhoff_residual_a, power, solve
from sim.circuit.law import nameplate_a

pytestmark = pytest.mark.outside

MICROVOLT = 1e-6


@pytest.mark.parametrize(("count", "length_m"), [(10, 0.5), (60, 40.0)])
def test_five_currents_a_pixel(
    make: SimpleNamespace, spice: Callable, count: int, length_m: float
) -> None:
    kind = kinds()["ws2805-24v-rgbww"]
    wires = [("psu", "a.start", "18 AWG", length_m)]
    house = make.house({"a": (kind, count)}, [make.supply(volts=24)], wires)
    codes = np.random.default_rng(count).integers(40, 256, (count, 5)).astype(np.uint8)
    solution = solve(build(house), codes[None])
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT
    assert kirchhoff_residual_a(solution).max() < 1e-9
    assert np.abs(power(solution).imbalance_w).max() < 1e-7
    # 24 V less what 40 m of 18 AWG lose: the whites, six dies of 3.2 V, give out and red does not
    starved = length_m > 1
    assert (solution.dim[0, -1, 3:].max() < 1) is np.bool_(starved)
    assert solution.dim[0, -1, 0] == 1.0


def test_beside_a_kind_of_three_channels(make: SimpleNamespace, spice: Callable) -> None:
    runs = {"a": (kinds()["ws2805-12v-rgbww"], 12), "b": (kinds()["ws2811-12v-group3"], 8)}
    wires = [("psu", "a.start", "18 AWG", 9.0), ("a.end", "b.start", "18 AWG", 6.0)]
    house = make.house(runs, [make.supply(volts=12)], wires)
    codes = np.random.default_rng(3).integers(0, 256, (20, 5)).astype(np.uint8)
    solution = solve(build(house), codes[None])
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT


def test_what_a_metre_draws(make: SimpleNamespace) -> None:
    wires = [("psu", "a.start", "18 AWG", 1.0)]
    # 60 LEDs a metre, white by all channels: WS2805 0.62 A, FW1906 0.92 A a metre [calc from the
    # sheets' 12 and 18 mA a channel and 2 mA idle]
    for name, amps in (("ws2805-24v-rgbww", 0.62), ("fw1906-24v-rgbww", 0.92)):
        house = make.house({"a": (kinds()[name], 10)}, [make.supply(volts=24)], wires)
        network = build(house)
        assert nameplate_a(network.law).sum() == pytest.approx(amps)
        full = solve(network, np.full((1, 10, 5), 255, dtype=np.uint8))
        # the idle current comes through a resistor, and the metre takes a few millivolt
        assert full.amps.sum() == pytest.approx(amps, rel=2e-4)
