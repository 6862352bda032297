"""Where labels stand beside what they name: none over another, all inside.

Every label may stand at many places around its anchor. They choose one after another, then again
while the others stand still, until none gains; of several orders in which they begin, the one that
ends best is kept. What a label
covers (points, lines) and how far it is moved make a place worse; another label, or the rim, rules
it out. Pure and without chance: the same labels, the same places.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

#: Directions in which a label may be moved, and how far [heights of a line].
_DIRECTIONS, _STEPS = 24, (0.8, 1.6, 2.6, 3.8, 5.4, 7.5, 10.0, 13.0, 17.0, 22.0)
#: Rounds in which labels choose again.
_ROUNDS = 6
#: What each height moved costs, covering a point, a point of a line, crossing a leader.
MOVED, POINT, _LINE, CROSSED = 2.0, 6.0, 0.06, 8.0
#: What standing at another mark as if it were the own one costs, or leading past one.
_ASTRAY = 10.0


@dataclass(frozen=True, eq=False)
class Free:
    """What labels must keep off or had better keep off."""

    area: tuple[float, float, float, float]  # left, top, right, bottom; labels stay inside
    taken: np.ndarray  # (B, 4) rectangles that no label may touch
    points: np.ndarray  # (P, 2) marks that a label had better not hide
    lines: np.ndarray  # (Q, 2) points a pixel or so apart along lines, likewise


def label_places(
    anchor: np.ndarray, size: np.ndarray, free: Free, gap: float, orders: int = 7
) -> list[tuple[float, float] | None]:
    """The upper left corner of each label, or None where nothing is left for it.

    anchor : (L, 2) [px] what each names
    size : (L, 2) [px] width and height of each
    gap : [px] kept between labels
    orders : in how many orders they may begin, 1..7; fewer are faster and find worse places
    """
    count = len(anchor)
    if not count:
        return []
    corners = [candidates(anchor[n], size[n], free) for n in range(count)]
    costs = [_own_cost(corners[n], anchor[n], size[n], free, gap) for n in range(count)]
    told = _Labels(anchor, size, corners, costs, gap)
    few = [int(np.isfinite(cost).sum()) for cost in costs]
    middle = np.hypot(*(anchor - anchor.mean(axis=0)).T)
    keys = (
        few, middle, -middle, anchor[:, 0], -anchor[:, 0], anchor[:, 1], -anchor[:, 1],
    )  # fmt: skip
    found = [
        _settled(told, sorted(range(count), key=lambda n: (key[n], n))) for key in keys[:orders]
    ]
    chosen = min(found, key=lambda each: _total(told, each))
    return [
        None if at is None else (float(corners[n][at, 0]), float(corners[n][at, 1]))
        for n, at in enumerate(chosen)
    ]


@dataclass(frozen=True, eq=False)
class _Labels:
    """What places are chosen from: of each label its anchor, size, corners (C, 2), costs (C,)."""

    anchor: np.ndarray
    size: np.ndarray
    corners: list[np.ndarray]
    costs: list[np.ndarray]
    gap: float
    known: dict[tuple[int, int, int], np.ndarray] = field(default_factory=dict)  # see `_between`


_Chosen = list[int | None]


def _settled(told: _Labels, order: list[int]) -> _Chosen:
    """Places chosen in an order, then again and again until none gains."""
    count = len(order)
    chosen: _Chosen = [None] * count
    for turn in range(_ROUNDS):
        moved = False
        for n in order:
            total = told.costs[n] + _between(n, told, chosen)
            best = int(total.argmin()) if len(total) else 0
            new = best if len(total) and np.isfinite(total[best]) else None
            moved = moved or new != chosen[n]
            chosen[n] = new
        if not moved:
            break
        # Those left without a place choose first in the next round, their neighbours give way.
        order = sorted(order, key=lambda n: chosen[n] is not None)
        if turn + 1 < _ROUNDS:
            for n in [m for m in order if chosen[m] is None]:
                _make_room(n, told, chosen)
    return chosen


def _total(told: _Labels, chosen: _Chosen) -> float:
    """What all places cost together; one left without is worse than anything else."""
    cost = 0.0
    for n, at in enumerate(chosen):
        if at is None:
            cost += 1e6
        else:
            cost += float(told.costs[n][at]) + float(_between(n, told, chosen)[at]) / 2
    return cost


def leader(
    anchor: tuple[float, float], corner: tuple[float, float], size: tuple[float, float]
) -> tuple[float, float]:
    """The point of a label's rim nearest to its anchor, where a line to it ends."""
    return (
        min(max(anchor[0], corner[0]), corner[0] + size[0]),
        min(max(anchor[1], corner[1]), corner[1] + size[1]),
    )


def candidates(anchor: np.ndarray, size: np.ndarray, free: Free) -> np.ndarray:
    """(C, 2) corners around an anchor that lie inside."""
    line = min(size[1], 30.0)
    turn = np.arange(_DIRECTIONS) * (2 * np.pi / _DIRECTIONS)
    way = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    # The label's rim is so far from the anchor in each direction, whatever its shape.
    rim = np.minimum(
        size[0] / 2 / np.maximum(np.abs(way[:, 0]), 1e-9),
        size[1] / 2 / np.maximum(np.abs(way[:, 1]), 1e-9),
    )
    reach = rim + line * np.array(_STEPS)[:, None]  # (steps, directions)
    middle = anchor + reach[..., None] * way
    corner = np.round(middle.reshape(-1, 2) - size / 2)
    left, top, right, bottom = free.area
    if size[0] > right - left or size[1] > bottom - top:
        return np.zeros((0, 2))
    # What would stand out over the rim is moved in along it.
    inside = np.clip(corner, (left, top), (right - size[0], bottom - size[1]))
    return np.unique(inside, axis=0)


