"""What snapping sees of a photograph: its edges as lines of the house."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts import House
from layouts.photograph import Plane, metres_per_pixel, to_pixel, to_wall
from layouts.polygon import inside
from layouts.records import AS_PHOTOGRAPHED
from sim.app.edit.commands import PointM
from sim.app.edit.photo_edges import nearest_edge
from sim.app.edit.snap import Guide, photo_guide

#: Places (u, v) of a photograph begin at the outer corner of a pixel, those of its edges in the
#: middle of one.
_HALF = 0.5
#: An edge is sought at most so far away [pixels]: where one is worth little, all would be edges.
MOST_PX = 40.0


@dataclass(frozen=True, eq=False)
class PhotoSight:
    """grey (H, W) 0..1 of the photograph, how its pixels see the wall, where its eye was [m]."""

    grey: np.ndarray
    plane: Plane
    eye_m: np.ndarray


def photo_edge_at(sight: PhotoSight, house: House, at_m: PointM, reach_m: float) -> Guide | None:
    """The edge of the photograph near a place [m], as a line to snap to; None where there is none.

    Parts of the photograph that stand before or behind the wall lie at their true place on the
    drawing; their edges are sought where the camera saw them.
    """
    depth_m = _depth_m(house, at_m)
    eye_m = sight.eye_m if depth_m else None
    here = np.array(at_m, dtype=float)
    pixel = to_pixel(sight.plane, here, depth_m, eye_m)
    if not np.isfinite(pixel).all():
        return None
    worth_m = float(metres_per_pixel(sight.plane, here))
    u, v = (pixel - _HALF).tolist()
    edge = nearest_edge(sight.grey, (u, v), min(reach_m / worth_m, MOST_PX))
    if edge is None:
        return None

    def to_m(at_px: PointM) -> PointM:
        x, y = to_wall(sight.plane, np.array(at_px) + _HALF, depth_m, eye_m).tolist()
        return x, y

    return photo_guide(edge, to_m)


def _depth_m(house: House, at_m: PointM) -> float:
    """How far before the wall [m] what the photograph shows at a place is taken to stand."""
    for surface in reversed(house.drawing.surfaces):
        if surface.material is AS_PHOTOGRAPHED and inside(surface.outline_m, np.array([at_m]))[0]:
            return float(surface.depth_m)
    return 0.0
