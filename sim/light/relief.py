"""What stands in the way of light: surfaces nearer to the viewer, roofs and overhangs.

A surface of the drawing is a sheet at its depth that reaches back by its thickness. Seen from the
street the house is then a map of two heights. A ray from a source to a lit place is followed over
the cells of that map, each cell exactly (Amanatides and Woo 1987, from memory), and is cut where it
runs between front and back. The map has cells of its own, so shadows do not depend on how large
the picture is; a coarser map over it says where nothing stands high enough to be looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.eaves import ROOFS
from layouts.polygon import least_width_m
from layouts.records import Drawing, Surface
from sim.kernels import njit
from sim.light.photo_place import photo_covers
from sim.light.raster import coverage
from sim.light.view import View

CELL_M = 0.04  # side of a cell of the map
MOST_CELLS = 1200  # across; a wider drawing has larger cells
BLOCK = 8  # cells a side of the coarser map
FLUSH_M = 0.08  # what stands out less than this before the lit place casts no shadow on it
CLEAR_M = 0.06  # nothing this near to a source or a lit place counts as in its way
SMALL_M = 0.4  # what is smaller throws no shadow worth drawing
DEEP_M = 10.0  # how far a roof reaches back: to the wall and beyond
EMPTY_M = -100.0  # depth where nothing is drawn


@dataclass(frozen=True, eq=False)
class Relief:
    """A map of how far surfaces stand out and reach back; (h, w) cells from the upper left."""

    front_m: np.ndarray  # (h, w) float32
    back_m: np.ndarray  # (h, w) float32
    highest_m: np.ndarray  # (h / BLOCK, w / BLOCK) float32, of front_m in the block
    lowest_m: np.ndarray  # the same of back_m
    left_m: float
    top_m: float
    cell_m: float

    @property
    def map(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, float, float, float]:
        """All of it in the order in which `blocked` takes it."""
        maps = (self.front_m, self.back_m, self.highest_m, self.lowest_m)
        return (*maps, self.left_m, self.top_m, self.cell_m)


def relief_from(
    front_m: np.ndarray, back_m: np.ndarray, left_m: float, top_m: float, cell_m: float
) -> Relief:
    """The map with its coarser map, from fronts and backs (h, w) [m]."""
    rows, columns = (-(-side // BLOCK) * BLOCK for side in front_m.shape)
    grown = [(0, rows - front_m.shape[0]), (0, columns - front_m.shape[1])]
    blocks = (rows // BLOCK, BLOCK, columns // BLOCK, BLOCK)
    # what has no thickness stands in nobody's way
    solid = back_m < front_m
    front = np.pad(np.where(solid, front_m, EMPTY_M), grown, constant_values=EMPTY_M)
    back = np.pad(np.where(solid, back_m, EMPTY_M), grown, constant_values=EMPTY_M)
    return Relief(
        front.astype(np.float32),
        back.astype(np.float32),
        front.reshape(blocks).max(axis=(1, 3)).astype(np.float32),
        back.reshape(blocks).min(axis=(1, 3)).astype(np.float32),
        left_m,
        top_m,
        cell_m,
    )


def relief_of(drawing: Drawing, view: View) -> Relief:
    """The map of everything that shows in a picture."""
    width_m, height_m = (side * view.pixel_m for side in view.size_px)
    cell_m = max(CELL_M, width_m / MOST_CELLS, height_m / MOST_CELLS)
    size = (int(np.ceil(width_m / cell_m)), int(np.ceil(height_m / cell_m)))
    own = View(size, 1 / cell_m, view.left_m, view.top_m, view.eye_m)
    front = np.full(size[::-1], EMPTY_M, dtype=np.float32)
    back = front.copy()
    parts = [(s.outline_m, float(s.depth_m), _thickness_m(s)) for s in drawing.surfaces]
    # what is drawn of a soffit lies level, and is in nobody's way
    parts = [p for p, s in zip(parts, drawing.surfaces, strict=True) if s.faces != "down"]
    if drawing.photo is not None:
        covered = photo_covers(drawing.photo, own)
        front[covered] = 0.0
        back[covered] = -DEEP_M
    for outline, depth, thickness in parts:
        found = coverage(own, outline)
        if found is None:
            continue
        rows, columns, cover = found
        solid = cover > 0.5
        front[rows, columns][solid] = depth
        back[rows, columns][solid] = depth - thickness
    return relief_from(front, back, view.left_m, view.top_m, cell_m)


def _thickness_m(surface: Surface) -> float:
    """A roof reaches back to the wall; anything else is as thick as it is wide where narrowest."""
    if surface.material.texture in ROOFS:
        return DEEP_M
    if float(np.ptp(surface.outline_m, axis=0).max()) <= SMALL_M:
        return 0.0
    return least_width_m(surface.outline_m)


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def blocked(
    px: float,
    py: float,
    pz: float,
    sx: float,
    sy: float,
    sz: float,
    skip_m: float,
    front: np.ndarray,
    back: np.ndarray,
    highest: np.ndarray,
    lowest: np.ndarray,
    left: float,
    top: float,
    cell: float,
) -> bool:
    """Whether a surface stands between the place P and the source P − s.

    Nothing within `skip_m` of the place or CLEAR_M of the source counts. Nor does what stands out
    less than FLUSH_M before the place, for the part of the ray that is not farther back than that.
    """
    span = np.sqrt(sx * sx + sy * sy)
    if span <= skip_m + CLEAR_M:
        return False
    t, last = skip_m / span, 1.0 - CLEAR_M / span
    side = cell * BLOCK
    # the ray in blocks, from the place (t = 0) to the source (t = 1); rows count downwards
    u, v, du, dv = (px - left) / side, (top - py) / side, -sx / side, sy / side
    i, j = int(np.floor(v + t * dv)), int(np.floor(u + t * du))
    next_u, next_v, each_u, each_v = _first_edges(u, v, du, dv, i, j)
    while t < last:
        end = min(next_u, next_v, last)
        if 0 <= i < highest.shape[0] and 0 <= j < highest.shape[1]:
            z0, z1 = pz - t * sz, pz - end * sz
            if (
                min(z0, z1) < highest[i, j]
                and max(z0, z1) > lowest[i, j]
                and _cut(u, v, du, dv, pz, -sz, t, end, front, back)
            ):
                return True
        t = end
        if next_u <= next_v:
            next_u += each_u
            j += 1 if du > 0.0 else -1
        else:
            next_v += each_v
            i += 1 if dv > 0.0 else -1
    return False


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _first_edges(
    u: float, v: float, du: float, dv: float, i: int, j: int
) -> tuple[float, float, float, float]:
    """Where a ray in cell (i, j) first leaves its column and its row, and every how much again."""
    never = 1e30
    each_u = 1.0 / abs(du) if du != 0.0 else never
    each_v = 1.0 / abs(dv) if dv != 0.0 else never
    next_u = ((j + 1.0 if du > 0.0 else float(j)) - u) / du if du != 0.0 else never
    next_v = ((i + 1.0 if dv > 0.0 else float(i)) - v) / dv if dv != 0.0 else never
    return next_u, next_v, each_u, each_v


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _cut(
    block_u: float,
    block_v: float,
    block_du: float,
    block_dv: float,
    pz: float,
    dz: float,
    t: float,
    last: float,
    front: np.ndarray,
    back: np.ndarray,
) -> bool:
    """Whether the ray is cut within one block, between t and last."""
    u, v, du, dv = block_u * BLOCK, block_v * BLOCK, block_du * BLOCK, block_dv * BLOCK
    i, j = int(np.floor(v + t * dv)), int(np.floor(u + t * du))
    next_u, next_v, each_u, each_v = _first_edges(u, v, du, dv, i, j)
    while t < last:
        end = min(next_u, next_v, last)
        if 0 <= i < front.shape[0] and 0 <= j < front.shape[1]:
            z0, z1 = pz + t * dz, pz + end * dz
            high = front[i, j]
            if high <= pz + FLUSH_M:
                high = min(high, pz - FLUSH_M)
            if min(z0, z1) < high and max(z0, z1) > back[i, j]:
                return True
        t = end
        if next_u <= next_v:
            next_u += each_u
            j += 1 if du > 0.0 else -1
        else:
            next_v += each_v
            i += 1 if dv > 0.0 else -1
    return False
