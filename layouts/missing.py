"""Positions of a run whose pixel is cut out: power and data are bridged over the gap.

The position stays, so that zones, feeds and cuts keep theirs; it is dark, draws nothing and has no
address.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from layouts.files.refusals import Refusals
from layouts.files.written import Path

if TYPE_CHECKING:
    from layouts.schema import RunEntry


def missing_of(entry: RunEntry, count: int, path: Path, refusals: Refusals) -> tuple[int, ...]:
    """The positions without a pixel of a run of `count`, ascending.

    Refuses one that the run has not, one given twice, and a run without any pixel.
    """
    found: set[int] = set()
    for index, position in enumerate(entry.missing):
        if position >= count:
            what = f"run '{entry.name}' has no position {position}"
            refusals.add((*path, index), what, f"write 0 to {count - 1}")
        elif position in found:
            what = f"position {position} of run '{entry.name}' is missing twice"
            refusals.add((*path, index), what, "write it once")
        else:
            found.add(position)
    if len(found) >= count:
        what = f"run '{entry.name}' has no pixel left"
        refusals.add(path, what, "remove the run")
        return ()
    return tuple(sorted(found))
