"""Lines that lie on one another, drawn beside each other.

Cables of several feeds share their way along a run. Every straight piece of a way that shares a
line with pieces of other ways gets a lane of its own, a little to the side; pieces meet where their
lanes cross. What is shown is where cable lies, moved by a few pixels so that each can be followed.
"""

from __future__ import annotations

import numpy as np

#: Pieces whose line differs by less than this [px], and whose direction by less [rad], are one's.
_NEAR_PX, _NEAR_RAD = 3.0, 0.03
#: Lanes meet in a corner at most so many times their step away from where the way turns.
_POINTED = 1.5


def beside_each_other(
    ways: list[np.ndarray], apart_px: float, still: list[np.ndarray] | None = None
) -> list[np.ndarray]:
    """The ways (K, 2) [px], each shared piece moved to its lane; ends stay where they are.

    What lies on a line of `still` gives way to it as well.
    """
    fixed = still or []
    pieces = [
        (w, k, way[k], way[k + 1])
        for w, way in [*enumerate(fixed, -len(fixed)), *enumerate(ways)]
        for k in range(len(way) - 1)
        if np.hypot(*(way[k + 1] - way[k])) > 1e-6
    ]
    shift: dict[tuple[int, int], np.ndarray] = {}
    for group in _groups(pieces):
        lanes = _lanes([pieces[n] for n in group])
        normal = _normal(*pieces[group[0]][2:])
        for n, lane in zip(group, lanes, strict=True):
            shift[pieces[n][:2]] = normal * lane * apart_px
    return [_moved(way, [shift.get((w, k), np.zeros(2)) for k in range(len(way) - 1)])
            for w, way in enumerate(ways)]  # fmt: skip


_Piece = tuple[int, int, np.ndarray, np.ndarray]


def _normal(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Unit vector across a piece, the same for both of its directions: down, or to the right."""
    along = (b - a) / np.hypot(*(b - a))
    across = np.array([-along[1], along[0]])
    upwards = across[1] < -1e-9 or (abs(across[1]) <= 1e-9 and across[0] < 0)
    return -across if upwards else across


def _groups(pieces: list[_Piece]) -> list[list[int]]:
    """Pieces by the line they lie on."""
    found: list[tuple[np.ndarray, float, list[int]]] = []
    for n, (_, _, a, b) in enumerate(pieces):
        normal = _normal(a, b)
        offset = float(normal @ (a + b) / 2)
        for other, far, own in found:
            if abs(offset - far) < _NEAR_PX and abs(_turn(normal, other)) < _NEAR_RAD:
                own.append(n)
                break
        else:
            found.append((normal, offset, [n]))
    return [own for _, _, own in found]


def _lanes(pieces: list[_Piece]) -> list[int]:
    """A lane for each piece, 0 the line itself; ways that go farther lie nearer to it."""
    normal = _normal(*pieces[0][2:])
    along = np.array([normal[1], -normal[0]])
    spans = [sorted((float(along @ a), float(along @ b))) for _, _, a, b in pieces]
    order = sorted(
        range(len(pieces)),
        key=lambda n: (pieces[n][0] >= 0, spans[n][0] - spans[n][1], pieces[n][:2]),
    )
    lane = [0] * len(pieces)
    used: list[list[tuple[float, float, int]]] = []
    for n in order:
        low, high = spans[n]
        own = pieces[n][0]
        free = (
            number
            for number, others in enumerate(used)
            if all(high <= a + 1 or low >= b - 1 or w == own for a, b, w in others)
        )
        number = next(free, len(used))
        if number == len(used):
            used.append([])
        used[number].append((low, high, pieces[n][0]))
        lane[n] = number
    return lane


def _moved(way: np.ndarray, shift: list[np.ndarray]) -> np.ndarray:
    """A way with each piece moved; pieces meet where they cross, or by a step where they do not."""
    if not any(s.any() for s in shift):
        return way
    points = [way[0], way[0] + shift[0]]
    for k in range(1, len(way) - 1):
        before, after = way[k] + shift[k - 1], way[k] + shift[k]
        d, e = way[k] - way[k - 1], way[k + 1] - way[k]
        turn = _turn(d, e)
        gap = after - before
        far = abs(_turn(gap, e)) * np.hypot(*d)
        if far >= _POINTED * abs(turn) * max(np.hypot(*gap), 1.0):
            points += [before, after]  # nearly straight on or nearly back: they meet too far away
        else:
            points.append(before + d * (_turn(gap, e) / turn))
    return np.array([*points, way[-1] + shift[-1], way[-1]])


def _turn(a: np.ndarray, b: np.ndarray) -> float:
    """|a| |b| times the sine of the angle from a to b."""
    return float(a[0] * b[1] - a[1] * b[0])
