"""Data from pixel to pixel, with and without a backup line."""

from types import SimpleNamespace

import numpy as np
import pytest

from layouts.faults import Fault
from sim.circuit import build
from sim.frame import Rig
from sim.upkeep import broken, frame_of_broken
from sim.upkeep.signal import DATA, GARBAGE, NOTHING, arriving


def rig_of(make: SimpleNamespace, *, backup: bool = False, volts: float = 5.0, **kind) -> Rig:
    """One run of 30 pixels on strong rails."""
    made = make.kind(backup_data=backup, rail_ohm_per_m=0.001, **kind)
    wires = [("psu", "a.start", "10 AWG", 0.1)]
    house = make.house({"a": (made, 30)}, [make.supply("psu", volts)], wires)
    return Rig(house, build(house), None)  # nothing is mixed here


def lit(rig: Rig, *faults: Fault) -> list[int]:
    codes = np.full((1, 30, 4), 100, dtype=np.uint8)
    frame = frame_of_broken(broken(rig, faults), codes)
    return np.flatnonzero(frame.light[0].max(axis=-1) > 0).tolist()


ALL = list(range(30))


def test_a_dead_pixel_ends_its_chain(make: SimpleNamespace) -> None:
    assert lit(rig_of(make), Fault("dead", "a", 3)) == [0, 1, 2]
    assert lit(rig_of(make), Fault("dead", "a", 0)) == []


# A backup line: one dead pixel is passed over; behind two neighbours all is lost (WS2813, WS2815:
# the second input of a pixel is a plain track from the first input of the one before).
def test_a_backup_line_passes_over_one_dead_pixel(make: SimpleNamespace) -> None:
    rig = rig_of(make, backup=True)
    assert lit(rig, Fault("dead", "a", 3)) == [k for k in ALL if k != 3]
    apart = [Fault("dead", "a", 3), Fault("dead", "a", 5)]
    assert lit(rig, *apart) == [k for k in ALL if k not in (3, 5)]
    assert lit(rig, Fault("dead", "a", 3), Fault("dead", "a", 4)) == [0, 1, 2]
    # the first has no pixel before it whose input it could share; the next shares its input
    assert lit(rig, Fault("dead", "a", 0)) == ALL[1:]


def test_an_open_data_conductor(make: SimpleNamespace) -> None:
    assert lit(rig_of(make), Fault("open", "a", 7, "data")) == ALL[:7]
    assert lit(rig_of(make), Fault("open", "a", 0, "data")) == []
    # the second line is whole
    assert lit(rig_of(make, backup=True), Fault("open", "a", 7, "data")) == ALL
    assert lit(rig_of(make, backup=True), Fault("open", "a", 0, "data")) == []
    # with 5 dead nothing enters 6's first input, which is 7's second: 6 still hears 5's input
    both = Fault("open", "a", 7, "data"), Fault("dead", "a", 5)
    assert lit(rig_of(make, backup=True), *both) == [0, 1, 2, 3, 4, 6]
    # DO of 6 is lost with 6, and the line into 7 is broken: 7 hears 6's input, 8 hears 7
    both = Fault("open", "a", 7, "data"), Fault("dead", "a", 6)
    assert lit(rig_of(make, backup=True), *both) == [k for k in ALL if k != 6]


def test_dark_and_stuck_pixels_pass_data_on(make: SimpleNamespace) -> None:
    assert lit(rig_of(make), Fault("dark", "a", 3)) == [k for k in ALL if k != 3]
    codes = np.zeros((1, 30, 4), dtype=np.uint8)
    codes[0, 20] = 50
    stuck = Fault("stuck", "a", 3, colour=(255, 128, 0))
    frame = frame_of_broken(broken(rig_of(make), [stuck]), codes)
    assert frame.received[0, 3].tolist() == [255, 128, 0, 0]
    assert frame.received[0, 20].tolist() == [50, 50, 50, 50]
    assert frame.alive.all()


def test_what_a_pixel_draws(make: SimpleNamespace) -> None:
    """Idle 1 mA where dark; nothing where dead; 12 + 13 + 11 mA · 100/255 + 1 mA where lit."""
    codes = np.full((1, 30, 4), 100, dtype=np.uint8)
    rig = rig_of(make)
    faults = [Fault("dark", "a", 2), Fault("dead", "a", 10)]
    amps = frame_of_broken(broken(rig, faults), codes).solution.amps[0] * 1000
    assert amps[1] == pytest.approx(36 * 100 / 255 + 1)
    assert amps[2] == pytest.approx(1)
    assert amps[10] == 0
    assert amps[11] == pytest.approx(1)  # hears nothing


