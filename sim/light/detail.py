"""Finer light where single points hang close to a wall: the lattice alone would blur it.

A row of points a pitch s apart lights a wall evenly from a distance D of about the pitch on
(`evenness`); nearer to it the light is scallops, which a lattice several picture pixels wide cannot
follow. There every picture pixel has a row of the matrix of its own, and what the lattice would
show in its place is taken away again. Pixels at which the two do not differ are dropped when the
scene is made, so that a house of dense strips pays nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects.colour_spaces import LUMINANCE
from sim.kernels import njit
from sim.light.canvas import Sheet
from sim.light.lattice import Lattice, places_on, stretch_of
from sim.light.relief import Relief
from sim.light.share import share
from sim.light.sources import Sources, Tree
from sim.light.transport import Transport, trace
from sim.light.view import GROUND, WALL, View

LEAST_PX = 3.0  # a pitch of fewer picture pixels cannot be seen as points
EVEN = 1.4  # pitches from which a Lambertian row lights evenly: s / D = 0.72, Emin/Emax 0.99
SEEN = 0.02  # a difference below this share of the light there is not seen
FAINT = 0.005  # nor one below this share of the brightest light
MOST = 200_000  # picture pixels, the nearest to a run first


@dataclass(frozen=True, eq=False)
class Detail:
    """Q picture pixels whose light is computed at their very place."""

    row: np.ndarray  # (Q,)
    column: np.ndarray  # (Q,)
    sheet: np.ndarray  # (Q,)
    transport: Transport | None  # Q places; None where there are none

    def __len__(self) -> int:
        return len(self.row)


_NO_PLACES = np.zeros(0, np.int64)
NONE = Detail(_NO_PLACES, _NO_PLACES, _NO_PLACES, None)


def detail_of(
    sources: Sources,
    tree: Tree,
    pitch_m: np.ndarray,
    view: View,
    lattice: Lattice,
    relief: Relief,
    sheet: np.ndarray,
    sheets: tuple[Sheet, ...],
    coarse: Transport,
    reflected: np.ndarray,
) -> Detail:
    """The picture pixels that need it.

    pitch_m : (N,) of each source's run; sheet : (H, W) numbers, -1 the sky; coarse : the matrix of
    the lattice; reflected : as `Scene.reflected`.
    """
    depth_m = np.array([s.depth_m for s in sheets] or [0.0])
    facing = np.array([s.facing for s in sheets] or [WALL])
    near = _near(sources, pitch_m, view, sheet, depth_m, facing)
    if not len(near[0]):
        return NONE
    row, column = near
    number = sheet[row, column].astype(np.int64)
    x, y = view.to_m(np.column_stack([column, row]) + 0.5).T
    place, faces = places_on(sheets, view, number, x, y)
    kinds = len(sources.kinds)
    fine = trace(tree, kinds, place, faces, view.pixel_m, relief, stretch_of(sheets, number))
    found = Detail(row, column, number, fine)
    white = np.ones((len(sources.kind), reflected.shape[2]), np.float32)
    lit = coarse.shine(white, reflected, lattice.sheet)
    exact = fine.shine(white, reflected, number)
    shown = np.zeros_like(exact)
    _between(0, 1, row, column, number, lattice.node, lattice.step_px, lit, shown)
    exact, off = exact @ LUMINANCE, np.abs(exact - shown) @ LUMINANCE
    wanted = off > np.maximum(SEEN * exact, FAINT * exact.max(initial=0.0))
    return _only(found, np.flatnonzero(wanted), kinds)


def reach_m(pitch_m: np.ndarray, power: np.ndarray) -> np.ndarray:
    """How far from a row of cos^m points its scallops are seen [m].

    Narrow beams overlap later, about as √(m + 3): the kernel of the row is (1 + x²)^-(m + 3)/2.
    """
    return EVEN * pitch_m * np.sqrt((power + 3) / 4)


def _near(
    sources: Sources,
    pitch_m: np.ndarray,
    view: View,
    sheet: np.ndarray,
    depth_m: np.ndarray,
    facing: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Rows and columns of the picture pixels that a row of single points may light unevenly."""
    height, width = sheet.shape
    least = np.full((height, width), np.inf, np.float32)  # distance in reaches
    single = np.flatnonzero(pitch_m >= LEAST_PX * view.pixel_m)
    reach = reach_m(pitch_m, sources.power)
    at = view.to_px(sources.place_m[:, :2])
    for n in single.tolist():
        r_px = reach[n] * view.px_per_m
        x, y = at[n]
        rows = slice(max(int(y - r_px), 0), max(min(int(y + r_px) + 2, height), 0))
        columns = slice(max(int(x - r_px), 0), max(min(int(x + r_px) + 2, width), 0))
        if rows.start >= rows.stop or columns.start >= columns.stop:
            continue
        number = sheet[rows, columns]
        up = (np.arange(rows.start, rows.stop) + 0.5 - y)[:, None]
        aside = (np.arange(columns.start, columns.stop) + 0.5 - x)[None, :]
        out = (sources.place_m[n, 2] - depth_m[number]) * view.px_per_m
        far = np.sqrt(up * up + aside * aside + out * out) / r_px
        lit = (number >= 0) & (facing[number] != GROUND)
        part = least[rows, columns]
        np.minimum(part, np.where(lit, far, np.inf), out=part)
    row, column = np.nonzero(least <= 1.0)
    if len(row) > MOST:
        kept = np.sort(np.argpartition(least[row, column], MOST)[:MOST])
        row, column = row[kept], column[kept]
    return row, column


