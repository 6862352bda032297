"""Overloaded supplies at their limit: against a closed form, and ngspice with a current source."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.faults import Fault
from sim.circuit import build
from sim.frame import Rig
from sim.upkeep import broken, frame_of_broken


def test_a_short_alone_gets_the_limit_times_its_resistance(make: SimpleNamespace) -> None:
    """Nothing else draws, so V = 1.5 · I_rated · R by Ohm's law, of the way and the short."""
    kind = make.kind(rail_ohm_per_m=0.1, idle_ma=0.0)
    supply = replace(make.supply(ohm=0.02), rated_a=2.0)
    house = make.house({"a": (kind, 20)}, [supply], [("psu", "a.start", "18 AWG", 2.0)])
    rig = Rig(house, build(house), None)
    dark = np.zeros((1, 20, 4), np.uint8)
    frame = frame_of_broken(broken(rig, [Fault("short", "a", 9, ohm=0.3)]), dark)
    wire_ohm = 2 * 2.0 / (58 * 0.8230)
    rail_ohm = 2 * (0.1 / 60) * 9.5
    volts = 3.0 * (0.02 + wire_ohm + rail_ohm + 0.3)
    assert frame.tripped == ("psu",)
    assert frame.solution.network.fixed_v[0] == pytest.approx(volts, rel=2e-6)
    assert frame.solution.volts[0, 9] == pytest.approx(0.9, rel=2e-6)


@pytest.mark.outside
def test_bright_pixels_on_a_supply_too_small(make: SimpleNamespace, both: Callable) -> None:
    """At the volts that were found, ngspice says that the supply gives 1.5 times its rating."""
    kind = make.kind(rail_ohm_per_m=0.05, min_v=3.3)
    supplies = [replace(make.supply(ohm=0.01), rated_a=1.6), make.supply("two", 5.0, 0.02)]
    wires = [
        ("psu", "a.start", "18 AWG", 1.0),
        ("psu", "a.end", "18 AWG", 2.0),
        ("two", "b.start", "16 AWG", 1.0),
    ]
    house = make.house({"a": (kind, 80), "b": (kind, 30)}, supplies, wires)
    codes = np.full((1, 110, 4), 255, np.uint8)
    frame = frame_of_broken(broken(Rig(house, build(house), None), []), codes)
    assert frame.tripped == ("psu",)
    solution = frame.solution
    assert solution.supply_a[0, 0] == pytest.approx(2.4, rel=2e-6)
    assert (frame.received[0, :, :3] == 255).all()
    volts = float(solution.network.fixed_v[0])
    inner = [f"Vlimit inner_0 n_psu {volts!r}"]
    theirs = both(house, codes[0], ["Vsupply_0"], inner)
    assert theirs.plus_a[:2].sum() == pytest.approx(2.4, abs=5e-6)
    assert np.abs(solution.volts[0] - theirs.plus_v + theirs.minus_v).max() < 1e-6


def test_one_that_gives_up_may_take_the_other_along(make: SimpleNamespace) -> None:
    """Both feed one run: at the first one's limit the second has to give more than it can."""
    kind = make.kind(rail_ohm_per_m=0.05)
    supplies = [
        replace(make.supply(ohm=0.01), rated_a=0.9),
        replace(make.supply("two", 5.0, 0.02), rated_a=1.0),
    ]
    wires = [("psu", "a.start", "18 AWG", 1.0), ("two", "a.end", "18 AWG", 2.0)]
    house = make.house({"a": (kind, 120)}, supplies, wires)
    codes = np.full((1, 120, 4), 255, np.uint8)
    frame = frame_of_broken(broken(Rig(house, build(house), None), []), codes)
    assert set(frame.tripped) == {"psu", "two"}
    assert len(frame.states) == 4
    assert (frame.solution.supply_a[0] <= [1.35 * 1.001, 1.5 * 1.001]).all()


def test_a_supply_that_is_not_asked_for_too_much_keeps_its_volts(make: SimpleNamespace) -> None:
    kind = make.kind()
    house = make.house({"a": (kind, 20)}, [make.supply()], [("psu", "a.start", "18 AWG", 1.0)])
    frame = frame_of_broken(
        broken(Rig(house, build(house), None), []), np.full((1, 20, 4), 99, np.uint8)
    )
    assert frame.tripped == ()
    assert frame.solution.network.fixed_v[0] == 5.0
