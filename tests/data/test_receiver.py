"""The receiver against the rules of ANSI E1.31-2018 (second hand) and worked examples of them."""

import numpy as np
import pytest

from sim.data.packets import DataPacket, DiscoveryPacket, Malformed, SyncPacket, packet_of
from sim.data.receiver import (
    MOST_REMEMBERED,
    MOST_SOURCES,
    Receiver,
    aged,
    in_sequence,
    levels_of,
    received,
)

A, B = b"A" * 16, b"B" * 16


def data(cid=A, sequence=0, slots=(1, 2, 3), **more):
    return DataPacket(cid, more.pop("universe", 1), sequence, bytes(slots), **more)


def heard(*steps, state=None):
    """The state after (time, packet) steps."""
    state = state or Receiver()
    for now_s, packet in steps:
        state = received(state, packet, "192.0.2.1", now_s)
    return state


def shown(state, universe=1):
    return tuple(state.universes[universe].levels)


@pytest.mark.parametrize(
    ("last", "new", "taken"),
    # signed octet difference; discarded where −20 < d ≤ 0 (6.7.2): worked by hand
    [
        (0, 1, True),
        (0, 0, False),
        (0, 255, False),
        (0, 237, False),
        (0, 236, True),
        (0, 128, True),
        (0, 127, True),
        (250, 5, True),
        (5, 250, False),
        (255, 0, True),
    ],
)
def test_the_sequence_rule(last, new, taken):
    assert in_sequence(last, new) is taken
    state = heard((0, data(sequence=last)), (0.01, data(sequence=new, slots=(9,))))
    assert shown(state) == ((9,) if taken else (1, 2, 3))
    assert state.counts.get("out-of-sequence", 0) == (not taken)


def test_one_counter_for_each_source_universe_and_sort():
    state = heard((0, data(A, 5)), (0, data(B, 5)), (0, data(A, 5, universe=2)))
    state = heard((0, SyncPacket(A, 5, 1)), (0, SyncPacket(A, 6, 2)), state=state)
    assert "out-of-sequence" not in state.counts


def test_the_highest_level_of_equals_counts():
    # worked by hand: A 10,200,0 and B 100,50,0 → 100,200,0; B at 101 → 100,50,0; A ends → B alone
    a, b = (10, 200, 0), (100, 50, 0)
    both = heard((0, data(A, 0, a)), (0.1, data(B, 0, b)))
    assert shown(both) == (100, 200, 0)
    assert shown(heard((0.2, data(B, 1, b, priority=101)), state=both)) == b
    assert shown(heard((0.2, data(A, 1, (7, 7, 7), options=0x40)), state=both)) == b
    assert shown(heard((2.4, data(B, 1, b)), state=both)) == (100, 200, 0)
    late = heard((2.4, data(B, 1, b)), state=both)
    assert shown(aged(late, 2.49)) == (100, 200, 0)
    assert shown(aged(late, 2.5)) == b
    assert aged(late, 2.5).renewed == (1,)


@pytest.mark.parametrize("order", [1, -1])
def test_more_sources_than_are_merged(order):
    cids = [bytes([65 + i]) * 16 for i in range(MOST_SOURCES + 2)]
    each = {cid: data(cid, 0, [10 + i]) for i, cid in enumerate(cids)}
    state = heard(*((0, each[cid]) for cid in cids[::order]))
    # whoever began first: the lowest identifiers
    assert shown(state) == (10 + MOST_SOURCES - 1,)
    assert state.universes[1].exceeded
    higher = heard((0.1, data(cids[-1], 1, [5], priority=120)), state=state)
    assert shown(higher) == (5,)
    assert not higher.universes[1].exceeded


@pytest.mark.parametrize("order", [1, -1])
def test_a_flood_of_sources_is_bounded(order):
    cids = [i.to_bytes(16, "big") for i in range(1, 3 * MOST_REMEMBERED)]
    state = heard(*((0, data(cid, 0, [cid[-1]])) for cid in cids[::order]))
    assert sorted(state.universes[1].sources) == cids[:MOST_REMEMBERED]
    assert shown(state) == (MOST_SOURCES,)
    total = len(cids)
    assert sum(state.counts.values()) == total


def test_loss_is_of_each_universe_and_the_levels_are_held():
    state = heard((0, data(universe=1)), (0, data(universe=2)), (2, data(sequence=1, universe=2)))
    state = aged(state, 2.6)
    assert state.universes[1].shows == ()
    assert state.universes[2].shows == (A,)
    assert shown(state) == (1, 2, 3)
    assert state.universes[1].priority is None
    again = heard((3, data(sequence=0, slots=(4,))), state=state)
    assert shown(again) == (4,)  # a lost source begins anew with any number


