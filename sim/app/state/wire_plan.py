"""Where boxes hang and wires lie on the picture. Pure; pixels of the picture.

Cables that share a way are drawn beside each other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layouts import House
from sim.plan.boxes import HungBoxes
from sim.report.lanes import beside_each_other

Point = tuple[float, float]

#: From cable to cable where several lie on the same line, at 100 %.
APART_LANES = 5


@dataclass(frozen=True, eq=False)
class WirePlan:
    """Places by name, and the path of every wire of the house in order."""

    supplies: dict[str, Point]  # middle of its box
    junctions: dict[str, Point]
    controllers: dict[str, Point]  # by the names of their outputs
    paths: tuple[tuple[Point, ...], ...]  # empty where an end has no place
    supposed: frozenset[str]  # supplies and controllers whose place the house does not say


def wires_as_they_lie(
    hung: HungBoxes, house: House, to_px: Callable[[np.ndarray], np.ndarray], scale: float
) -> WirePlan:
    """The plan of a house; `to_px` leads from metres to pixels."""
    ways = hung.ways.ways if hung.ways is not None else ()
    lines = beside_each_other(
        [to_px(way) if len(way) else way for way in ways], APART_LANES * scale,
        [to_px(run.path_m) for run in house.runs],
    )  # fmt: skip
    paths = [tuple((float(x), float(y)) for x, y in line) for line in lines]

    def at(form: str) -> dict[str, Point]:
        found = {}
        for box in hung.boxes:
            if box.form == form:
                x, y = to_px(np.array(box.xy_m)).tolist()
                found[box.name] = (x, y)
        return found

    return WirePlan(
        at("supply"), at("junction"), at("controller"),
        tuple(paths) or ((),) * len(house.wires),
        frozenset(box.name for box in hung.boxes if not box.stated),
    )  # fmt: skip
