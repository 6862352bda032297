"""Where on the picture each run, wire and supply is, and which is under a point. Pure arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts import House
from sim.app.state.shown import Side
from sim.app.state.touch_record import Thing
from sim.app.state.wire_plan import WirePlan, wires_as_they_lie

#: How far beside a thing it is still taken [px at 100 %].
REACH = 20
#: At 100 %: half the side of a box.
BOX = 9
#: A box is taken though a line is so much nearer [px at 100 %], for it covers the line.
_BOX_FIRST = 6


@dataclass(frozen=True, eq=False)
class TouchPlaces:
    """Lines and boxes of the picture; K straight pieces, B boxes, N pixels. All [px]."""

    at_px: np.ndarray  # (N, 2) every pixel of the house
    first: tuple[int, ...]  # of every run
    count: tuple[int, ...]
    drawn: WirePlan | None  # wires and boxes; None where the house has no supply
    lines: dict[Thing, np.ndarray]  # (J, 2) of every run and wire
    boxes: dict[Thing, tuple[float, float]]  # middle of every supply
    start: np.ndarray  # (K, 2)
    step: np.ndarray  # (K, 2)
    long2: np.ndarray  # (K,) squared length
    owner: tuple[Thing, ...]  # (K,)
    of_wire: np.ndarray  # (K,) bool
    box_at: np.ndarray  # (B, 2)
    box_owner: tuple[Thing, ...]
    scale: float

    def under(self, x: float, y: float, wires: bool) -> Thing | None:
        """The thing nearest to a point of the picture within reach; wires and boxes where they
        are shown."""
        reach, best, found = REACH * self.scale, np.inf, None
        if wires and len(self.box_at):
            away = np.abs(self.box_at - (x, y)).max(axis=1) - BOX * self.scale
            at = int(away.argmin())
            if away[at] <= reach:
                best, found = (
                    max(float(away[at]), 0.0) - _BOX_FIRST * self.scale,
                    self.box_owner[at],
                )
        if len(self.start):
            far = self._far2((x, y))
            if not wires:
                far = np.where(self.of_wire, np.inf, far)
            at = int(far.argmin())
            near = float(np.sqrt(far[at]))
            if near <= reach and near < best:
                found = self.owner[at]
        return found

    def _far2(self, point: tuple[float, float]) -> np.ndarray:
        """(K,) squared distance of a point from every piece."""
        off = point - self.start
        share = np.clip((off * self.step).sum(axis=1) / self.long2, 0.0, 1.0)
        off = off - share[:, None] * self.step
        return np.asarray((off * off).sum(axis=1))

    def pixel(self, thing: Thing, x: float, y: float) -> int | None:
        """The pixel of a run nearest to a point; None for what has no pixels."""
        if thing.form != "run" or thing.index >= len(self.first):
            return None
        first = self.first[thing.index]
        own = self.at_px[first : first + self.count[thing.index]]
        if not len(own):
            return None
        off = own - (x, y)
        return first + int((off * off).sum(axis=1).argmin())

    def near(self, pixel: int, x: float, y: float) -> bool:
        """Whether a point is within reach of a pixel."""
        if pixel >= len(self.at_px):
            return False
        return bool(np.hypot(*(self.at_px[pixel] - (x, y))) <= REACH * self.scale)

    def points(self, thing: Thing) -> np.ndarray:
        """(J, 2) points of a thing a few pixels apart, for what must not cover it."""
        if thing in self.boxes:
            return np.array([self.boxes[thing]])
        line = self.lines.get(thing)
        return along(line, 6.0) if line is not None else np.zeros((0, 2))


def touch_places(side: Side, scale: float, at_px: np.ndarray) -> TouchPlaces:
    """The places of everything of one side; `at_px` (N, 2) [px] are its pixels."""
    house, to_px = side.rig.house, side.scene.view.to_px
    drawn = wires_as_they_lie(side.hung, house, to_px, scale) if side.hung else None
    lines = {Thing("run", n, run.name): np.asarray(to_px(run.path_m), dtype=float)
             for n, run in enumerate(house.runs)}  # fmt: skip
    boxes: dict[Thing, tuple[float, float]] = {}
    if drawn is not None:
        for n, path in enumerate(drawn.paths):
            lines[Thing("wire", n, house.wires[n].label)] = np.array(path)
        for n, supply in enumerate(house.supplies):
            boxes[Thing("supply", n, supply.name)] = drawn.supplies[supply.name]
    return placed(house, lines, boxes, drawn, at_px, scale)


def placed(
    house: House, lines: dict[Thing, np.ndarray], boxes: dict[Thing, tuple[float, float]],
    drawn: WirePlan | None, at_px: np.ndarray, scale: float,
) -> TouchPlaces:  # fmt: skip
    """The places of given lines and boxes [px], and of the pixels at `at_px` (N, 2)."""
    owner = tuple(thing for thing, line in lines.items() for _ in range(max(len(line) - 1, 0)))
    long = [line for line in lines.values() if len(line) > 1]
    start = np.concatenate([line[:-1] for line in long]) if long else np.zeros((0, 2))
    step = np.concatenate([np.diff(line, axis=0) for line in long]) if long else np.zeros((0, 2))
    return TouchPlaces(
        at_px, tuple(run.first for run in house.runs), tuple(run.count for run in house.runs),
        drawn, lines, boxes, start, step, np.maximum((step * step).sum(axis=1), 1e-9), owner,
        np.array([thing.form == "wire" for thing in owner], dtype=bool),
        np.array(list(boxes.values()), dtype=float).reshape(-1, 2), tuple(boxes), scale,
    )  # fmt: skip


def along(line: np.ndarray, apart_px: float) -> np.ndarray:
    """(Q, 2) points of a line about so far apart, its end among them."""
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0.0, far[-1], max(round(far[-1] / apart_px), 1) + 1)
    return np.stack([np.interp(at, far, line[:, axis]) for axis in (0, 1)], axis=1)
