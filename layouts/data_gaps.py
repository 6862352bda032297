"""Where data goes on from the end of one run to the start of the next along an output's chain."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from layouts.records import House, Output, Run, Wire


@dataclass(frozen=True, eq=False)
class DataGap:
    """From the last pixel of a run to the first of the next on its chain."""

    before: Run
    after: Run
    straight_m: float  # from pixel to pixel on the drawing
    beside: Wire | None  # the wire that joins the same two ends, where one does

    @property
    def name(self) -> str:
        """Its two ends, as a wire's would be told."""
        return f"{self.before.name}.end → {self.after.name}.start"

    @property
    def open(self) -> bool:
        """Wider than the pixels of the runs stand apart; else one run goes on in the other."""
        return self.straight_m > max(self.before.pitch_m, self.after.pitch_m) * (1 + 1e-6)

    @property
    def length_m(self) -> float:
        """As long as the wire beside it is written to be; straight where there is none."""
        return self.straight_m if self.beside is None else self.beside.length_m


def data_gaps(house: House, output: Output) -> tuple[DataGap, ...]:
    """The gaps of an output's chain, in data order: one less than it has runs."""
    runs = [house.run(name) for name in output.chain]
    return tuple(_gaps(house, runs))


def _gaps(house: House, runs: list[Run]) -> Iterator[DataGap]:
    xy_m = house.pixels.xy_m
    for before, after in pairwise(runs):
        step_m = xy_m[after.ends[0]] - xy_m[before.ends[1]]
        ends = {("run", before.name, before.count + 1), ("run", after.name, 0)}
        beside = (
            wire
            for wire in house.wires
            if {(end.kind, end.name, end.pad) for end in (wire.start, wire.end)} == ends
        )
        yield DataGap(before, after, float(np.hypot(*step_m)), next(beside, None))
