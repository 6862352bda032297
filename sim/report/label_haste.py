"""Places of labels found in haste, for a window that cannot wait: many labels in a fraction of a
second.

The places of `label_places`, and its costs but that lines are kept off more; each label takes the
best that is left, those without one push others aside, and all choose once more. What
`label_places` finds with patience is better.
"""

from __future__ import annotations

import numpy as np

from .label_places import CROSSED, MOVED, POINT, Free, candidates, crosses

#: What covering a point of a line costs.
_LINE = 0.15
#: Side of the squares [px] in which points are counted.
_CELL = 4
#: How often all choose.
_ROUNDS = 2

_Corner = tuple[float, float]


def label_haste(
    anchor: np.ndarray, size: np.ndarray, free: Free, gap: float
) -> list[_Corner | None]:
    """The upper left corner of each label, or None; arguments as those of `label_places`."""
    found = _Haste(anchor, size, free, gap)
    few = [int(np.isfinite(cost).sum()) for cost in found.costs]
    order = sorted(range(len(anchor)), key=lambda n: (few[n], n))
    for _ in range(_ROUNDS):
        for n in order:
            found.choose(n)
        for n in order:
            if not found.there[n]:
                found.push(n)
    return [
        (float(corner[0]), float(corner[1])) if there else None
        for corner, there in zip(found.corner, found.there, strict=True)
    ]


class _Counted:
    """Points counted in squares, so that those in a rectangle are known at once."""

    def __init__(self, points: np.ndarray, area: tuple[float, float, float, float]):
        left, top, right, bottom = area
        self.corner = np.array([left, top])
        shape = (int((right - left) // _CELL) + 2, int((bottom - top) // _CELL) + 2)
        counted = np.zeros((shape[0] + 1, shape[1] + 1))
        at = ((points - self.corner) // _CELL).astype(int)
        at = at[((at >= 0) & (at < shape)).all(axis=1)]
        np.add.at(counted, (at[:, 0] + 1, at[:, 1] + 1), 1)
        self.sums = counted.cumsum(axis=0).cumsum(axis=1)

    def inside(self, corner: np.ndarray, size: np.ndarray) -> np.ndarray:
        """(C,) how many points lie in the rectangles at `corner` (C, 2), to a square's side."""
        most = np.array(self.sums.shape) - 1
        low = np.clip(np.floor((corner - self.corner) / _CELL).astype(int), 0, most)
        high = np.clip(np.ceil((corner + size - self.corner) / _CELL).astype(int), 0, most)
        s = self.sums
        return np.asarray(
            s[high[:, 0], high[:, 1]] - s[low[:, 0], high[:, 1]]
            - s[high[:, 0], low[:, 1]] + s[low[:, 0], low[:, 1]]
        )  # fmt: skip


class _Haste:
    """What stands where so far; L labels."""

    def __init__(self, anchor: np.ndarray, size: np.ndarray, free: Free, gap: float):
        count = len(anchor)
        self.anchor, self.size, self.gap = anchor, size, gap
        self.corners = [candidates(anchor[n], size[n], free) for n in range(count)]
        marks, beads = _Counted(free.points, free.area), _Counted(free.lines, free.area)
        self.costs = []
        for corner, own, here in zip(self.corners, size, anchor, strict=True):
            near = np.clip(here, corner, corner + own)
            cost = MOVED * np.hypot(*(near - here).T) / min(own[1], 30.0)
            cost = cost + POINT * marks.inside(corner, own) + _LINE * beads.inside(corner, own)
            if len(free.taken):
                low, high = free.taken[:, :2], free.taken[:, 2:]
                clear = (corner[:, None] >= high + gap) | (corner[:, None] + own + gap <= low)
                cost = np.where((~clear.any(axis=-1)).any(axis=1), np.inf, cost)
            self.costs.append(cost)
        self.corner = np.zeros((count, 2))
        self.end = np.zeros((count, 2))  # of each leader, at its label
        self.there = np.zeros(count, dtype=bool)

    def choose(self, n: int) -> bool:
        """The best place left for a label; whether there is one."""
        self.there[n] = False
        if not len(self.corners[n]):
            return False
        cost = self.costs[n]
        if self.there.any():
            meets = self._meets(n)
            cost = np.where(meets.any(axis=1), np.inf, cost)
            if np.isfinite(cost).any():
                cost = cost + CROSSED * self._crossed(n)
        at = int(cost.argmin())
        if not np.isfinite(cost[at]):
            return False
        self._put(n, at)
        return True

    def push(self, n: int) -> None:
        """Put a label where the fewest others give way, if each of those finds another place."""
        if not len(self.corners[n]) or not np.isfinite(self.costs[n]).any():
            return
        before = self.corner.copy(), self.end.copy(), self.there.copy()
        meets = self._meets(n)
        others = np.flatnonzero(self.there)
        for at in np.argsort(self.costs[n] + 1000.0 * meets.sum(axis=1), kind="stable")[:3]:
            if not np.isfinite(self.costs[n][at]):
                break
            away = others[meets[at]]
            self.there[away] = False
            self._put(n, int(at))
            if all([self.choose(int(m)) for m in away]):
                return
            self.corner, self.end = before[0].copy(), before[1].copy()
            self.there = before[2].copy()

    def _put(self, n: int, at: int) -> None:
        corner = self.corners[n][at]
        self.corner[n], self.there[n] = corner, True
        self.end[n] = np.clip(self.anchor[n], corner, corner + self.size[n])

    def _meets(self, n: int) -> np.ndarray:
        """(C, P) whether each place of a label comes too near to each label that stands."""
        mine, own, gap = self.corners[n][:, None], self.size[n], self.gap
        other, size = self.corner[self.there], self.size[self.there]
        clear = (mine >= other + size + gap) | (mine + own + gap <= other)
        return np.asarray(~(clear[..., 0] | clear[..., 1]))

    def _crossed(self, n: int) -> np.ndarray:
        """(C,) how many leaders and labels the leader to each place goes over or through."""
        mine, start = self.corners[n], self.anchor[n]
        end = np.clip(start, mine, mine + self.size[n])
        a, b = self.anchor[self.there], self.end[self.there]
        low = self.corner[self.there]
        high = low + self.size[self.there]
        crossed = crosses(start, end[:, None], a, b).sum(axis=1)
        through = _through(start[None, None], end[:, None], low, high).sum(axis=1)
        under = _through(a[None], b[None], mine[:, None], (mine + self.size[n])[:, None]).sum(
            axis=1
        )
        return np.asarray(crossed + through + under, dtype=float)


def _through(start: np.ndarray, end: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Whether lines go through the inside of rectangles: the share of the line that lies between
    left and right, and between top and bottom, overlap."""
    step = end - start
    safe = np.where(np.abs(step) < 1e-9, 1e-9, step)
    one, two = (low - start) / safe, (high - start) / safe
    first, last = np.minimum(one, two), np.maximum(one, two)
    enter = np.maximum(first[..., 0], first[..., 1])
    leave = np.minimum(last[..., 0], last[..., 1])
    long = np.hypot(step[..., 0], step[..., 1]) > 1e-6
    return np.asarray(long & (np.maximum(enter, 0.02) < np.minimum(leave, 0.98) - 1e-6))
