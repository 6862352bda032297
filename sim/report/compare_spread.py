"""How sure a comparison is: the band of every kind's figures, and of what they differ by.

The reels of two kinds have nothing to do with one another; supplies and wires are the same under
both, and what they are off by cancels in the difference. So draws go in pairs
(`sim.spread.paired`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from sim.scan import Progress
from sim.spread.bands import USUAL, symmetric
from sim.spread.ceilings import Levels, ceilings
from sim.spread.figures import Figures, Head
from sim.spread.first_order import SUMMED, FirstOrder, first_order
from sim.spread.frames import ShownFrames, shown
from sim.spread.paired import Part, paired_draws, paired_sums, shared_parts
from sim.spread.quick import quick_ceilings
from sim.spread.trials import in_blocks
from sim.spread.unknowns import Unknowns, unknowns

if TYPE_CHECKING:
    from sim.report.compare import KindReport

#: Lit hours of a day, of which no figure here asks.
_HOURS = 5.0
#: Figures compared, as their JSON names them: section and key of a head.
_FIGURES = {
    ("light", "lumens_mean"): "lumens",
    ("energy", "dc_w_mean"): "watts",
    ("energy", "wall_w_mean"): "wall_watts",
    ("supplies", "peak_a"): "supply_peak_a",
    ("", "peak_a"): "peak_a",
}
_PER_WATT, _CEILING = "lumens_per_watt", "ceiling"

Pair = tuple[float, float]


@dataclass(frozen=True)
class Difference:
    """By how much the second of two kinds has more of a figure than the first."""

    first: int
    second: int
    sheet: float  # as the sheets say
    band: Pair  # 95 % of draws

    @property
    def differs(self) -> bool:
        """Whether it is more than what parts differ by anyway: the band leaves 0 out."""
        return self.band[0] > 0 or self.band[1] < 0


@dataclass(frozen=True, eq=False)
class ComparedFigure:
    """One figure of K kinds, drawn D times in step."""

    key: str
    whose: str  # of which supply; "" of the house
    unit: str
    sheet: np.ndarray  # (K,)
    values: np.ndarray  # (K, D)

    def band(self, kind: int) -> Pair:
        """95 % of what a kind has of it."""
        return symmetric(np.sort(self.values[kind]), USUAL)

    def difference(self, first: int, second: int) -> Difference:
        """Of two kinds, draw by draw."""
        off = np.sort(self.values[second] - self.values[first])
        sheet = float(self.sheet[second] - self.sheet[first])
        return Difference(first, second, sheet, symmetric(off, USUAL))


@dataclass(frozen=True, eq=False)
class ComparedSpread:
    """All figures of a comparison with their bands."""

    draws: int
    seed: int
    exact: bool  # every draw through the circuit; else sums of what each unknown does alone
    figures: tuple[ComparedFigure, ...]
    kinds: tuple[str, ...]

    def pairs(self) -> Iterator[tuple[int, int]]:
        """Every two kinds."""
        return combinations(range(len(self.kinds)), 2)


def compared_spread(
    reports: Sequence[KindReport],
    draws: int | None = None,
    *,
    seed: int = 0,
    progress: Progress | None = None,
) -> ComparedSpread:
    """Bands of every kind's figures; `draws` of them through the exact circuit, or None: quick.

    `progress(done, total)` counts draws of all kinds.
    """
    known = [unknowns(each.rig.house) for each in reports]
    shared = shared_parts(known)
    heads: list[tuple[Head, ...]] = []
    tables: list[np.ndarray] = []
    for index, (report, mine) in enumerate(zip(reports, known, strict=True)):
        watched = report.power.scan
        frames = shown(watched)
        told = Figures(watched, frames, mine, _HOURS)

        def counted(done: float, total: float, index: int = index) -> None:
            if progress:
                progress(index * total + done, len(reports) * total)

        made = (
            _quick(report, told, frames, mine, seed, shared)
            if draws is None
            else _drawn(report, told, frames, mine, seed, shared, draws, counted)
        )
        heads.append(told.heads)
        tables.append(made)
    return ComparedSpread(
        draws=SUMMED if draws is None else draws,
        seed=seed,
        exact=draws is not None,
        figures=tuple(_figures(reports, heads, tables)),
        kinds=tuple(each.kind.name for each in reports),
    )


def _quick(
    report: KindReport,
    told: Figures,
    frames: ShownFrames,
    known: Unknowns,
    seed: int,
    shared: frozenset[Part],
) -> np.ndarray:
    """(D, heads + 1) of sums of effects; the ceiling last."""

    def sums(found: FirstOrder) -> np.ndarray:
        return paired_sums(found, SUMMED, seed, report.kind.name, shared)

    table = sums(first_order(known, lambda drawn: told.of(drawn, own_light=False)[1]))
    ceiling = report.power.ceiling
    last = (
        np.full(SUMMED, np.nan)
        if ceiling is None or ceiling.brightness == 0  # no band: even the dark house exceeds one
        else quick_ceilings(frames, known, ceiling, sums=sums)
    )
    return np.column_stack([table, last])


def _drawn(
    report: KindReport,
    told: Figures,
    frames: ShownFrames,
    known: Unknowns,
    seed: int,
    shared: frozenset[Part],
    count: int,
    progress: Progress,
) -> np.ndarray:
    """(D, heads + 1) of every draw through the circuit; the ceiling last."""
    levels = Levels(frames)

    def work(start: int, size: int) -> np.ndarray:
        drawn = paired_draws(known, size, seed, report.kind.name, shared, start)
        table = told.of(drawn)[1]
        if report.power.ceiling is None:
            return np.column_stack([table, np.full(size, np.nan)])
        return np.column_stack([table, ceilings(frames, drawn, levels)])

    network = report.rig.network
    return np.concatenate(list(in_blocks(network, len(frames.codes), count, work, progress)))


def _figures(
    reports: Sequence[KindReport], heads: Sequence[tuple[Head, ...]], tables: Sequence[np.ndarray]
) -> Iterator[ComparedFigure]:
    """The figures that all kinds have; light for power is drawn as light over power."""

    def of(column: int) -> np.ndarray:
        return np.stack([table[:, column] for table in tables])

    found: dict[str, ComparedFigure] = {}
    for column, head in enumerate(heads[0]):
        key = _FIGURES.get((head.section, head.key))
        if key is None:
            continue
        sheet = np.array([each[column].nominal for each in heads])
        if (
            key == "lumens"
        ):  # the mean over all frames; the head has that of those that stand for all
            sheet = np.array([each.lumens for each in reports])
        made = ComparedFigure(key, head.whose, head.unit, sheet, of(column))
        found[f"{key} {head.whose}"] = made
    lumens, watts = found["lumens "], found["watts "]
    if (watts.values > 0).all() and (watts.sheet > 0).all():
        found[_PER_WATT] = ComparedFigure(
            _PER_WATT, "", "lm/W", lumens.sheet / watts.sheet, lumens.values / watts.values
        )
    nominal = [each.power.ceiling for each in reports]
    if all(each is not None and each.brightness > 0 for each in nominal):
        sheet = np.array([each.brightness for each in nominal if each is not None])
        found[_CEILING] = ComparedFigure(_CEILING, "", "", sheet, of(-1))
    order = ("lumens", "watts", _PER_WATT, "wall_watts", "supply_peak_a", "peak_a", _CEILING)
    yield from sorted(found.values(), key=lambda each: order.index(each.key))
