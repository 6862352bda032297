"""What is questionable in how a photograph was laid on the wall."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from layouts.catalogue import limits
from layouts.finding import Finding, Remedy
from layouts.photograph.eye import eye_of
from layouts.photograph.faults import UnfitPoints
from layouts.photograph.odd import odd_point
from layouts.photograph.placed import known, photo_errors_m, plane_of
from layouts.records import AS_PHOTOGRAPHED, House


def photo_findings(house: House) -> Iterator[Finding]:
    """Code `photo-fit`: known points that do not agree; `photo-distance`: where its eye was."""
    photo = house.drawing.photo
    if photo is None or not photo.points:
        return
    off_m = photo_errors_m(photo)
    worst = int(np.argmax(off_m))
    if off_m[worst] > limits().photo_fit_m:
        # a wrong point pulls the plane, and may so put another one farther off than itself
        odd = odd_point(*known(photo), photo.size_px, photo.lens, limits().photo_fit_m)
        worst = worst if odd is None else odd.number
    if off_m[worst] > limits().photo_fit_m:
        yield Finding(
            "warning",
            "photo-fit",
            f"photo point {worst + 1}",
            value=float(off_m[worst]),
            limit=limits().photo_fit_m,
            unit="m",
            remedies=(Remedy("check-point", f"drawing.photo.points[{worst}]"),),
            detail={"point": worst + 1, "points": len(off_m)},
        )
    yield from _distance(house)


def _distance(house: House) -> Iterator[Finding]:
    """A viewer's distance that the perspective contradicts, where parts with depth rest on it."""
    drawing = house.drawing
    parts = [s for s in drawing.surfaces if s.material == AS_PHOTOGRAPHED and s.depth_m]
    if drawing.photo is None or not parts:
        return
    plane = plane_of(drawing.photo)
    try:
        eye_of(plane, drawing.viewer_m)
    except UnfitPoints:
        try:
            told_m = float(eye_of(plane)[2])
        except UnfitPoints:
            return
        yield Finding(
            "note",
            "photo-distance",
            "photo",
            value=told_m,
            limit=drawing.viewer_m,
            unit="m",
            remedies=(Remedy("change-viewer", "drawing.viewer", told_m, "m"),),
        )
