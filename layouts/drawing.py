"""From the drawing's entries to records."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from layouts.files.refusals import Refusals
from layouts.known import Known
from layouts.photo import build_photo
from layouts.photograph.placed import likely_eye, plane_of
from layouts.polygon import area_m2, first_crossing
from layouts.records import AS_PHOTOGRAPHED, Drawing, Material, Run, Surface

if TYPE_CHECKING:
    from layouts.schema import DrawingEntry, SurfaceEntry

#: An outline that encloses less [m²] is a slip of the pen.
LEAST_AREA_M2 = 1e-6
#: No camera that shows a house stands nearer to its wall [m]; below it nobody asks where it was.
NEAR_M = 1.5
#: Left free [m] at the right and above where no size is given, so that the light there is seen.
ROOM_M = 0.5


def build_drawing(
    entry: DrawingEntry, runs: tuple[Run, ...], known: Known, refusals: Refusals
) -> Drawing:
    """The drawing; unknown materials, impossible outlines and lost photographs are refused."""
    materials = known.materials
    surfaces = []
    for index, each in enumerate(entry.surfaces):
        path = ("drawing", "surfaces", index)
        outline_m = np.array(each.outline, dtype=float).reshape(-1, 2)
        outline_m.flags.writeable = False
        _check_outline(each.name, outline_m, (*path, "outline"), refusals)
        if each.material is None:
            if not refusals.wrote("drawing", "photo"):
                what = f"surface '{each.name}' has no material, and there is no photo that shows it"
                refusals.add(path, what, "add its material")
            surfaces.append(_surface(each, outline_m, AS_PHOTOGRAPHED))
            continue
        if each.material not in materials:
            refusals.unknown((*path, "material"), "material", each.material, materials)
            continue
        surfaces.append(_surface(each, outline_m, materials[each.material]))
    size_m = (entry.size[0], entry.size[1]) if entry.size else taken_up_m(surfaces, runs)
    photo = build_photo(entry.photo, size_m, refusals) if entry.photo else None
    drawing = Drawing(
        size_m,
        entry.viewer,
        tuple(surfaces),
        photo,
        entry.ground,
        entry.lit_windows,
        entry.bounces,
    )
    _check_depths(drawing, refusals)
    return drawing


def _surface(entry: SurfaceEntry, outline_m: np.ndarray, material: Material) -> Surface:
    return Surface(entry.name, outline_m, material, entry.depth, entry.lit, entry.faces)


def _check_depths(drawing: Drawing, refusals: Refusals) -> None:
    """Parts of a photograph that would stand behind its camera."""
    parts = [s for s in drawing.surfaces if s.material == AS_PHOTOGRAPHED and s.depth_m > NEAR_M]
    if drawing.photo is None or not parts or refusals.found:
        return
    eye_m = float(likely_eye(plane_of(drawing.photo), drawing.viewer_m)[2])
    for surface in parts:
        if surface.depth_m >= eye_m:
            what = (
                f"surface '{surface.name}' would stand behind the camera, which was {eye_m:.3g} m"
                " from the wall"
            )
            refusals.add(("drawing", "surfaces"), what, "check its depth")


def taken_up_m(surfaces: list[Surface], runs: tuple[Run, ...]) -> tuple[float, float]:
    """The width and height [m], from the origin, that the surfaces and runs take up.

    A surface that leaves the picture to the left or below, as a lawn does, may leave it to the
    right too, and is not counted.
    """
    points = [np.zeros((1, 2)), *(run.path_m for run in runs)]
    points += [surface.outline_m for surface in surfaces if surface.outline_m.min() >= 0]
    width, height = np.concatenate(points).max(axis=0) + ROOM_M
    return max(float(width), ROOM_M), max(float(height), ROOM_M)


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
