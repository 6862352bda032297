"""From the drawing's entries to records: outlines and the photograph."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from layouts.catalogue import materials
from layouts.records import Drawing, Surface
from layouts.refusals import Refusals

if TYPE_CHECKING:
    from layouts.schema import DrawingEntry


def build_drawing(entry: DrawingEntry, refusals: Refusals) -> Drawing:
    """The drawing; unknown materials and outlines that enclose nothing are refused."""
    known = materials()
    surfaces = []
    for index, each in enumerate(entry.surfaces):
        path = ("drawing", "surfaces", index)
        if each.material not in known:
            refusals.unknown((*path, "material"), "material", each.material, known)
            continue
        outline_m = np.array(each.outline, dtype=float).reshape(-1, 2)
        outline_m.flags.writeable = False
        surfaces.append(Surface(each.name, outline_m, known[each.material], each.depth))
    width, height = entry.size
    return Drawing(
        size_m=(width, height), viewer_m=entry.viewer, surfaces=tuple(surfaces), photo=None
    )
