"""Mixing with two whites: which duties show a colour, where five channels leave two of them free.

Three numbers are asked and five duties given, each 0..1, so a rule has to say which of the many
mixtures it is. Every rule is a linear programme [for linear programming see any textbook, for
example Chvátal, Linear Programming, 1983, chapters 7 and 10, from memory]:

    most     the most light of both whites together
    economy  the least current
    0..1     that share of the whites of `most`, each as far as it replaces r, g and b

The best mixture has all but three channels at 0 or at 1. Which three they can be, and where the
other two stand, follows from the costs alone and not from the colour: of the ten triples each is
the best for one region of colours, in which the duties are linear in the colour. So the programme
is solved once for a kind, and a pixel only looks up its piece. The best mixture is unique,
therefore it changes without a jump where a fade crosses from one piece to the next. Two whites that
are alike would have many best mixtures; what tells them apart is a cost too small to matter, the
same in all pieces, so that these still lie beside each other without a gap [perturbation: Charnes,
Optimality and degeneracy in linear programming, 1952, from memory].

How much of a colour there can be at all is the edge of the solid that the five channels span with
duties 0..1: every pair of channels spans two of its faces.

Codes taken raw and `common` know no colours of dies: the one white of that rule is given to the two
in halves [common practice, no source].
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from layouts.records import Kind
from sim.colour.kernel import MixLaw
from sim.colour.two_whites_kernel import TwoWhites, most_share

#: Channels whose determinant, against the columns' own size, is this near to 0 span nothing: what
#: they would reach beside the others is as thin, and their inverse rounds worse than a duty may.
_NOTHING = 1e-7
#: What mixtures of the same cost are told apart by, against the largest cost.
_APART = 1e-9


def two_whites(
    kind: Kind, base: MixLaw, white: str | float, content: np.ndarray, flux_lm: np.ndarray
) -> TwoWhites:
    """The law of a kind with two whites under the rule `white`, most, economy, off or a share.

    base : the law of its r, g, b alone
    content : (3, 2) duties of r, g, b whose light one full w, one full c has
    flux_lm : (5,) of the channels at full duty
    """
    columns = np.hstack([np.eye(3), content])
    share = float(white) if not isinstance(white, str) else 1.0
    cost = _told_apart(-np.concatenate([np.zeros(3), flux_lm[3:]]))
    full = np.ones(5)
    if white == "off" or share == 0.0:
        pieces = np.vstack([np.eye(3), np.zeros((2, 3))])[None]
        pieces, columns, share = np.dstack([pieces, np.zeros((1, 5, 1))]), np.eye(3), 1.0
    elif white == "economy":
        cost = _told_apart(np.array([channel.current_ma for channel in kind.channels]))
        pieces = pieces_of(columns, cost, full)
    elif share == 1.0:
        pieces = pieces_of(columns, cost, full)
    else:  # what its r, g, b then need is not the concern of the whites
        pieces = pieces_of(columns, cost, np.array([np.inf] * 3 + [1.0] * 2))
    costs = np.einsum("c,pcx->px", cost, pieces)
    faces, content = faces_of(columns), np.ascontiguousarray(content)
    return TwoWhites(base, False, pieces, costs, faces, content, share)


def halved(base: MixLaw) -> TwoWhites:
    """The law of a kind whose two whites share the one white of `base` evenly."""
    none = np.zeros((0, 4))
    return TwoWhites(base, True, np.zeros((0, 5, 4)), none, none, np.zeros((3, 2)), base.share)


def _told_apart(cost: np.ndarray) -> np.ndarray:
    """Costs (5,) of which no two mixtures come to the same but by chance: roots of primes are in
    no proportion of whole numbers to each other."""
    return cost + _APART * np.abs(cost).max() * np.sqrt([2.0, 3.0, 5.0, 7.0, 11.0])


def pieces_of(columns: np.ndarray, cost: np.ndarray, most: np.ndarray) -> np.ndarray:
    """(P, n, 4) the linear pieces of the duties that show a colour at the least `cost`.

    columns : (3, n) light of the channels; cost : (n,) of a duty; most : (n,) the largest duty
    A piece gives the duties of a colour q as its rows times (q, 1), and holds where all are in
    bounds. By complementary slackness a channel whose duty would save cost is at its largest,
    one that would add to it at 0.
    """
    found = []
    count = columns.shape[1]
    for basic in map(list, combinations(range(count), 3)):
        others = [each for each in range(count) if each not in basic]
        matrix = columns[:, basic]
        if abs(np.linalg.det(matrix)) < _NOTHING * np.linalg.norm(matrix, axis=0).prod():
            continue
        inverse = np.linalg.inv(matrix)
        saved = cost[others] - cost[basic] @ inverse @ columns[:, others]
        at = np.where(saved < 0, most[others], 0.0)
        if not np.isfinite(at).all():
            continue
        piece = np.zeros((count, 4))
        piece[basic, :3] = inverse
        piece[basic, 3] = -inverse @ columns[:, others] @ at
        piece[others, 3] = at
        found.append(piece)
    return _commonest_first(np.array(found), columns)


def _commonest_first(pieces: np.ndarray, columns: np.ndarray) -> np.ndarray:
    """The pieces in the order in which evenly spread duties fall into them, to be found sooner."""
    duties = np.stack(np.meshgrid(*[np.linspace(0.1, 0.9, 4)] * columns.shape[1]), axis=-1)
    colours = duties.reshape(-1, columns.shape[1]) @ columns.T
    shown = np.einsum("pcx,qx->pqc", pieces[..., :3], colours) + pieces[:, None, :, 3]
    off = np.maximum(-shown, shown - 1.0).max(axis=-1)
    times = np.bincount(off.argmin(axis=0), minlength=len(pieces))
    return pieces[np.argsort(-times, kind="stable")]


def faces_of(columns: np.ndarray) -> np.ndarray:
    """(F, 4) the faces (normal, height) of all that `columns` (3, n) give with duties 0..1.

    A colour q is within where normal · q ≤ height of each; faces through black are left out.
    """
    found = []
    for a, b in combinations(columns.T, 2):
        normal = np.cross(a, b)
        length = np.linalg.norm(normal)
        if length < _NOTHING * np.linalg.norm(a) * np.linalg.norm(b):
            continue
        along = normal / length @ columns
        for sign in (1.0, -1.0):
            height = np.maximum(sign * along, 0.0).sum()
            if height > 1e-9 * np.abs(along).max():
                found.append([*(sign * normal / length), height])
    return np.array(found)


def room_for(reference: np.ndarray, law: TwoWhites) -> float:
    """How many times the colour `reference` (3,), as duties of r, g, b, there can be at most."""
    red, green, blue = reference.tolist()
    return float(most_share(red, green, blue, np.inf, law))
