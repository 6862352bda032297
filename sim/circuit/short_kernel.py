"""Fuses that open one after another for a short at each of many places; compiled.

Without the feeds that are open, Z between the others is the first Z and a rank-one change for each
of them: its column as it was when that feed's turn came, times what the column says of the feed,
times a share. Along rails a feed hardly tells what is done to one far away, so a column is kept as
the list of those that it concerns, and of a place only the feeds are looked at that anything has
reached so far: a turn costs what lies near the short and not all feeds.

A column depends on which feeds were open before, not on their order. Columns are kept by turn, and
a place takes those of the place before it wherever as many turns have opened the same feeds: so
neighbours on a rail, whose orders mostly differ in pairs only, make few anew.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

Array = np.ndarray


class FuseRow(NamedTuple):
    """F feeds, and of each the ones that it concerns while all are closed."""

    feed_s: np.ndarray  # (F,) [S]
    feed_v: np.ndarray  # (F,) [V] across each
    load_s: np.ndarray  # (F,) [S/A] for its rating
    begin: np.ndarray  # (F + 1,) int64 in the two below
    near: np.ndarray  # int64 feeds
    near_ohm: np.ndarray  # [Ω] Z between the feed and these


class OpenedFuses(NamedTuple):
    """The feeds that opened for places before, by turn, and what became of the circuit."""

    depth: np.ndarray  # (1,) int64: how many turns there are
    feed: np.ndarray  # (F,) int64
    share_s: np.ndarray  # (F,) [S]; 0 for a feed that was the only way left
    many: np.ndarray  # (F,) int64: how many closed feeds it concerns, itself among them
    near: np.ndarray  # (F, F) int32: which
    near_ohm: np.ndarray  # (F, F) Z between it and these, when its turn came
    ohm: np.ndarray  # (F, F) the same by feed and turn; 0 for others


class _Room(NamedTuple):
    """What is written anew for every place."""

    closed: Array  # (F,) bool
    reached: Array  # (F,) int64, where in `active`; -1
    active: Array  # (F,) int64, the closed feeds that anything has reached
    across_v: Array  # (F,) [V]
    load: Array  # (F,) by place in `active`
    turn: Array  # (F,) int64
    column: Array  # (F,) zeros between two uses
    listed: Array  # (F,) int64
    apart: Array  # (F,) int64: open here and not there 1, there and not here -1


def none_opened(feeds: int) -> OpenedFuses:
    """All closed."""
    whole = np.zeros(feeds, dtype=np.int64)
    square = np.zeros((feeds, feeds))
    near = square.astype(np.int32)
    return OpenedFuses(
        np.zeros(1, dtype=np.int64),
        *(whole, np.zeros(feeds), whole.copy(), near, square, square.copy()),
    )


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _open(
    feed: int, depth: int, row: FuseRow, bounds: tuple[float, float, float, float],
    opened: OpenedFuses, room: _Room,
) -> int:  # fmt: skip
    """The turn of `feed` after `depth` others: its column and its share; how much work it was."""
    column, listed, closed = room.column, room.listed, room.closed
    for j in range(opened.many[depth]):
        opened.ohm[opened.near[depth, j], depth] = 0.0
    count = 0
    for j in range(row.begin[feed], row.begin[feed + 1]):
        i = row.near[j]
        if closed[i]:
            column[i] = row.near_ohm[j]
            listed[count] = i
            count += 1
    work = depth + count
    for h in range(depth):
        before = opened.ohm[feed, h]
        if before != 0.0:
            much = opened.share_s[h] * before
            near, ohm = opened.near[h], opened.near_ohm[h]
            work += opened.many[h]
            for j in range(opened.many[h]):
                i = near[j]
                if closed[i]:
                    if column[i] == 0.0:
                        listed[count] = i
                        count += 1
                        column[i] = 1e-300  # listed, even if the sum comes to nothing
                    column[i] += much * ohm[j]
    own = column[feed]
    many = 0
    for j in range(count):
        i = listed[j]
        if abs(column[i]) > bounds[3] * own:
            opened.near[depth, many] = i
            opened.near_ohm[depth, many] = column[i]
            opened.ohm[i, depth] = column[i]
            many += 1
        column[i] = 0.0
    left = 1.0 - row.feed_s[feed] * own
    opened.share_s[depth] = 0.0 if left < bounds[2] else row.feed_s[feed] / left
    opened.many[depth] = many
    return work + count


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _begin(row: FuseRow, volts: float, between: Array, faint: float, room: _Room) -> int:
    """All closed again: how many feeds the short at a place reaches, or a current without it."""
    most = 0.0
    for f in range(len(between)):
        most = max(most, abs(between[f]))
    count = 0
    for f in range(len(between)):
        room.closed[f] = True
        room.across_v[f] = row.feed_v[f]
        room.reached[f] = -1
        if abs(between[f]) > faint * most or abs(row.feed_v[f]) > 1e-12 * abs(volts):
            room.reached[f] = count
            room.active[count] = f
            count += 1
    return count


@njit(cache=True, nogil=True, error_model="numpy")
def in_turn(
    row: FuseRow,
    place_v: Array,
    place_ohm: Array,
    between_ohm: Array,
    bounds: tuple[float, float, float, float],
    opened: OpenedFuses,
    begin: int,
    most_work: int,
    amps: Array,
) -> int:
    """`amps` (K, F) [A] as `sim.circuit.short_circuit.amps_in_turn` gives them, 0 before, from the
    place `begin` on until that was `most_work`; where to go on.

    between_ohm : (K, F), used up
    bounds : what is nothing [A], what is the same load, what is the only way, what is too little
        to concern a feed
    opened : of the places before; of these afterwards
    """
    nothing, same, faint = bounds[0], bounds[1], bounds[3]
    count = len(row.feed_s)
    whole = np.zeros((5, count), dtype=np.int64)
    part = np.zeros((3, count))
    room = _Room(
        np.ones(count, dtype=np.bool_), whole[0], whole[1], part[0], part[1], whole[2], part[2],
        whole[3], whole[4],
    )  # fmt: skip
    active, across, load, turn, apart = room.active, room.across_v, room.load, room.turn, room.apart
    work = 0
    for k in range(begin, len(place_v)):
        if work > most_work:
            return k
        between, volts, z = between_ohm[k], place_v[k], place_ohm[k]
        reached = _begin(row, volts, between, faint, room)
        # A plain 0 would be a type of its own, and `_open` be compiled for it too.
        depth, differing, going = 0 * reached, 0, True
        while going and reached > 0:
            taken = volts / z
            most = 0.0
            for j in range(reached):
                f = active[j]
                load[j] = abs(across[f] - between[f] * taken) * row.load_s[f]
                most = max(most, load[j])
            work += reached
            if not most > nothing:
                break
            turns = 0
            for j in range(reached):
                if load[j] >= same * most:
                    f = active[j]
                    amps[k, f] = (across[f] - between[f] * taken) * row.feed_s[f]
                    turn[turns] = f
                    turns += 1
            for f in turn[:turns]:
                known = depth < opened.depth[0]
                there = opened.feed[depth] if known else -1
                if there != f or differing > 0:
                    work += _open(f, depth, row, bounds, opened, room)
                if not known:
                    opened.depth[0] = depth + 1
                elif there != f:
                    for who, side in ((f, 1), (there, -1)):
                        differing -= abs(apart[who])
                        apart[who] += side
                        differing += abs(apart[who])
                opened.feed[depth] = f
                share, near, ohm = opened.share_s[depth], opened.near[depth], opened.near_ohm[depth]
                many = opened.many[depth]
                depth += 1
                if share == 0.0:
                    going = False  # no other way led to it
                    break
                much, given = share * between[f], share * across[f]
                volts += between[f] * given
                z += much * between[f]
                for j in range(many):
                    i = near[j]
                    between[i] += ohm[j] * much
                    across[i] += ohm[j] * given
                    if room.reached[i] < 0:
                        room.reached[i] = reached
                        active[reached] = i
                        reached += 1
                work += many
                reached -= 1
                at, last = room.reached[f], active[reached]
                active[at] = last
                room.reached[last] = at
                room.closed[f] = False
        if differing > 0:
            opened.depth[0] = min(depth, opened.depth[0])
            apart[:] = 0
    return len(place_v)
