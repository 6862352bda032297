"""What flows in the feeds of a stretch while + and − touch at a place of it, fuse after fuse.

The circuit is the one without pixels, both conductors. A short is a pair of terminals, + and − of
its place; a feed that may open is another, across its + conductor. With Z the inverse of the
conductances, the voltages between the terminals before anything happens and Z between all of them
say what flows (superposition: Thevenin; Z is symmetric: reciprocity). A fuse that opens is a
conductance taken away: a change of Z of rank one (Sherman and Morrison 1950). So nothing is solved
anew for a place or for a fuse: places for which the same fuses are open go on together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .segments import Segments

#: [A] below which nothing but rounding flows; two loads are the same from this ratio up.
NOTHING_A, SAME = 1e-6, 1 - 1e-9
#: A feed whose share of its own current is less than this is the only way there is.
_ALONE = 1e-9


@dataclass(frozen=True, eq=False)
class Ports:
    """F feeds and K places, as long as the same fuses are closed."""

    feed_s: np.ndarray  # (F,) [S] of the + conductor
    feed_v: np.ndarray  # (F,) [V] across it, in the direction in which it feeds
    feed_ohm: np.ndarray  # (F, F) Z between feeds
    place_v: np.ndarray  # (K,) [V] between + and − of each place
    place_ohm: np.ndarray  # (K,) Z of each place
    between_ohm: np.ndarray  # (F, K)

    def short_a(self) -> np.ndarray:
        """(F, K) [A] in each feed while each place is shorted."""
        taken_a = self.place_v / self.place_ohm
        return (self.feed_v[:, None] - self.between_ohm * taken_a) * self.feed_s[:, None]

    def opened(self, feed: int) -> Ports | None:
        """Without that feed; None where no other way led to what it feeds."""
        left = 1 - self.feed_s[feed] * self.feed_ohm[feed, feed]
        if left < _ALONE:
            return None
        share = self.feed_s[feed] / left
        column, row = self.feed_ohm[:, feed], self.between_ohm[feed]
        given_a = share * self.feed_v[feed]
        rest = np.arange(len(self.feed_s)) != feed
        column = column[rest]
        return Ports(
            self.feed_s[rest],
            self.feed_v[rest] + column * given_a,
            self.feed_ohm[np.ix_(rest, rest)] + np.outer(column, share * column),
            self.place_v + row * given_a,
            self.place_ohm + share * row**2,
            self.between_ohm[rest] + np.outer(column, share * row),
        )

    def at(self, places: np.ndarray) -> Ports:
        """The same for some of the places."""
        return Ports(
            *(self.feed_s, self.feed_v, self.feed_ohm),
            *(self.place_v[places], self.place_ohm[places], self.between_ohm[:, places]),
        )


def ports(net: Segments, feeds: np.ndarray, ends: np.ndarray, places: np.ndarray) -> Ports:
    """Of the segments `feeds` (F,), each from the first to the second point of `ends` (F, 2), and
    the nodes `places` (K,)."""
    p, q = net.near[places].T
    own = np.unique(np.concatenate([ends.ravel(), p, q]))
    unknown = np.unique(np.concatenate([net.plus[own], net.points + own]))
    unit = np.zeros((2 * net.points, len(unknown)))
    unit[unknown, np.arange(len(unknown))] = 1.0
    ohm = net.solved.solve(unit)[unknown]
    plus = np.searchsorted(unknown, net.plus)
    minus = np.searchsorted(unknown, net.points + np.arange(net.points))

    plus_v, minus_v = net.open_v
    first, second = ends.T
    across = ohm[plus[first]] - ohm[plus[second]]
    # Each place as four unknowns and what each of them counts.
    a, b = net.along[places].T
    terms = ((plus[p], 1 - a), (plus[q], a), (minus[p], b - 1), (minus[q], -b))
    return Ports(
        feed_s=net.plus_s[feeds],
        feed_v=plus_v[first] - plus_v[second],
        feed_ohm=across[:, plus[first]] - across[:, plus[second]],
        place_v=(1 - a) * plus_v[p] + a * plus_v[q] - (1 - b) * minus_v[p] - b * minus_v[q],
        place_ohm=net.inner_ohm[places]
        + sum(x * y * ohm[i, j] for i, x in terms for j, y in terms),
        between_ohm=sum(across[:, i] * x for i, x in terms),  # type: ignore[arg-type]
    )


def amps_in_turn(found: Ports, rated_a: np.ndarray) -> np.ndarray:
    """(F, K) [A] in each feed when its turn to open comes, for a short at each place.

    The feed most loaded for its rating (F,) [A] opens next; 0 where its turn never comes.
    """
    feeds, places = found.between_ohm.shape
    amps = np.zeros((feeds, places))
    # What is closed, to the circuit that is left and the places for which it is.
    now = {(1 << feeds) - 1: (found, np.arange(places))}
    numbers = np.arange(feeds)
    while now:
        after: dict[int, list[tuple[Ports, np.ndarray]]] = {}
        for closed, (circuit, mine) in now.items():
            here = numbers[[bool(closed >> f & 1) for f in range(feeds)]]
            flow = circuit.short_a()
            load = np.abs(flow) / rated_a[here, None]
            most = load.max(axis=0)
            turn = (load >= SAME * most) & (most > NOTHING_A)
            row, column = np.nonzero(turn)
            amps[here[row], mine[column]] = flow[row, column]
            for rows, some in _alike(turn):
                left: Ports | None = circuit.at(some)
                for count, feed in enumerate(rows):
                    left = left.opened(feed - count) if left else None
                if left is not None and len(left.feed_s):
                    still = closed & ~sum(1 << int(here[feed]) for feed in rows)
                    after.setdefault(still, []).append((left, mine[some]))
        now = {closed: _together(found) for closed, found in after.items()}
    return amps


def _alike(turn: np.ndarray) -> list[tuple[list[int], np.ndarray]]:
    """Places (K,) by which feeds' turn it is, `turn` (F, K) bool; none where it is nobody's."""
    single = turn.sum(axis=0) == 1
    first = turn.argmax(axis=0)
    found = [
        ([int(feed)], np.flatnonzero(single & (first == feed))) for feed in np.unique(first[single])
    ]
    several = np.flatnonzero(turn.sum(axis=0) > 1)
    if not len(several):
        return found
    patterns, which = np.unique(turn[:, several], axis=1, return_inverse=True)
    for k, pattern in enumerate(patterns.T):
        found.append((np.flatnonzero(pattern).tolist(), several[which.ravel() == k]))
    return found


def _together(found: list[tuple[Ports, np.ndarray]]) -> tuple[Ports, np.ndarray]:
    """The places of several ways to one circuit."""
    (first, _), parts = found[0], [part for part, _ in found]
    if len(found) == 1:
        return found[0]
    return (
        Ports(
            *(first.feed_s, first.feed_v, first.feed_ohm),
            np.concatenate([part.place_v for part in parts]),
            np.concatenate([part.place_ohm for part in parts]),
            np.concatenate([part.between_ohm for part in parts], axis=1),
        ),
        np.concatenate([places for _, places in found]),
    )
