"""Everything that `power` tells, of many draws of the parts: one table of figures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layouts.errors import EvenfallError
from layouts.records import Kind
from sim.circuit import Ceiling
from sim.circuit.limits import limit_name
from sim.colour import codes as codes_of
from sim.frame import Rig
from sim.scan import Scan

from .adaptive import first_order_does, held
from .bands import COVERS, Band, band, chance_of
from .ceilings import Levels, ceilings
from .colours import White, whites
from .draws import draws
from .figures import Figures, Head
from .first_order import FirstOrder, first_order
from .frames import shown
from .sensitivity import Budget, budgets
from .trials import Progress, in_blocks
from .unknowns import Unknowns, unknowns

#: The fewest and the most draws that are made.
LEAST_DRAWS, MOST_DRAWS = 100, 100_000
#: Draws of a block where digits are asked for; JCGM 101, 7.9.4, has 10 000, which a house is too
#: dear for: more blocks of fewer draws say the same of their averages.
_BLOCK = 500
#: Digits of a standard uncertainty that first order is held against (JCGM 101, clause 8).
_DIGITS = 2


@dataclass(frozen=True, eq=False)
class DrawnFigure:
    """One figure of the report: D draws of it, and what first order makes of it."""

    head: Head
    values: np.ndarray  # (D,)
    band: Band
    first_value: float | None  # at the expectations of all unknowns; None: not told by it
    first_sd: float | None  # combined standard uncertainty

    @property
    def first_does(self) -> bool | None:
        """Whether first order gives both ends to two digits of the standard uncertainty.

        What lies within the band's own error for the number of draws is no difference.
        """
        if self.first_value is None or self.first_sd is None:
            return None
        if first_order_does(self.first_value, self.first_sd, self.band, _DIGITS)[0]:
            return True
        low, high = (
            self.first_value - COVERS * self.first_sd,
            self.first_value + COVERS * self.first_sd,
        )
        drawn = self.band
        return (
            drawn.low_error[0] <= low <= drawn.low_error[1]
            and drawn.high_error[0] <= high <= drawn.high_error[1]
        )


@dataclass(frozen=True)
class Exceeded:
    """How often a limit is exceeded."""

    limit: str  # in words
    chance: float
    low: float  # of the 95 % interval of the chance itself
    high: float


@dataclass(frozen=True, eq=False)
class Study:
    """A scheme on a house, drawn D times."""

    watched: Scan
    known: Unknowns
    seed: int
    draws: int
    digits: int | None  # asked to hold
    held: bool | None  # whether they do; None where none were asked
    figures: tuple[DrawnFigure, ...]
    exceeded: tuple[Exceeded, ...]  # every limit, in the order of `sim.circuit.utilisation`
    any_exceeded: Exceeded
    whites: tuple[White, ...]
    first: FirstOrder  # of the figures in the same order, but for the ceiling

    @cached_property
    def budgets(self) -> tuple[Budget, ...]:
        """Which unknowns matter for each figure, and what measuring them would leave."""
        return budgets(self)

    def figure(self, section: str, key: str, index: int = -1) -> DrawnFigure:
        """One of them; KeyError where there is none."""
        for each in self.figures:
            if (each.head.section, each.head.key, each.head.index) == (section, key, index):
                return each
        raise KeyError((section, key, index))


def study(
    watched: Scan,
    ceiling: Ceiling | None,
    count: int,
    *,
    seed: int = 0,
    digits: int | None = None,
    lit_hours: float = 5.0,
    progress: Progress | None = None,
) -> Study:
    """Draw the parts of the scan's house `count` times, and say what becomes of every figure.

    With `digits` it ends as soon as so many digits of every figure's standard uncertainty hold
    (JCGM 101:2008, 7.9), after `count` draws whatever holds. Raises EvenfallError for fewer draws
    than 100 or more than 100 000. `progress(done, total)` counts draws.
    """
    check_draws(count)
    known, frames = unknowns(watched.rig.house), shown(watched)
    levels, told = Levels(frames), Figures(watched, frames, known, lit_hours)
    heads = list(told.heads)
    if ceiling is not None:
        heads.append(Head("", -1, "brightness_ceiling", "", ceiling.brightness))

    def work(start: int, size: int) -> tuple[np.ndarray, np.ndarray]:
        drawn = draws(known, size, seed, start)
        found, table = told.of(drawn)
        if ceiling is not None:
            table = np.column_stack([table, ceilings(frames, drawn, levels)])
        return table, found.used[:, : len(frames.worst)].max(axis=1)

    tables: list[np.ndarray] = []
    used: list[np.ndarray] = []
    holds: bool | None = None
    step = count if digits is None else _BLOCK
    for start in range(0, count, step):
        size = min(step, count - start)

        def block(first: int, part: int, start: int = start) -> tuple[np.ndarray, np.ndarray]:
            return work(start + first, part)

        def counted(done: float, _: float, start: int = start) -> None:
            if progress:
                progress(start + done, count)

        parts = list(in_blocks(watched.rig.network, len(frames.codes), size, block, counted))
        tables.append(np.concatenate([table for table, _ in parts]))
        used += [each for _, each in parts]
        if digits is not None:
            whole = [table for table in tables if len(table) == _BLOCK]
            holds = all(
                held([table[:, column] for table in whole], digits) for column in range(len(heads))
            )
            if holds:
                break
    table = np.concatenate(tables)
    past = np.concatenate(used) > 1 + 1e-9
    first = first_order(known, lambda drawn: told.of(drawn, own_light=False)[1])
    sd = first.sd
    return Study(
        watched=watched,
        known=known,
        seed=seed,
        draws=len(table),
        digits=digits,
        held=holds,
        figures=tuple(
            DrawnFigure(
                head,
                table[:, column],
                band(table[:, column]),
                float(first.at_means[column]) if column < len(sd) else None,
                float(sd[column]) if column < len(sd) else None,
            )
            for column, head in enumerate(heads)
        ),
        exceeded=tuple(
            Exceeded(limit_name(watched.rig.network, column), *chance_of(past[:, column]))
            for column in range(past.shape[1])
        ),
        any_exceeded=Exceeded("any limit", *chance_of(np.any(past, axis=1))),
        whites=whites(known, white_duties(watched.rig), len(table), seed),
        first=first,
    )


def check_draws(count: int) -> None:
    """Raises EvenfallError where so many draws make no band, or would take for ever."""
    if LEAST_DRAWS <= count <= MOST_DRAWS:
        return
    why = "too few for 95 % bands" if count < LEAST_DRAWS else "more than is worth it"
    raise EvenfallError(
        f"{count:,} draws are {why}; take {LEAST_DRAWS} to {MOST_DRAWS:,}".replace(",", " ")
    )


def white_duties(rig: Rig) -> dict[Kind, np.ndarray]:
    """(channels,) duty of every kind's channels where white is asked, at full brightness."""
    pixels = len(rig.house.pixels)
    if not pixels:
        return {}
    coded = codes_of(rig.mixer, np.ones((1, pixels, 3), dtype=np.float32), 1.0)[0]
    made: dict[Kind, np.ndarray] = {}
    for run in rig.house.runs:
        lit = coded[run.pixels][rig.mixer.kind[run.pixels] >= 0]
        if len(lit) and run.kind not in made:
            made[run.kind] = lit[0] / 255
    return made
