"""Light thrown on by what it falls on: from wall to ground and soffit and back, twice.

The radiosity of patches (Goral et al. 1984, "Modeling the interaction of light between diffuse
surfaces", from memory): a patch with the exitance M sends A·F of it to another, so that

    E₁ = F · M₀,   E₂ = F · ρE₁,   …       M₀: the light of the pixels, reflected once

The first reflection keeps the spectrum of each channel; what follows is reckoned in linear sRGB,
ρ being the colour of the material by daylight, as for lamps and sky. All of it is linear and the
same from frame to frame, and so it costs the frame two sparse products over some hundred patches.
A closed box of one reflectance multiplies its light by 1 + ρ + ρ² with two bounces, by 1/(1 - ρ)
in the end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.kernels import njit
from sim.light.canvas import Sheet
from sim.light.form_factor import exchanged_parallel, exchanged_square
from sim.light.lattice import Lattice
from sim.light.patches import Patches, patches_of
from sim.light.relief import CLEAR_M, Relief, blocked
from sim.light.share import share
from sim.light.view import GROUND, UNDER, WALL, View

FAR = 5.0  # roots of their area: so far from each other patches count as points
LEAST = 1e-4  # of a patch's light: what gets less of it is left out
_FIELD = ((0.3, 0.3), (0.7, 0.7), (0.3, 0.7), (0.7, 0.3))  # from where shadows are looked for


@dataclass(frozen=True, eq=False)
class Bounce:
    """P nodes of a lattice and the Q patches between which their light is thrown."""

    patch: np.ndarray  # (P,) -1: takes no part
    leaves: np.ndarray  # (P, 3) float32: exitance of the patch by the node's radiance
    start: np.ndarray  # (Q + 1,) rows of F
    column: np.ndarray  # (nonzeros,) int32
    factor: np.ndarray  # (nonzeros,) float32: share of the light of the row's patch
    reflectance: np.ndarray  # (Q, 3) float32
    corner: np.ndarray  # (P, 4)
    part: np.ndarray  # (P, 4) float32
    back: np.ndarray  # (P, 3) float32: radiance by illuminance
    times: int

    def illuminance(self, lit: np.ndarray) -> np.ndarray:
        """(P, 3) radiance [cd/m²] of plain nodes -> (Q, 3) [lx] that all bounces throw on patches.

        With the sign of a colour outside sRGB, as all light here.
        """
        leaving = np.zeros((len(self.reflectance), 3), dtype=np.float32)
        _gather(self.patch, self.leaves, np.ascontiguousarray(lit, dtype=np.float32), leaving)
        return thrown(self.start, self.column, self.factor, self.reflectance, leaving, self.times)

    def add(self, lit: np.ndarray, to: np.ndarray) -> None:
        """Add to (P, 3) radiance what bounces make of `lit` (P, 3), that by direct light."""
        share(_scatter, self.corner, self.part, self.back, self.illuminance(lit), to)


def bounced(bounce: Bounce | None, lit: np.ndarray) -> np.ndarray:
    """(P, 3) radiance by direct light -> the same with what bounces add."""
    if bounce is None:
        return lit
    out = lit.copy()
    bounce.add(lit, out)
    return out


def thrown(
    start: np.ndarray,
    column: np.ndarray,
    factor: np.ndarray,
    reflectance: np.ndarray,
    leaving: np.ndarray,
    times: int,
) -> np.ndarray:
    """Sparse F, (Q, 3) ρ and exitance M₀ -> (Q, 3) illuminance by `times` bounces: Σ (Fρ)ⁿ F M₀."""
    total = np.zeros_like(leaving)
    for _ in range(times):
        arrived = np.zeros_like(leaving)
        _times(start, column, factor, leaving, arrived)
        total += arrived
        leaving = reflectance * arrived
    return total


def bounce_of(
    lattice: Lattice,
    sheets: tuple[Sheet, ...],
    view: View,
    relief: Relief,
    albedo: np.ndarray,
    sheet: np.ndarray,
    tint: np.ndarray,
    times: int,
) -> Bounce | None:
    """The bounces of a painted picture; None where none are asked or nothing sees anything.

    albedo : (S, 3) of the sheets; sheet : (H, W) numbers; tint : (H, W, 3) as in `Scene`.
    """
    patches = patches_of(lattice, sheets, view)
    if times < 1 or not len(patches):
        return None
    start, column, factor = factors(patches, relief)
    if not len(column):
        return None
    shade = _shade(lattice, sheet, tint)
    part_of = patches.of_node >= 0
    which = patches.of_node[part_of]
    size = np.bincount(which, patches.node_m2[part_of], minlength=len(patches))
    weight = np.zeros((len(part_of), 1))
    weight[part_of, 0] = patches.node_m2[part_of] / np.maximum(size[which], 1e-12)
    plain = albedo[lattice.sheet]
    own = (weight * shade * plain)[part_of]
    rho = [np.bincount(which, own[:, c], minlength=len(patches)) for c in range(3)]
    return Bounce(
        patch=patches.of_node,
        leaves=(np.pi * weight * shade).astype(np.float32),
        start=start,
        column=column,
        factor=factor,
        reflectance=np.clip(np.stack(rho, axis=-1), 0.0, 1.0).astype(np.float32),
        corner=patches.corner,
        part=patches.part,
        back=(part_of[:, None] * plain / np.pi).astype(np.float32),
        times=times,
    )


def _shade(lattice: Lattice, sheet: np.ndarray, tint: np.ndarray) -> np.ndarray:
    """(P, 3) mean tint of each node's sheet around it."""
    node, step = lattice.node, lattice.step_px
    sums = np.zeros((len(lattice.sheet), 4))
    _mean_tint(sheet, tint, node, step, max(step // 3, 1), sums)
    some = np.maximum(sums[:, 3:], 1.0)
    return np.where(sums[:, 3:] > 0, sums[:, :3] / some, 1.0)


def factors(patches: Patches, relief: Relief) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Rows of F: how much of the light of the row's patch falls on every other; sparse.

    A_i F_ij = A_j F_ji, shadows and fill included.
    """
    count = len(patches)
    exchanged = np.zeros((count, count), dtype=np.float64)
    share(
        _exchange,
        patches.facing,
        patches.across_m,
        patches.other_m,
        patches.off_m,
        patches.area_m2,
        patches.fill,
        *relief.map,
        exchanged,
    )
    row, column = np.nonzero(exchanged)
    start = np.searchsorted(row, np.arange(count + 1))
    factor = exchanged[row, column] / patches.area_m2[row]
    return start, column.astype(np.int32), factor.astype(np.float32)


@njit(cache=True, nogil=True, error_model="numpy")
def _exchange(
    first: int,
    stride: int,
    facing: np.ndarray,
    across: np.ndarray,
    other: np.ndarray,
    off: np.ndarray,
    area: np.ndarray,
    fill: np.ndarray,
    front: np.ndarray,
    back: np.ndarray,
    highest: np.ndarray,
    lowest: np.ndarray,
    left: float,
    top: float,
    cell: float,
    out: np.ndarray,
) -> None:
    """A_i F_ij of every pair that can see each other."""
    for i in range(first, len(area), stride):
        for j in range(len(area)):
            # each pair once: walls with what is level, soffits with ground
            if facing[i] == WALL:
                if facing[j] == WALL:
                    continue
            elif facing[i] != UNDER or facing[j] != GROUND:
                continue
            got = _pair(i, j, facing, across, other, off, area[i] + area[j]) * fill[i] * fill[j]
            if got <= LEAST * min(area[i], area[j]):
                continue
            seen = 0
            for k in range(4):
                px, py, pz = _point(i, _FIELD[k][0], _FIELD[k][1], facing, across, other, off)
                m = (k + 1) % 4
                sx, sy, sz = _point(j, _FIELD[m][0], _FIELD[m][1], facing, across, other, off)
                if not blocked(
                    px,
                    py,
                    pz,
                    px - sx,
                    py - sy,
                    pz - sz,
                    CLEAR_M,
                    front,
                    back,
                    highest,
                    lowest,
                    left,
                    top,
                    cell,
                ):
                    seen += 1
            out[i, j] = out[j, i] = got * seen / 4


@njit(inner=True, cache=True, nogil=True, error_model="numpy")
def _point(
    n: int,
    u: float,
    v: float,
    facing: np.ndarray,
    across: np.ndarray,
    other: np.ndarray,
    off: np.ndarray,
) -> tuple[float, float, float]:
    x = across[n, 0] + u * (across[n, 1] - across[n, 0])
    t = other[n, 0] + v * (other[n, 1] - other[n, 0])
    if facing[n] == WALL:
        return x, t, off[n]
    return x, off[n], t


@njit(inner=True, cache=True, nogil=True, error_model="numpy")
def _pair(
    i: int,
    j: int,
    facing: np.ndarray,
    across: np.ndarray,
    other: np.ndarray,
    off: np.ndarray,
    both_m2: float,
) -> float:
    """A_i F_ij of whole rectangles; only what lies before the wall, below the soffit counts.

    Far from each other two patches are as good as points.
    """
    px, py, pz = _point(i, 0.5, 0.5, facing, across, other, off)
    qx, qy, qz = _point(j, 0.5, 0.5, facing, across, other, off)
    square = (px - qx) ** 2 + (py - qy) ** 2 + (pz - qz) ** 2
    if square > FAR * FAR * both_m2:
        high = abs(py - qy)
        deep = qz - pz if facing[i] == WALL else high
        below = (py - qy) if facing[j] == GROUND else (qy - py)
        if deep <= 0.0 or below <= 0.0:
            return 0.0
        size = (across[i, 1] - across[i, 0]) * (other[i, 1] - other[i, 0])
        size *= (across[j, 1] - across[j, 0]) * (other[j, 1] - other[j, 0])
        return size * high * deep / (math.pi * square * square)
    u1, u2 = (across[i, 0], across[i, 1]), (across[j, 0], across[j, 1])
    if facing[i] == UNDER:
        gap = off[i] - off[j]
        if gap <= 0.0:
            return 0.0
        v1, v2 = (other[i, 0], other[i, 1]), (other[j, 0], other[j, 1])
        return exchanged_parallel(u1, v1, u2, v2, gap)
    # a wall: heights from the level plane, depths from the wall
    way = 1.0 if facing[j] == GROUND else -1.0
    a, b = way * (other[i, 0] - off[j]), way * (other[i, 1] - off[j])
    near, far = max(min(a, b), 0.0), max(a, b)
    z0, z1 = max(other[j, 0] - off[i], 0.0), other[j, 1] - off[i]
    if far <= near or z1 <= z0:
        return 0.0
    return exchanged_square(u1, (near, far), u2, (z0, z1))


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _mean_tint(
    sheet: np.ndarray, tint: np.ndarray, node: np.ndarray, step: int, every: int, sums: np.ndarray
) -> None:
    """Add to (P, 4) the tint of every picture pixel around a node that shows its sheet, and 1."""
    for y in range(every // 2, sheet.shape[0], every):
        i = (y + step // 2) // step
        for x in range(every // 2, sheet.shape[1], every):
            number = sheet[y, x]
            if number < 0:
                continue
            p = node[number, i, (x + step // 2) // step]
            for c in range(3):
                sums[p, c] += tint[y, x, c]
            sums[p, 3] += 1.0


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _gather(patch: np.ndarray, leaves: np.ndarray, lit: np.ndarray, out: np.ndarray) -> None:
    for p in range(len(patch)):
        q = patch[p]
        if q >= 0:
            for c in range(3):
                out[q, c] += leaves[p, c] * lit[p, c]


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _times(
    start: np.ndarray, column: np.ndarray, factor: np.ndarray, leaving: np.ndarray, out: np.ndarray
) -> None:
    """A sparse matrix times (Q, 3)."""
    for q in range(len(out)):
        r = g = b = np.float32(0)
        for n in range(start[q], start[q + 1]):
            p, f = column[n], factor[n]
            r += f * leaving[p, 0]
            g += f * leaving[p, 1]
            b += f * leaving[p, 2]
        out[q, 0], out[q, 1], out[q, 2] = r, g, b


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _scatter(
    first: int,
    stride: int,
    corner: np.ndarray,
    part: np.ndarray,
    back: np.ndarray,
    lux: np.ndarray,
    out: np.ndarray,
) -> None:
    for p in range(first, len(corner), stride):
        if back[p, 0] == 0.0:
            continue
        for c in range(3):
            found = np.float32(0)
            for k in range(4):
                found += part[p, k] * lux[corner[p, k], c]
            out[p, c] += found * back[p, c]
