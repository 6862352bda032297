"""The commissioning sheet: where to put the meter, and what it should show."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from layouts.pieces import piece_bounds
from layouts.records import House
from sim.circuit import Network, Solution
from sim.plan.loadcase import full_codes
from sim.report.handover.allowances import AMP_METER, VOLT_METER, corners, widened
from sim.report.lengths import laid_text
from sim.report.plan_facts import supply_of

#: What the house shows while it is measured: a name, and the share of every channel.
LEVELS = (("dark", 0.0), ("a third", 1 / 3), ("full white", 1.0))


@dataclass(frozen=True)
class Expected:
    """What is to be expected at one level, and the band that is normal."""

    expected: float
    low: float
    high: float


@dataclass(frozen=True)
class TestPoint:
    """One place to touch with a meter; volts at each level, none where no supply reaches."""

    number: int
    name: str
    what: str
    supply: str
    volts: tuple[Expected, ...]


@dataclass(frozen=True)
class SupplyReading:
    """What one supply gives at each level [A]."""

    supply: str
    amps: tuple[Expected, ...]


@dataclass(frozen=True)
class Commissioning:
    """The whole sheet."""

    codes: tuple[int, ...]  # that each level puts on every channel
    points: tuple[TestPoint, ...]
    supplies: tuple[SupplyReading, ...]
    too_much: tuple[str, ...] = ()  # what a third loads beyond its fuse or rating


@dataclass
class _Spot:
    """A place while it is gathered: its node, or the supply whose terminals it is."""

    name: str
    node: int
    supply: int
    what: list[str] = field(default_factory=list)


def level_codes(house: House) -> np.ndarray:
    """(3, N, C) uint8: dark, a third, full white."""
    return np.concatenate([full_codes(house, share) for _, share in LEVELS])


def commissioning(net: Network) -> Commissioning | None:
    """Volts and amperes to expect; None where no supply feeds anything."""
    house = net.house
    if not house.supplies:
        return None
    codes = level_codes(house)
    solved = corners(net, codes)
    spots = _spots(net, solved["reckoned"])
    points = tuple(
        TestPoint(
            number,
            spot.name,
            "; ".join(dict.fromkeys(spot.what)),
            house.supplies[spot.supply].name if spot.supply >= 0 else "",
            _readings(net, solved, spot),
        )
        for number, spot in enumerate(spots, 1)
    )
    supplies = tuple(
        SupplyReading(
            supply.name,
            _band(
                solved["reckoned"].supply_a[:, s],
                solved["least"].supply_a[:, s],
                solved["greatest"].supply_a[:, s],
                AMP_METER,
            ),
        )
        for s, supply in enumerate(house.supplies)
    )
    shown = tuple(int(level.max(initial=0)) for level in codes)
    return Commissioning(shown, points, supplies, _too_much(net, solved["reckoned"]))


def _too_much(net: Network, solution: Solution) -> tuple[str, ...]:
    """Wires and supplies that would carry more at a third than their fuse or rating."""
    wires = [
        f"W{number + 1}"
        for number, wire in enumerate(net.house.wires)
        if wire.fuse_a is not None and abs(solution.wire_a[1, number]) > wire.fuse_a
    ]
    given = zip(net.house.supplies, solution.supply_a[1], strict=True)
    return (*wires, *(supply.name for supply, amps in given if amps > supply.rated_a))


def terminal_v(net: Network, solution: Solution, supply: int) -> np.ndarray:
    """(T,) [V] at the terminals of a supply."""
    inside = net.house.supplies[supply].source_ohm
    return np.asarray(net.fixed_v[supply] - solution.supply_a[:, supply] * inside)


def _readings(net: Network, solved: dict[str, Solution], spot: _Spot) -> tuple[Expected, ...]:
    if spot.supply < 0:
        return ()

    def volts(solution: Solution) -> np.ndarray:
        if spot.node < 0:
            return terminal_v(solution.network, solution, spot.supply)
        return np.asarray(solution.node_v[:, spot.node])

    return _band(
        volts(solved["reckoned"]), volts(solved["fewest"]), volts(solved["most"]), VOLT_METER
    )


def _band(
    expected: np.ndarray, low: np.ndarray, high: np.ndarray, meter: tuple[float, float]
) -> tuple[Expected, ...]:
    band = widened(np.minimum(low, expected), np.maximum(high, expected), meter)
    return tuple(
        Expected(float(e), float(a), float(b)) for e, (a, b) in zip(expected, band, strict=True)
    )


def _spots(net: Network, solution: Solution) -> list[_Spot]:
    """Terminals, then what each wire leads to, then ends of runs and the farthest pixels."""
    house = net.house
    on = supply_of(house)
    found: dict[tuple[str, str, int], _Spot] = {}

    def add(key: tuple[str, str, int], name: str, node: int, supply: int, what: str) -> None:
        found.setdefault(key, _Spot(name, node, supply)).what.append(what)

    for s, supply in enumerate(house.supplies):
        add(("supply", supply.name, 0), supply.name, -1, s, "terminals of the supply")
    for w, wire in enumerate(house.wires):
        nodes = net.edge[net.wire_edge[w]].tolist()
        for end, node, side in ((wire.start, nodes[0], "start"), (wire.end, nodes[1], "end")):
            if end.kind == "supply":
                continue
            pad = end.pad if end.kind == "run" else 0
            add((end.kind, end.name, pad), end.text or end.name, node, on[w], f"{side} of W{w + 1}")
    least = solution.volts[-1]
    fed = _fed_by(net)
    for run in house.runs:
        first, last = run.first, run.first + run.count - 1
        for pad, node, name, what in (
            (0, first, f"{run.name}.start", "start of the run"),
            (run.count + 1, last, f"{run.name}.end", "end of the run"),
        ):
            add(("run", run.name, pad), name, node, fed[node], what)
        for a, b in piece_bounds(run):
            there = run.first + a + np.flatnonzero(run.has_pixel[a:b])
            if not len(there):
                continue
            far = int(there[least[there].argmin()])
            along = laid_text(float(house.pixels.along_m[far]), house.units)
            # An end that nothing feeds has the volts of the pixel beside it: one place to touch.
            pad = {first: 0, last: run.count + 1}.get(far, far - run.first + 1)
            beside = found.get(("run", run.name, pad))
            what = f"fewest volts, {along} along"
            if beside is not None and beside.node == far:
                beside.what.append("fewest volts")
            else:
                name = f"{run.name}[{far - run.first}]"
                add(("run", run.name, far - run.first + 1), name, far, fed[far], what)
    return list(found.values())


def _fed_by(net: Network) -> list[int]:
    """The first supply that reaches each pixel; −1 where none does."""
    reached = net.reach.fed
    if not len(reached):
        return [-1] * net.pixels
    first = np.where(net.reach.live, reached.argmax(axis=0), -1)
    return [int(each) for each in first]
