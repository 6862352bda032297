"""Cuts of a run: before which positions + is interrupted. − and data go through."""

from __future__ import annotations

from typing import TYPE_CHECKING

from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.units import length_text

if TYPE_CHECKING:
    from layouts.records import House, Run
    from layouts.schema import RunEntry


def cuts_of(
    entry: RunEntry, count: int, pitch_m: float, path: Path, refusals: Refusals, units: str = "m"
) -> tuple[int, ...]:
    """The positions behind the cuts of a run of `count` pixels, ascending.

    A length is the nearest boundary between two pixels. Refuses what lies outside 1..count − 1,
    and a cut given twice; lengths are told in `units`.
    """
    found: dict[int, str] = {}
    for index, cut in enumerate(entry.cuts):
        at = cut if isinstance(cut, int) else round(cut / pitch_m)
        shown = str(cut) if isinstance(cut, int) else length_text(cut, units)
        if not 1 <= at <= count - 1:
            what = f"a cut at {shown} is not between two pixels of run '{entry.name}'"
            do = f"write 1 to {count - 1}" if count > 1 else "leave it out: there is one pixel"
            refusals.add((*path, index), what, do)
        elif at in found:
            what = f"run '{entry.name}' is already cut before pixel {at}"
            same = (
                "" if found[at] == shown == str(at) else f": {found[at]} and {shown} are the same"
            )
            refusals.add((*path, index), what + same, "write it once")
        else:
            found[at] = shown
    return tuple(sorted(found))


def cut_along_m(house: House, run: Run, before: int) -> float:
    """[m] along the run where + is interrupted: half-way between the two pixels it parts."""
    return float(house.pixels.along_m[run.first + before - 1 : run.first + before + 1].mean())