def _own_cost(
    corner: np.ndarray, anchor: np.ndarray, size: np.ndarray, free: Free, gap: float
) -> np.ndarray:
    """(C,) what each place costs whatever the other labels do."""
    line = min(size[1], 30.0)
    near = np.clip(anchor, corner, corner + size)
    cost = MOVED * np.hypot(*(near - anchor).T) / line
    for points, each in ((free.points, POINT), (free.lines, _LINE)):
        if len(points):
            low, high = corner[:, None] - 2, corner[:, None] + size + 2
            inside = ((points > low) & (points < high)).all(axis=-1)
            cost = cost + each * inside.sum(axis=1)
    cost = cost + _ASTRAY * _astray(corner, anchor, near, size, free.points, line)
    for rect in free.taken:
        cost = np.where(_meets(corner, size, rect[:2], rect[2:] - rect[:2], gap), np.inf, cost)
    return np.asarray(cost)


def _astray(
    corner: np.ndarray,
    anchor: np.ndarray,
    near: np.ndarray,
    size: np.ndarray,
    points: np.ndarray,
    line: float,
) -> np.ndarray:
    """(C,) how many marks of others a place could be taken to belong to: it stands at one, or its
    leader leads past one, which weighs more."""
    others = points[np.hypot(*(points - anchor).T) > 1.0] if len(points) else points
    if not len(others):
        return np.zeros(len(corner))
    rim = np.clip(others, corner[:, None], corner[:, None] + size)  # (C, P, 2)
    away = np.hypot(*np.moveaxis(rim - others, -1, 0))
    own = np.hypot(*(near - anchor).T)
    count = ((away < 1.2 * own[:, None] + 0.3 * line) & (away < 0.8 * line)).sum(axis=1)
    # How near the leader comes to each of them.
    way = near - anchor
    long = np.maximum((way**2).sum(axis=1), 1e-9)
    share = np.clip(np.einsum("pk,ck->cp", others - anchor, way) / long[:, None], 0, 1)
    foot = anchor + share[..., None] * way[:, None]
    past = np.hypot(*np.moveaxis(foot - others, -1, 0)) < 0.3 * line
    return np.asarray(count + 1.6 * (past & (own[:, None] > 0.5 * line)).sum(axis=1), dtype=float)


def _between(n: int, told: _Labels, chosen: _Chosen) -> np.ndarray:
    """(C,) what each place of label `n` costs beside those chosen by the others."""
    cost = np.zeros(len(told.corners[n]))
    for m, at in enumerate(chosen):
        if m != n and at is not None:
            if (n, m, at) not in told.known:  # the same places come up again and again
                told.known[n, m, at] = _beside(n, m, at, told)
            cost += told.known[n, m, at]
    return cost


def _beside(n: int, m: int, at: int, told: _Labels) -> np.ndarray:
    """(C,) what each place of label `n` costs beside label `m` at its place number `at`."""
    anchor, size, mine, there = told.anchor, told.size, told.corners[n], told.corners[m][at]
    rim = np.clip(anchor[n], mine, mine + size[n])
    ends = np.clip(anchor[m], there, there + size[m])
    # Neither leader goes through the other's label, nor over the other leader.
    crossed = _passes(anchor[n], rim, there, there + size[m]).astype(float)
    crossed += _passes(ends, anchor[m][None], mine, mine + size[n])
    crossed += crosses(anchor[n], rim, anchor[m], ends)
    meets = _meets(mine, size[n], there, size[m], told.gap)
    return np.where(meets, np.inf, CROSSED * crossed)


def _make_room(n: int, told: _Labels, chosen: _Chosen) -> None:
    """Put a label without a place where the fewest others stand, which then look for another."""
    if not np.isfinite(told.costs[n]).any():
        return
    mine, size, gap = told.corners[n], told.size, told.gap
    standing = [(m, at) for m, at in enumerate(chosen) if m != n and at is not None]
    pushed = np.array(
        [_meets(mine, size[n], told.corners[m][at], size[m], gap) for m, at in standing]
    ).reshape(len(standing), -1)
    best = int((told.costs[n] + 1000.0 * pushed.sum(axis=0)).argmin())
    for (m, _), away in zip(standing, pushed[:, best], strict=True):
        if away:
            chosen[m] = None
    chosen[n] = best


def _meets(
    corner: np.ndarray, size: np.ndarray, other: np.ndarray, other_size: np.ndarray, gap: float
) -> np.ndarray:
    """(C,) bool: whether rectangles at `corner` (C, 2) come nearer than `gap` to another."""
    clear = (corner >= other + other_size + gap) | (corner + size + gap <= other)
    return np.asarray(~clear.any(axis=-1))


def _passes(start: np.ndarray, end: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Whether the middle part of a line from `start` to `end` (…, 2) lies in a rectangle."""
    share = np.linspace(0.05, 0.95, 10)[:, None, None]
    points = start + share * (np.atleast_2d(end) - start)
    return np.asarray(((points > low) & (points < high)).all(axis=-1).any(axis=0))


def crosses(start: np.ndarray, end: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Whether lines from `start` to `end` (…, 2) cross those from a to b (…, 2)."""

    def side(p: np.ndarray, q: np.ndarray, r: np.ndarray) -> np.ndarray:
        return np.asarray((q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1])
                          - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0]))  # fmt: skip

    parted = side(start, end, a) * side(start, end, b) < 0
    return np.asarray(parted & (side(a, b, start) * side(a, b, end) < 0))
