"""What the picture of a plan says: feeds, cuts and boxes with their figures at the peak.

Figures come from the true circuit of the wired house over the frames planned for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.cuts import cut_along_m
from layouts.pieces import Point, point_of
from layouts.records import House, Wire
from sim.circuit import build, loads, supply_uses, wire_uses
from sim.plan.cable_ways import CableWays, cable_ways
from sim.plan.plan import Plan


@dataclass(frozen=True, eq=False)
class Cable:
    """One wire: where it lies, on which supply it hangs, what it carries at the peak."""

    wire: Wire
    supply: int  # number in the house
    way_m: np.ndarray  # (K, 2) [m] from the supply on
    peak_a: float  # in its +, where its fuse is
    feeds: bool  # ends on a run


@dataclass(frozen=True)
class Cut:
    """Where + is interrupted: the spot [m] and the direction of the run there."""

    run: str
    before: int
    at_m: tuple[float, float]
    along: tuple[float, float]


@dataclass(frozen=True)
class Hung:
    """A supply and its box."""

    name: str
    at_m: tuple[float, float]
    volts: float
    rated_a: float
    peak_a: float


@dataclass(frozen=True, eq=False)
class PlanFacts:
    """All that is drawn of a plan."""

    house: House
    cables: tuple[Cable, ...]
    cuts: tuple[Cut, ...]
    boxes: tuple[Hung, ...]
    junctions_m: np.ndarray  # (J, 2) [m]
    new_cuts: int  # of the cuts, those that the plan makes

    @property
    def feeds(self) -> int:
        """How many places of runs are fed."""
        return sum(each.feeds and each.wire.start.kind != "run" for each in self.cables)


def plan_facts(plan: Plan) -> PlanFacts | None:
    """The facts of a plan; None where the house does not say where an older supply hangs."""
    house = plan.house
    lies = cable_ways(house)
    if lies is None:
        return None
    network = build(house)
    seen = loads(network, plan.codes)
    uses = wire_uses(network, seen)
    peaks = [use.peak_a for use in uses]
    boxes = tuple(
        Hung(s.name, lies.supplies[s.name], s.volts, s.rated_a, use.peak_a)
        for s, use in zip(house.supplies, supply_uses(network, seen), strict=True)
    )
    cuts = cuts_of(house)
    return PlanFacts(
        house, _cables(house, lies, peaks), cuts, boxes,
        np.array(list(lies.junctions.values()), dtype=float).reshape(-1, 2),
        len(cuts) - len(cuts_of(plan.before)),
    )  # fmt: skip


def cuts_of(house: House) -> tuple[Cut, ...]:
    """Every cut of a house, half-way between the two pixels that it parts."""
    found = []
    for run in house.runs:
        corner = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run.path_m, axis=0).T))])
        for before in run.cuts:
            along = cut_along_m(house, run, before)
            leg = min(max(int(np.searchsorted(corner, along)) - 1, 0), len(corner) - 2)
            x, y = (float(np.interp(along, corner, run.path_m[:, axis])) for axis in (0, 1))
            step = run.path_m[leg + 1] - run.path_m[leg]
            dx, dy = (step / np.hypot(*step)).tolist()
            found.append(Cut(run.name, before, (x, y), (dx, dy)))
    return tuple(found)


def _cables(house: House, lies: CableWays, peaks: list[float]) -> tuple[Cable, ...]:
    on = supply_of(house)
    return tuple(
        Cable(
            wire,
            on[number],
            way,
            peaks[number],
            "run" in (wire.start.kind, wire.end.kind),
        )
        for number, (wire, way) in enumerate(zip(house.wires, lies.ways, strict=True))
    )


def supply_of(house: House) -> list[int]:
    """The number of the supply that each wire hangs on; −1 where it hangs on none."""
    names = [supply.name for supply in house.supplies]
    mine: dict[Point, int] = {("supply", s, 0): n for n, s in enumerate(names)}
    point = point_of(house)
    for _ in house.wires:
        before = len(mine)
        for wire in house.wires:
            a, b = point(wire.start), point(wire.end)
            for here, there in ((a, b), (b, a)):
                if here in mine:
                    mine.setdefault(there, mine[here])
        if len(mine) == before:
            break
    return [mine.get(point(wire.start), mine.get(point(wire.end), -1)) for wire in house.wires]
