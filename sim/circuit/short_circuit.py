"""What flows in the feeds of a stretch while + and − touch at a place of it, fuse after fuse.

The circuit is the one without pixels, both conductors. A short is a pair of terminals, + and − of
its place; a feed that may open is another, across its + conductor. With Z the inverse of the
conductances, the voltages between the terminals before anything happens and Z between all of them
say what flows (superposition: Thevenin; Z is symmetric: reciprocity). A fuse that opens is a
conductance taken away: a change of Z of rank one (Sherman and Morrison 1950). So nothing is solved
anew for a place or for a fuse (`short_kernel`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sim.kernels import asleep, plainly

from .segments import Segments
from .short_kernel import in_turn, none_opened

#: callback(done, total) of long work.
Progress = Callable[[float, float], None]

#: [A] below which nothing but rounding flows; two loads are the same from this ratio up.
NOTHING_A, SAME = 1e-6, 1 - 1e-9
#: A feed whose share of its own current is less than this is the only way there is.
_ALONE = 1e-9
#: Multiplications at the most between two words of how far the work is: less than a second.
_STEPS = 5e8
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
    between_ohm: np.ndarray  # (F, K)


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


def amps_in_turn(found: Ports, rated_a: np.ndarray, progress: Progress | None = None) -> np.ndarray:
    """(F, K) [A] in each feed when its turn to open comes, for a short at each place.

    The feed most loaded for its rating (F,) [A] opens next; 0 where its turn never comes.
    `progress(done, total)` counts places.
    """
    feeds, places = found.between_ohm.shape
    amps = np.zeros((places, feeds))
    ohm, between = np.ascontiguousarray(found.feed_ohm.T), found.between_ohm.T.copy()
    opened = none_opened(found.feed_v)
    few = asleep() and places * feeds**2 <= _FEW
    at_once = max(1, int(_STEPS / max(feeds, 1) ** 3))
    for begin in range(0, places, at_once):
        some = slice(begin, begin + at_once)
        with plainly(few), np.errstate(all="ignore"):  # as compiled code does
            in_turn(
                *(found.feed_s, ohm, found.place_v[some], found.place_ohm[some], between[some]),
                *(np.asarray(rated_a, dtype=float), (NOTHING_A, SAME, _ALONE), opened, amps[some]),
            )
        if progress is not None:
            progress(min(begin + at_once, places), places)
    return amps.T