def test_garbage_is_the_same_for_the_same_seed_and_flickers(make: SimpleNamespace) -> None:
    codes = np.zeros((3, 30, 4), dtype=np.uint8)
    rig = rig_of(make)
    fault = [Fault("garbage", "a", 12)]
    one = frame_of_broken(broken(rig, fault, seed=4), codes)
    again = frame_of_broken(broken(rig, fault, seed=4), codes)
    other = frame_of_broken(broken(rig, fault, seed=5), codes)
    assert (one.received == again.received).all()
    assert (one.received != other.received).any()
    assert (one.received[:, :12] == 0).all()
    assert len(np.unique(one.received[:, 12:, 0])) > 20
    assert (one.received[..., 3] == 0).all()  # the kind has no w
    assert one.flickers[:, 12:].mean() > 0.9
    # a frame shown later is another one, and the same whenever it is asked for
    later = frame_of_broken(broken(rig, fault, seed=4), codes[:1], number=2)
    assert (later.received[0] == one.received[2]).all()


def test_below_the_least_voltage_garbage_begins(make: SimpleNamespace) -> None:
    """min_v 3.7 V: a supply of 3.4 V garbles all, one of 1.7 V (below half) runs no chip."""
    codes = np.full((1, 30, 4), (100, 100, 100, 0), dtype=np.uint8)
    fine = frame_of_broken(broken(rig_of(make), []), codes)
    assert (fine.states[0].arrives == DATA).all()
    low = frame_of_broken(broken(rig_of(make), [Fault("sag", supply="psu", volts=3.4)]), codes)
    assert (low.states[0].arrives == GARBAGE).all()
    none = frame_of_broken(broken(rig_of(make), [Fault("sag", supply="psu", volts=1.7)]), codes)
    assert (none.states[0].arrives == NOTHING).all()
    assert (none.light == 0).all()


def test_a_one_that_is_not_read_spoils_what_follows(make: SimpleNamespace) -> None:
    """Behind a feed: V₊ of the sender must be 0.7 of the receiver's VDD, 3.5 V of 5 V."""
    kind = make.kind(min_v=2.0)
    for volts, heard in ((3.6, DATA), (3.4, GARBAGE)):
        supplies = [make.supply("psu", volts), make.supply("two", 5.0)]
        wires = [("psu", "a.end", "10 AWG", 0.1), ("two", "b.start", "10 AWG", 0.1)]
        house = make.house({"a": (kind, 5), "b": (kind, 5)}, supplies, wires)
        house = make_output(house, ("a", "b"))
        codes = np.zeros((1, 10, 4), dtype=np.uint8)
        frame = frame_of_broken(broken(Rig(house, build(house), None), []), codes)
        assert frame.states[0].arrives[0].tolist() == [DATA] * 5 + [heard] * 5


def make_output(house, chain):
    from dataclasses import replace

    from layouts import Output

    return replace(house, outputs=(Output("A", chain, 1, 1, 40.0),))


def heard(first, backup, link, works) -> list[int]:
    """The same by following lines: who hears whom, until nothing changes."""
    count = len(first)
    alive = [False] * count  # hears something
    for _ in range(count + 1):
        din = [link[k] and (first[k] or (alive[k - 1] and works[k - 1])) for k in range(count)]
        now = [din[k] or (backup[k] and not first[k] and din[k - 1]) for k in range(count)]
        if now == alive:
            break
        alive = now
    return [DATA if each else NOTHING for each in alive]


@pytest.mark.parametrize("seed", range(40))
def test_any_chain(seed: int) -> None:
    rng = np.random.default_rng(seed)
    first = rng.random(60) < 0.05
    first[0] = True
    backup, link, works = (rng.random(60) < share for share in (0.8, 0.93, 0.9))
    nothing = np.zeros((1, 60), dtype=bool)
    found = arriving(first, backup, link[None], works[None], nothing, nothing)
    assert found[0].tolist() == heard(first, backup, link, works)