def test_terminated_slots_are_ignored_and_the_end_is_at_once():
    state = heard((0, data()), (0.1, data(sequence=1, slots=(9, 9, 9), options=0x40)))
    assert state.universes[1].shows == ()
    assert shown(state) == (1, 2, 3)
    late = heard((0.2, data(sequence=0, slots=(8,))), state=state)
    assert shown(late) == (1, 2, 3)  # overtaken on the way
    assert heard((0, data(options=0x40))).universes == {}


def test_preview_and_other_start_codes_never_drive():
    quiet = heard((0, data(options=0x80)), (0.1, data(sequence=1, start=0xDD)))
    assert quiet.universes[1].levels == b""
    assert quiet.counts == {"preview": 1, "alternate": 1}
    state = heard((0, data()), (2.4, data(sequence=1, slots=(9,), options=0x80)))
    assert shown(state) == (1, 2, 3)
    assert aged(state, 2.5).universes[1].sources == {}
    taken = heard((2.45, data(sequence=1, slots=(7,))), state=state)
    assert shown(taken) == (1, 2, 3)  # its number was used by the preview


def test_what_is_malformed_touches_nothing():
    state = heard((0, data()), (2.4, Malformed("length")))
    assert state.counts == {"shown": 1, "malformed:length": 1}
    assert aged(state, 2.5).universes[1].shows == ()


def test_an_address_means_nothing_before_its_first_packet():
    assert shown(heard((0, data(sync=7)))) == (1, 2, 3)


def synced(force):
    """Shows 1 2 3 in step with address 7, heard at 0.1; 9 waits since 0.2."""
    options = 0x20 if force else 0
    steps = (0, data(sync=7, options=options)), (0.1, SyncPacket(A, 0, 7))
    return heard(*steps, (0.2, data(sequence=1, slots=(9,), sync=7, options=options)))


def test_levels_wait_for_their_packet():
    state = synced(force=False)
    assert shown(state) == (1, 2, 3)
    assert state.counts == {"shown": 1, "sync": 1, "waiting": 1}
    assert shown(heard((0.3, SyncPacket(A, 1, 8)), state=state)) == (1, 2, 3)
    assert shown(heard((0.3, SyncPacket(A, 0, 7)), state=state)) == (1, 2, 3)  # out of sequence
    acted = heard((0.3, SyncPacket(A, 1, 7)), state=state)
    assert shown(acted) == (9,)
    assert acted.renewed == (1,)


def test_address_zero_discards_what_waits():
    state = heard((0.3, data(sequence=2, slots=(5,))), state=synced(force=False))
    assert shown(state) == (5,)
    assert shown(heard((0.4, SyncPacket(A, 1, 7)), state=state)) == (5,)


@pytest.mark.parametrize(("force", "at_last"), [(False, (1, 2, 3)), (True, (4,))])
def test_what_follows_when_synchronisation_is_lost(force, at_last):
    options = 0x20 if force else 0
    state = synced(force)
    for step in range(3, 30):  # the source goes on, its synchronisation does not
        packet = data(sequence=step, slots=(4,), sync=7, options=options)
        state = heard((step / 10, packet), state=state)
        assert shown(state) == ((1, 2, 3) if step / 10 - 0.1 < 2.5 else at_last)
    back = heard((3.0, SyncPacket(A, 1, 7)), state=state)
    assert shown(back) == (4,)


def test_other_universes_are_counted():
    state = heard((0, data(universe=3)), state=Receiver(wanted=frozenset({1})))
    assert state.counts == {"other-universe": 1}
    assert state.universes == {}


def test_what_a_source_offers_is_kept():
    offer = DiscoveryPacket(A, "desk", (1, 2))
    assert heard((0, offer)).offered == {A: offer}


def test_a_short_packet_leaves_the_rest_dark():
    levels = levels_of(heard((0, data(slots=(5, 6)))).universes[1])
    assert levels.shape == (512,)
    assert levels.tolist() == [5, 6] + [0] * 510


def test_missed_packets_are_counted():
    state = heard((0, data(sequence=250)), (0, data(sequence=253)), (0, data(sequence=1)))
    # 251, 252 and 254, 255, 0
    assert state.universes[1].sources[A].missed == 5
    assert state.universes[1].sources[A].packets == 3


def test_the_state_before_stays_as_it_was(vectors):
    state = Receiver()
    packets = [packet_of(each) for each in vectors] * 3
    for now_s, packet in enumerate(packets):
        before = (dict(state.counts), dict(state.universes))
        after = received(state, packet, "", now_s / 10)
        assert (state.counts, state.universes) == before
        assert sum(after.counts.values()) == now_s + 1
        state = after


def test_loss_at_the_moment_whatever_the_rounding():
    for begun_s in np.linspace(0, 1e6, 999):
        state = heard((begun_s, data()))
        state = aged(aged(state, begun_s + 2.5), begun_s + 2.5 + 1e-6)
        assert state.universes[1].shows == ()
