"""From the drawing's entries to records: outlines, and the photograph."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from layouts.catalogue import materials
from layouts.files.refusals import Refusals
from layouts.polygon import area_m2, first_crossing, is_convex
from layouts.records import Drawing, Photo, Surface

if TYPE_CHECKING:
    from layouts.schema import DrawingEntry, PhotoEntry

#: An outline that encloses less [m²] is a slip of the pen.
LEAST_AREA_M2 = 1e-6


def build_drawing(entry: DrawingEntry, refusals: Refusals) -> Drawing:
    """The drawing; unknown materials, impossible outlines and lost photographs are refused."""
    known = materials()
    surfaces = []
    for index, each in enumerate(entry.surfaces):
        path = ("drawing", "surfaces", index)
        outline_m = np.array(each.outline, dtype=float).reshape(-1, 2)
        outline_m.flags.writeable = False
        _check_outline(each.name, outline_m, (*path, "outline"), refusals)
        if each.material not in known:
            refusals.unknown((*path, "material"), "material", each.material, known)
            continue
        surfaces.append(Surface(each.name, outline_m, known[each.material], each.depth))
    width, height = entry.size
    return Drawing(
        size_m=(width, height),
        viewer_m=entry.viewer,
        surfaces=tuple(surfaces),
        photo=_photo(entry.photo, refusals) if entry.photo else None,
    )


def _check_outline(
    name: str, outline_m: np.ndarray, path: tuple[str | int, ...], refusals: Refusals
) -> None:
    if len(outline_m) < 3:
        what = f"the outline of surface '{name}' has {len(outline_m)} points and encloses nothing"
        refusals.add(path, what, "give at least three")
        return
    crossing = first_crossing(outline_m)
    if crossing is not None:
        first, second = crossing
        what = (
            f"the outline of surface '{name}' crosses itself: the side after point {first + 1}"
            f" and the side after point {second + 1}"
        )
        refusals.add(path, what, "list the points once around")
    elif abs(area_m2(outline_m)) < LEAST_AREA_M2:
        what = f"the outline of surface '{name}' encloses nothing"
        refusals.add(path, what, "move a point out of the line")


def _photo(entry: PhotoEntry, refusals: Refusals) -> Photo | None:
    """The photograph, where it lies in the house file's folder or below it."""
    path = ("drawing", "photo", "file")
    folder = Path(refusals.file).resolve().parent
    file = (folder / entry.file).resolve()
    if not file.is_relative_to(folder):
        what = f"the photo '{entry.file}' lies outside the folder of the house file"
        refusals.add(path, what, "move it beside the house file")
        return None
    if not file.is_file():
        what = f"there is no photo '{entry.file}'"
        refusals.add(path, what, "put it beside the house file, or leave 'photo' out")
        return None
    corners = np.array(entry.corners, dtype=float)
    if not is_convex(corners):
        what = "the photo's corners do not go once around"
        do = "give lower left, lower right, upper right, upper left"
        refusals.add(("drawing", "photo", "corners"), what, do)
    return Photo(str(file), tuple((x, y) for x, y in corners.tolist()))
