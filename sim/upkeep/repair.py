"""A pixel taken out of a house, or exchanged: what then changes, and what does not.

The position of a pixel that is cut out stays: zones, feeds and cuts keep theirs, and so do
schemes. What moves are the addresses of the pixels behind it on its data line.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from layouts import addresses, change
from layouts.errors import EvenfallError
from layouts.files.document import parse
from layouts.files.edits import Append, Edit, Put
from layouts.files.names import did_you_mean
from layouts.files.writeback import write_edits
from layouts.history import Mended
from layouts.known import Known
from layouts.load import house_of
from layouts.points import run_slice
from layouts.records import House


@dataclass(frozen=True)
class PixelSpot:
    """One position of one run."""

    run: str
    position: int

    @property
    def name(self) -> str:
        """As a house file names it."""
        return f"{self.run}[{self.position}]"


@dataclass(frozen=True)
class PixelSpan:
    """Positions `first` to `last`, the last one itself, of one run, next to each other."""

    run: str
    first: int
    last: int

    @property
    def count(self) -> int:
        """How many pixels it is."""
        return self.last - self.first + 1

    @property
    def name(self) -> str:
        """As a house file names it: `gable[3]`, `gable[3:5]`."""
        if self.count == 1:
            return f"{self.run}[{self.first}]"
        return f"{self.run}[{self.first}:{self.last + 1}]"


@dataclass(frozen=True)
class Moved:
    """Pixels `first` up to and without `last` of a run, whose addresses moved alike."""

    run: str
    first: int
    last: int
    output: str
    before: tuple[int, int, int]  # number on the chain, universe, address of the first of them
    after: tuple[int, int, int]


@dataclass(frozen=True, eq=False)
class HouseRepair:
    """A house before and after what is done to it."""

    before: House
    after: House
    cut_out: tuple[PixelSpot, ...]
    replaced: tuple[PixelSpot, ...]
    moved: tuple[Moved, ...]
    history: tuple[Mended, ...]  # what is added to that of the house


def repair_of(
    house: House, *, cut_out: Sequence[str] = (), replace: Sequence[str] = (), date: str
) -> HouseRepair:
    """What cutting out and exchanging these pixels (`gable[0]`, `gable[3:5]`) makes of a house.

    `date` is written to its history. Raises EvenfallError for a pixel that is not there, InputError
    where a run would have none left.
    """
    gone = [spot for text in cut_out for spot in _spots(house, text)]
    new = [spot for text in replace for spot in _spots(house, text)]
    both = sorted({spot.name for spot in gone} & {spot.name for spot in new})
    if both:
        raise EvenfallError(f"{both[0]} cannot be cut out and replaced; name it once")
    missing: dict[str, set[int]] = {}
    for spot in gone:
        missing.setdefault(spot.run, set(house.run(spot.run).missing)).add(spot.position)
    after = change(
        house, runs={name: {"missing": sorted(found)} for name, found in missing.items()}
    )
    done = [("cut out", gone), ("replaced", new)]
    history = tuple(
        Mended(date, f"{what} {', '.join(span.name for span in spans_of(spots))}")
        for what, spots in done
        if spots
    )
    return HouseRepair(house, after, tuple(gone), tuple(new), tuple(_moved(house, after)), history)


def spans_of(spots: Iterable[PixelSpot]) -> tuple[PixelSpan, ...]:
    """Neighbours made one, each pixel once, run after run as they are first named."""
    runs: dict[str, set[int]] = {}
    for spot in spots:
        runs.setdefault(spot.run, set()).add(spot.position)
    found = []
    for run, positions in runs.items():
        begun = [p for p in sorted(positions) if p - 1 not in positions]
        ended = [p for p in sorted(positions) if p + 1 not in positions]
        found += [PixelSpan(run, a, b) for a, b in zip(begun, ended, strict=True)]
    return tuple(found)


def edits_of_repair(repair: HouseRepair) -> list[Edit]:
    """What makes the house file that of the repair."""
    edits: list[Edit] = []
    changed = {spot.run for spot in repair.cut_out}
    for index, run in enumerate(repair.after.runs):
        if run.name in changed:
            edits.append(Put(("runs", index, "missing"), list(run.missing)))
    edits += [
        Append(("history",), {"date": each.date, "what": each.what}) for each in repair.history
    ]
    return edits


def write_repair(repair: HouseRepair, path: str | Path, *, expected: str | None = None) -> str:
    """Put the repair into the house file at `path`, and return the digest of what is written.

    `expected` is the digest of what was read. Raises Conflict, CannotWrite, InputError or OSError
    as `write_edits` does; then nothing was written.
    """

    def as_wanted(text: str) -> None:
        found = house_of(parse(text, str(path)), Known())
        missing = [run.missing for run in found.runs]
        # the text of before is looked at too
        if missing not in ([run.missing for run in h.runs] for h in (repair.after, repair.before)):
            raise EvenfallError(f"{path}: it is another house than was read; read it again")

    return write_edits(path, edits_of_repair(repair), expected=expected, validate=as_wanted)


def spot_m(house: House, spot: PixelSpot) -> tuple[float, float, float]:
    """Where a position is: along its run, x and y [m]."""
    at = house.run(spot.run).first + spot.position
    x, y = house.pixels.xy_m[at].tolist()
    return float(house.pixels.along_m[at]), x, y


def neighbours(house: House, spot: PixelSpot) -> tuple[int | None, int | None]:
    """The nearest positions of its run that have a pixel, before it and behind it."""
    there = np.flatnonzero(house.run(spot.run).has_pixel)
    before, behind = there[there < spot.position], there[there > spot.position]
    return (
        int(before[-1]) if len(before) else None,
        int(behind[0]) if len(behind) else None,
    )


def _spots(house: House, text: str) -> Iterable[PixelSpot]:
    """The positions that `gable[3]` or `gable[3:5]` names; all have a pixel."""
    try:
        part = run_slice(text)
    except ValueError as error:
        raise EvenfallError(str(error)) from None
    names = [run.name for run in house.runs]
    if part.name not in names:
        raise EvenfallError(f"no run '{part.name}'; {did_you_mean(part.name, names)}")
    run = house.run(part.name)
    if part.first is None and part.last is None:
        raise EvenfallError(f"'{text}' names no pixel; write it like '{run.name}[3]'")
    first = part.first if part.first is not None else 0
    last = part.last if part.last is not None else run.count
    if not 0 <= first < last <= run.count:
        raise EvenfallError(
            f"'{text}' is outside run '{run.name}'; its pixels are 0 to {run.count - 1}"
        )
    for position in range(first, last):
        if position in run.missing:
            raise EvenfallError(f"pixel {position} of run '{run.name}' is cut out already")
        yield PixelSpot(run.name, position)


def _moved(before: House, after: House) -> Iterable[Moved]:
    """Stretches of pixels whose number, universe or address changed, where they move alike."""
    old, new = addresses(before), addresses(after)
    for run in before.runs:
        here = np.arange(run.first, run.first + run.count)
        numbers = np.stack([old.place[here], old.universe[here], old.address[here]])
        others = np.stack([new.place[here], new.universe[here], new.address[here]])
        changed = (numbers != others).any(axis=0) & (others[0] >= 0)
        step = others - numbers
        begin = 0
        while begin < run.count:
            if not changed[begin]:
                begin += 1
                continue
            end = begin + 1
            while end < run.count and changed[end] and (step[:, end] == step[:, begin]).all():
                end += 1
            b, a = numbers[:, begin].tolist(), others[:, begin].tolist()
            name = before.outputs[old.output[here[begin]]].name
            yield Moved(run.name, begin, end, name, (b[0], b[1], b[2]), (a[0], a[1], a[2]))
            begin = end
