"""Fuses that open one after another for a short at each of many places; compiled.

Without the feeds that are open, Z between the others is the first Z and a rank-one change for each
of them: its column as it was when that feed's turn came, times what the column says of the feed,
times a share. The columns are kept in the order in which the feeds opened, and a place goes on with
those of the place before it as far as its feeds open in the same order: so neighbours on a rail,
which mostly do, cost F² and not F³.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

Array = np.ndarray


class OpenedFuses(NamedTuple):
    """The feeds that opened for the place before, in order, and what became of the circuit."""

    depth: np.ndarray  # (1,) int64: how many there are
    feed: np.ndarray  # (F,) int64
    share_s: np.ndarray  # (F,) [S]; 0 for a feed that was the only way left
    column_ohm: np.ndarray  # (F, F) Z between that feed and all, when its turn came
    feed_v: np.ndarray  # (F + 1, F) [V] across all, before the first and after each


def none_opened(feed_v: Array) -> OpenedFuses:
    """All closed; `feed_v` (F,) [V] across each feed."""
    count = len(feed_v)
    after = np.zeros((count + 1, count))
    after[0] = feed_v
    whole = np.zeros(count, dtype=np.int64)
    return OpenedFuses(
        np.zeros(1, dtype=np.int64), whole, np.zeros(count), np.zeros((count, count)), after
    )


@njit(cache=True, nogil=True, error_model="numpy")
def _add(what: Array, much: float, onto: Array) -> None:
    for i in range(len(onto)):
        onto[i] += what[i] * much


@njit(cache=True, nogil=True, error_model="numpy")
def _load(
    across_v: Array,
    between: Array,
    taken_a: float,
    feed_s: Array,
    rated_a: Array,
    closed: Array,
    load: Array,
) -> None:
    """Of every closed feed, for its rating, while `taken_a` [A] flows at the short."""
    for f in range(len(load)):
        flow = (across_v[f] - between[f] * taken_a) * feed_s[f]
        load[f] = abs(flow) / rated_a[f] * closed[f]


@njit(cache=True, nogil=True, error_model="numpy")
def _open(
    feed: int, depth: int, feed_s: Array, ohm: Array, alone: float, opened: OpenedFuses
) -> None:
    """The turn of `feed` after `depth` others: its column, its share, the volts afterwards."""
    column, count = opened.column_ohm[depth], len(feed_s)
    for i in range(count):
        column[i] = ohm[feed, i]
    for h in range(depth):
        before = opened.column_ohm[h]
        much = opened.share_s[h] * before[feed]
        _add(before, much, column)
    left = 1.0 - feed_s[feed] * column[feed]
    share = 0.0 if left < alone else feed_s[feed] / left
    given = share * opened.feed_v[depth, feed]
    for i in range(count):
        opened.feed_v[depth + 1, i] = opened.feed_v[depth, i] + column[i] * given
    opened.share_s[depth] = share
    opened.feed[depth] = feed
    opened.depth[0] = depth + 1


@njit(cache=True, nogil=True, error_model="numpy", fastmath={"nnan", "nsz"})
def _most(load: Array) -> float:
    """The largest: of the same numbers in whatever order, so that the processor may take several
    at once."""
    most = 0.0
    for f in range(len(load)):
        most = max(most, load[f])
    return most


@njit(cache=True, nogil=True, error_model="numpy")
def in_turn(
    feed_s: Array,
    ohm: Array,
    place_v: Array,
    place_ohm: Array,
    between_ohm: Array,
    rated_a: Array,
    bounds: tuple[float, float, float],
    opened: OpenedFuses,
    amps: Array,
) -> None:
    """`amps` (K, F) [A] as `sim.circuit.short_circuit.amps_in_turn` gives them, 0 before.

    ohm : (F, F) Z between feeds while all are closed, its columns as rows
    between_ohm : (K, F), used up
    bounds : what is nothing [A], what is the same load, what is the only way
    opened : of the place before; of the last one afterwards
    """
    nothing, same, alone = bounds
    count = len(feed_s)
    closed, turn = np.empty(count), np.empty(count, dtype=np.int64)
    load = np.empty(count)
    for k in range(len(place_v)):
        between, volts, z = between_ohm[k], place_v[k], place_ohm[k]
        closed[:] = 1.0
        depth = 0
        while depth < count:
            taken = volts / z
            across = opened.feed_v[depth]
            _load(across, between, taken, feed_s, rated_a, closed, load)
            most = _most(load)
            turns = 0
            if most > nothing:
                for f in range(count):
                    if load[f] >= same * most:
                        amps[k, f] = (across[f] - between[f] * taken) * feed_s[f]
                        turn[turns] = f
                        turns += 1
            if turns == 0:
                break
            for f in turn[:turns]:
                if depth >= opened.depth[0] or opened.feed[depth] != f:
                    _open(f, depth, feed_s, ohm, alone, opened)
                share, column = opened.share_s[depth], opened.column_ohm[depth]
                if share == 0.0:
                    depth = count  # no other way led to it
                    break
                row = between[f]
                volts += row * (share * opened.feed_v[depth, f])
                z += share * (row * row)
                much = share * row
                _add(column, much, between)
                closed[f] = 0.0
                depth += 1
