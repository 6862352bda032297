"""From the runs of a house, or pieces of them that nothing feeds yet, to the lines that are fed.

Runs of one kind whose ends are near enough to be joined by a short wire make one line; whether
they are joined in the end is for the plan to say. Every pixel has a pad; the end pads of a run
are nodes that draw nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.catalogue import limits
from layouts.power_paths import RunPiece
from layouts.records import House
from sim.circuit.law import Law, demand_a, eased_a
from sim.circuit.values import rail_ohm

from .records import Line
from .routing import CableNet

#: Ends of runs this close [m] may be joined by a wire.
JOINED_M = 1.2
#: What a line is made of, run by run; the last axis counts its nodes.
_ROWS = ("ohm", "amps", "pixel", "node", "start", "gap", "cut", "reach")


@dataclass(frozen=True)
class Demand:
    """What the load planned for draws: F frames of N pixels."""

    amps: np.ndarray  # (F, N) [A] of each pixel that shines in full
    need_v: np.ndarray  # (N,) [V] that each needs for it


def demand_of(law: Law, codes: np.ndarray, spare: np.ndarray) -> Demand:
    """The demand of `codes` (F, N, C) uint8; `spare` (N,) bool stay dark."""
    lit = np.where(spare[:, None], 0, codes)
    amps = demand_a(law, lit).sum(axis=-1) + law.idle_a[law.kind]
    if law.falls:  # at the least voltage that a plan may leave it with, where it draws most
        amps = amps - eased_a(law, amps, (1 - limits().drop_warning) * law.nominal_v)
    used = (lit > 0).any(axis=0)
    need = np.where(used, law.need_v[law.kind], 0.0).max(axis=1)  # none where no pixel is
    return Demand(amps, np.maximum(need, law.min_v[law.kind]))


def lines_of(
    house: House,
    parts: list[RunPiece],
    demand: Demand,
    net: CableNet,
    box_of: np.ndarray,
    slack_m: float,
    temperature_c: float,
) -> list[Line]:
    """The lines that `parts` of runs make; `box_of` (K,) is the box of each supply choice."""
    return [
        _line(house, chain, demand, net, box_of, slack_m, temperature_c) for chain in _chains(parts)
    ]


def _chains(parts: list[RunPiece]) -> list[list[tuple[RunPiece, bool, float]]]:
    """Parts in the order of the line they make: (part, backwards, gap [m] to the one before).

    Only the ends of runs are joined, never a cut.
    """
    runs = [part.run for part in parts]
    ends = [
        (r, side, part.run.path_m[-side])
        for r, part in enumerate(parts)
        for side in (0, 1)
        if (part.end == part.run.count if side else part.first == 0)
    ]
    pairs = []
    for i, (r, side, spot) in enumerate(ends):
        for other, far_side, there in ends[:i]:
            alike = runs[r].kind == runs[other].kind
            # out or back from the wall too, where one stands off it farther than the other
            out_m = abs(runs[r].standoff_m - runs[other].standoff_m)
            gap = float(np.hypot(*(spot - there))) + out_m
            if r != other and alike and gap <= JOINED_M:
                pairs.append((gap, (r, side), (other, far_side)))
    mate: dict[tuple[int, int], tuple[tuple[int, int], float]] = {}
    group = list(range(len(runs)))
    for gap, a, b in sorted(pairs):
        if a in mate or b in mate or group[a[0]] == group[b[0]]:
            continue
        mate[a], mate[b] = (b, gap), (a, gap)
        group = [group[a[0]] if g == group[b[0]] else g for g in group]
    made: list[list[tuple[RunPiece, bool, float]]] = []
    placed: set[int] = set()
    for r in range(len(runs)):
        free = [side for side in (0, 1) if (r, side) not in mate]
        if r in placed or not free:
            continue
        chain: list[tuple[RunPiece, bool, float]] = []
        run, enter, gap = r, free[0], 0.0
        while True:
            placed.add(run)
            chain.append((parts[run], enter == 1, gap))
            leave = (run, 1 - enter)
            if leave not in mate:
                break
            (run, enter), gap = mate[leave]
        made.append(chain)
    return made


def _line(
    house: House,
    chain: list[tuple[RunPiece, bool, float]],
    demand: Demand,
    net: CableNet,
    box_of: np.ndarray,
    slack_m: float,
    temperature_c: float,
) -> Line:
    rows: dict[str, list[np.ndarray]] = {name: [] for name in _ROWS}
    for part, backwards, gap_m in chain:
        run, n = part.run, part.run.count
        mine = slice(part.first + (part.first > 0), part.end + 1 + (part.end == n))
        loop = 2 * rail_ohm(run, temperature_c)
        ohm = np.concatenate([[0.0, loop / 2], np.full(n - 1, loop), [loop / 2]])
        index = np.concatenate([[run.first], np.arange(run.first, run.first + n),
                                [run.first + n - 1]])  # fmt: skip
        inner = np.concatenate([[False], np.ones(n, dtype=bool), [False]])
        own = np.zeros((len(demand.amps), n + 2))
        own[:, 1:-1] = demand.amps[:, run.pixels]
        along = np.concatenate([[0.0], house.pixels.along_m[run.pixels], [run.length_m]])
        track = house.runs.index(run)
        far = np.stack([net.reach_m(int(b), track, along) for b in box_of]) + 2 * slack_m
        may_cut = np.zeros(n + 2, dtype=bool)
        may_cut[2:-1] = True
        ohm, index, inner, may_cut = ohm[mine], index[mine], inner[mine], may_cut[mine]
        ohm[0], may_cut[0] = 0.0, False
        own, far = own[:, mine], far[:, mine]
        if backwards:
            index, own, far, inner = index[::-1], own[:, ::-1], far[:, ::-1], inner[::-1]
            ohm[1:], may_cut[1:] = ohm[:0:-1].copy(), may_cut[:0:-1].copy()
        begins = np.zeros(len(index), dtype=bool)
        begins[0] = True
        joins = np.zeros(len(index))
        joins[0] = gap_m + 2 * slack_m if rows["ohm"] else 0.0
        made = (ohm, own, inner, index, begins, joins, may_cut, far)
        for name, values in zip(_ROWS, made, strict=True):
            rows[name].append(values)
    ohm, amps, pixels, index, start, gap, cut, reach = (
        np.concatenate(rows[name], axis=-1) for name in _ROWS
    )
    return Line(
        name=" + ".join(_called(part) for part, _, _ in chain),
        volts=chain[0][0].run.kind.supply_v,
        rail_ohm=np.cumsum(ohm),
        demand_a=amps,
        need_v=float(demand.need_v[index[pixels]].max()),
        pad=np.ones(len(index), dtype=bool),
        cut=cut,
        gap_m=gap,
        start=start,
        reach_m=reach,
        pixel=pixels,
        node=index,
    )


def _called(part: RunPiece) -> str:
    """A run by its name, a part of one as files name it."""
    return part.run.name if part.whole else f"{part.run.name}[{part.first}:{part.end}]"