def _only(found: Detail, which: np.ndarray, kinds: int) -> Detail:
    """The picture pixels `which` (indices) with their rows of the matrix."""
    fine = found.transport
    if fine is None or not len(which):
        return NONE
    rows = (which[:, None] * kinds + np.arange(kinds)).ravel()
    size = np.diff(fine.start)[rows]
    start = np.r_[0, np.cumsum(size)]
    taken = np.arange(start[-1]) + np.repeat(fine.start[rows] - start[:-1], size)
    matrix = Transport(start, fine.column[taken], fine.weight[taken], fine.tree, fine.kinds)
    return Detail(found.row[which], found.column[which], found.sheet[which], matrix)


def refine(
    detail: Detail,
    light: np.ndarray,
    reflected: np.ndarray,
    lattice: Lattice,
    own: np.ndarray,
    tint: np.ndarray,
    base: np.ndarray,
) -> None:
    """Add to `base` (H, W, 3) by how much the light of the pixels differs from the lattice's.

    own : (P, 3) radiance of the lattice nodes by the direct light of pixels alone.
    """
    if detail.transport is None:
        return
    exact = detail.transport.shine(light, reflected, detail.sheet)
    shown = np.empty_like(exact)
    share(
        _between,
        detail.row,
        detail.column,
        detail.sheet,
        lattice.node,
        lattice.step_px,
        own,
        shown,
    )
    share(_add, detail.row, detail.column, exact, shown, tint, base)


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _between(
    first: int,
    stride: int,
    row: np.ndarray,
    column: np.ndarray,
    sheet: np.ndarray,
    node: np.ndarray,
    step: int,
    lit: np.ndarray,
    out: np.ndarray,
) -> None:
    """(Q, 3) what the lattice shows at each picture pixel, as `compose` draws it."""
    half, over = np.float32(0.5), np.float32(1.0 / step)
    for q in range(first, len(row), stride):
        jy, jx, s = row[q] // step, column[q] // step, sheet[q]
        fy = (row[q] - jy * step + half) * over
        fx = (column[q] - jx * step + half) * over
        a, p = node[s, jy, jx], node[s, jy + 1, jx]
        b, o = node[s, jy, jx + 1], node[s, jy + 1, jx + 1]
        for c in range(3):
            near = lit[a, c] * (1 - fy) + lit[p, c] * fy
            far = lit[b, c] * (1 - fy) + lit[o, c] * fy
            out[q, c] = near * (1 - fx) + far * fx


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _add(
    first: int,
    stride: int,
    row: np.ndarray,
    column: np.ndarray,
    exact: np.ndarray,
    shown: np.ndarray,
    tint: np.ndarray,
    base: np.ndarray,
) -> None:
    for q in range(first, len(row), stride):
        y, x = row[q], column[q]
        for c in range(3):
            base[y, x, c] += tint[y, x, c] * (exact[q, c] - shown[q, c])
