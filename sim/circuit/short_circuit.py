"""What flows in the feeds of a stretch while + and − touch at a place of it, fuse after fuse.

The circuit is the one without pixels, both conductors. A short is a pair of terminals, + and − of
its place; a feed that may open is another, across its + conductor. With Z the inverse of the
conductances, the voltages between the terminals before anything happens and Z between all of them
say what flows (superposition: Thevenin; Z is symmetric: reciprocity). A fuse that opens is a
conductance taken away: a change of Z of rank one (Sherman and Morrison 1950). So nothing is solved
anew for a place or for a fuse, and what is too far from the short to be reached costs nothing
(`short_kernel`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sim.kernels import asleep, plainly

from .segments import Segments
from .short_kernel import FuseRow, in_turn, none_opened

#: callback(done, total) of long work.
Progress = Callable[[float, float], None]

#: [A] below which nothing but rounding flows; two loads are the same from this ratio up.
NOTHING_A, SAME = 1e-6, 1 - 1e-9
#: A feed whose share of its own current is less than this is the only way there is.
_ALONE = 1e-9
#: What of a feed's own Z is too little to concern another: less than what equations are solved to.
_FAINT = 1e-15
#: Multiplications at the most between two words of how far the work is: less than a second.
_WORK = 200_000_000
#: Up to so many the compiler would take longer to load.
_FEW = 20_000


@dataclass(frozen=True, eq=False)
class Ports:
    """F feeds and K places while all fuses are closed."""

    feed_s: np.ndarray  # (F,) [S] of the + conductor
    feed_v: np.ndarray  # (F,) [V] across it, in the direction in which it feeds
    feed_ohm: np.ndarray  # (F, F) Z between feeds
    place_v: np.ndarray  # (K,) [V] between + and − of each place
    place_ohm: np.ndarray  # (K,) Z of each place
    between_ohm: np.ndarray  # (K, F)


def across_ohm(net: Segments, ends: np.ndarray) -> np.ndarray:
    """(U, F) Z between all unknowns and feeds, each from the first to the second point of `ends`
    (F, 2). What goes in at one end comes out at the other: so nothing of it is lost in the tie of
    an island to 0 V."""
    first, second = net.plus[ends.T]
    return np.ascontiguousarray(net.solved.solve(_between(first, second, 2 * net.points)))


def ports(
    net: Segments,
    feeds: np.ndarray,
    ends: np.ndarray,
    places: np.ndarray,
    across: np.ndarray | None = None,
) -> Ports:
    """Of the segments `feeds` (F,), each from the first to the second point of `ends` (F, 2), and
    the nodes `places` (K,); `across` if `across_ohm` of the feeds is known already.

    A place is the pair + and − of its first point, so far along + to the second and so far along −:
    three pairs of unknowns for all places between two points.
    """
    across = across_ohm(net, ends) if across is None else across
    plus_v, minus_v = net.open_v
    first, second = ends.T
    near, which = np.unique(net.near[places], axis=0, return_inverse=True)
    which = which.ravel()
    p, q = near.T
    a, b = net.along[places].T
    into = np.stack([net.plus[p], net.plus[q], net.points + p])  # (3, G)
    out = np.stack([net.points + p, net.plus[p], net.points + q])
    unit = net.solved.solve(_between(into.ravel(), out.ravel(), 2 * net.points))
    each = np.arange(len(near))
    own = (unit[into] - unit[out]).reshape(*into.shape, *into.shape)[:, each, :, each]  # (G, 3, 3)
    pairs = np.stack([np.ones(len(places)), a, b], axis=1)
    between = across[into] - across[out]  # (3, G, F)
    i, j = near[which].T
    return Ports(
        feed_s=net.plus_s[feeds],
        feed_v=plus_v[first] - plus_v[second],
        feed_ohm=across[net.plus[first]] - across[net.plus[second]],
        place_v=(1 - a) * plus_v[i] + a * plus_v[j] - (1 - b) * minus_v[i] - b * minus_v[j],
        place_ohm=net.inner_ohm[places] + np.einsum("ki,kij,kj->k", pairs, own[which], pairs),
        between_ohm=sum(pairs[:, n, None] * between[n][which] for n in range(3)),  # type: ignore[arg-type]
    )


def _between(into: np.ndarray, out: np.ndarray, size: int) -> np.ndarray:
    """(size, J) 1 A that goes in at one unknown and comes out at another, for each pair."""
    given, each = np.zeros((size, len(into))), np.arange(len(into))
    np.add.at(given, (into, each), 1.0)
    np.subtract.at(given, (out, each), 1.0)
    return given


def amps_in_turn(found: Ports, rated_a: np.ndarray, progress: Progress | None = None) -> np.ndarray:
    """(F, K) [A] in each feed when its turn to open comes, for a short at each place.

    The feed most loaded for its rating (F,) [A] opens next; 0 where its turn never comes.
    `progress(done, total)` counts places.
    """
    places, feeds = found.between_ohm.shape
    amps, between = np.zeros((places, feeds)), found.between_ohm.copy()
    row, opened, done = _row(found, rated_a), none_opened(feeds), 0
    few = asleep() and places * feeds**2 <= _FEW
    while done < places:
        with plainly(few), np.errstate(all="ignore"):  # as compiled code does
            done = in_turn(
                *(row, found.place_v, found.place_ohm, between, (NOTHING_A, SAME, _ALONE, _FAINT)),
                *(opened, done, _WORK, amps),
            )
        if progress is not None:
            progress(done, places)
    return amps.T


def _row(found: Ports, rated_a: np.ndarray) -> FuseRow:
    """The feeds as the compiled core reads them."""
    own = np.sqrt(np.abs(found.feed_ohm.diagonal()))
    some = np.abs(found.feed_ohm) > _FAINT * own[:, None] * own
    np.fill_diagonal(some, True)
    return FuseRow(
        found.feed_s,
        found.feed_v,
        found.feed_s / np.asarray(rated_a, dtype=float),
        np.r_[0, np.cumsum(some.sum(axis=1))],
        np.nonzero(some)[1],
        found.feed_ohm[some],
    )
