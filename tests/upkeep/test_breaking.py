"""Fuses that open in order, supplies that give up, and several things at once."""

from types import SimpleNamespace

import numpy as np
import pytest

from layouts.errors import EvenfallError
from layouts.faults import Fault
from sim.circuit import build
from sim.frame import Rig
from sim.upkeep import broken, frame_of_broken


def rig_of(make: SimpleNamespace, amps: float = 40.0, **options) -> Rig:
    """A run fed at both ends, unlike fuses, by one supply."""
    kind = make.kind(rail_ohm_per_m=options.pop("rail", 0.02))
    wires = [
        ("psu", "a.start", "14 AWG", 1.0, 3.0),
        ("psu", "a.end", "14 AWG", 2.0, 5.0),
        ("psu", "b.start", "14 AWG", 1.0, 5.0),
    ]
    from dataclasses import replace

    supply = replace(make.supply("psu", 5.0, options.pop("ohm", 0.005)), rated_a=amps)
    house = make.house({"a": (kind, 40), "b": (kind, 20)}, [supply], wires)
    return Rig(house, build(house), None)


CODES = np.full((1, 60, 4), 60, dtype=np.uint8)


def test_a_hard_short_opens_the_fuses_that_feed_it_the_most_loaded_first(
    make: SimpleNamespace,
) -> None:
    rig = rig_of(make, amps=200.0)
    frame = frame_of_broken(broken(rig, [Fault("short", "a", 5, ohm=0.005)]), CODES)
    assert frame.opened == (0, 1)
    assert frame.tripped == ()
    light = frame.light[0].max(axis=-1)
    assert (light[:40] == 0).all()
    assert (light[40:] > 0).all()
    # nothing flows any more in what opened
    assert np.abs(frame.solution.wire_a[0, :2]).max() == 0


def test_a_soft_short_opens_nothing(make: SimpleNamespace) -> None:
    """1 Ω at 5 V takes 5 A, shared: less than twice of 3 A and of 5 A."""
    frame = frame_of_broken(broken(rig_of(make), [Fault("short", "a", 20, ohm=1.0)]), CODES)
    assert frame.opened == ()
    assert frame.solution.supply_a[0, 0] == pytest.approx(5.0, abs=1.2)


def test_a_supply_too_small_for_its_fuse_goes_off_and_on(make: SimpleNamespace) -> None:
    """5 A at most 1.1 × over before it limits itself: too little for 2 × 3 A; so it gives up."""
    rig = rig_of(make, amps=5.0)
    frame = frame_of_broken(broken(rig, [Fault("short", "a", 5, ohm=0.005)]), CODES)
    assert frame.opened == ()
    assert frame.tripped == ("psu",)
    assert [round(state.share, 3) for state in frame.states] == [0.1, 0.9]
    assert frame.states[1].light.max() == 0
    # what it gives in its bursts is all it can: 1.5 × 5 A
    assert frame.solution.supply_a[0, 0] == pytest.approx(7.5, rel=1e-5)


def test_hiccup_is_a_mean_of_two_states(make: SimpleNamespace) -> None:
    rig = rig_of(make)
    sound = frame_of_broken(broken(rig, []), CODES)
    hiccup = Fault("hiccup", supply="psu", on_s=0.3, pause_s=0.9)
    frame = frame_of_broken(broken(rig, [hiccup]), CODES)
    assert [state.share for state in frame.states] == pytest.approx([0.25, 0.75])
    assert frame.light == pytest.approx(0.25 * sound.light)
    assert frame.volts == pytest.approx(0.25 * sound.volts)
    assert frame.flickers.all()


@pytest.mark.parametrize("ohm", [0.0, 0.005])
def test_an_ideal_supply_is_off_as_any_other(make: SimpleNamespace, ohm: float) -> None:
    frame = frame_of_broken(broken(rig_of(make, ohm=ohm), [Fault("off", supply="psu")]), CODES)
    assert not frame.alive.any()
    assert frame.solution.supply_a[0, 0] == 0
    assert frame.light.max() == 0


def test_a_blown_fuse_leaves_the_other_feed(make: SimpleNamespace) -> None:
    frame = frame_of_broken(broken(rig_of(make), [Fault("blown", wire=0)]), CODES)
    assert frame.alive.all()
    assert frame.solution.wire_a[0, 0] == 0
    frame = frame_of_broken(
        broken(rig_of(make), [Fault("blown", wire=0), Fault("blown", wire=1)]), CODES
    )
    assert not frame.alive[:40].any()
    assert frame.alive[40:].all()


def test_no_fault_changes_nothing(make: SimpleNamespace) -> None:
    from sim.circuit import solve

    rig = rig_of(make)
    frame = frame_of_broken(broken(rig, []), CODES)
    assert frame.broken.network is rig.network
    assert (frame.solution.volts == solve(rig.network, CODES).volts).all()
    assert (frame.received == CODES).all()


def test_a_bare_end_has_nothing_to_break(make: SimpleNamespace) -> None:
    with pytest.raises(EvenfallError, match="no wire is on the end of run b"):
        broken(rig_of(make), [Fault("open", "b", 20, "plus")])
