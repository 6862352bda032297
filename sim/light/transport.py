"""How the light of every pixel reaches every lit place: a matrix made once.

At a place P of an upright surface a source S with intensity I0·cos^m gives

    E = I0 · max(0, a·s/|s|)^m · (z/|s|) / |s|²,      s = P − S,

a the aim of the source, z its distance in front of the surface; on the ground z is its height
(photometric distance law; e.g. CIE S 017, "inverse square" and "cosine" laws). Leaves face every
way: the mean of |cos| over all directions is ½, so foliage takes half of what a leaf square to the
light would. A pixel that hangs under an eave sends nothing past the plane of the soffit over it; a
soffit that is drawn takes what reaches it from below, z being how far below it the source is.

The rows are lit places times kinds of pixels, the columns the members of a `Tree`: near sources one
by one, far ones as groups, so nothing is left out and the matrix stays small. A source very near a
place is averaged over the cell that the place stands for, so that the cell receives all its flux.
The finer samples of that average are spaced by the source's distance from the cell. What a wide
wall takes of a source does not depend on its distance, only how widely it is spread does; so a
source nearer than a small part of a cell counts as that far away, and no light is gained or lost.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.kernels import njit
from sim.light.relief import CLEAR_M, Relief, blocked
from sim.light.share import share
from sim.light.sources import Tree
from sim.light.sparse import product, shine
from sim.light.view import GROUND, UNDER, WALL

FAR = 8.0  # a group counts as one source from this many of its radii away
NEAR = 2.5  # a source closer than this many cells is averaged over the cell
SUB = 4  # samples a side of that average, at least
SPAN = 3  # of them to a length as long as the source is away from the cell
NEAREST = 1 / 12  # of a cell: no source is nearer to what it lights


@dataclass(frozen=True, eq=False)
class Transport:
    """Sparse rows; E [lx] per channel = Σ weight [1/m²] · light of the column [lm]."""

    start: np.ndarray  # (P·K + 1,)
    column: np.ndarray  # (nonzeros,) int32, into the tree
    weight: np.ndarray  # (nonzeros,) float32
    tree: Tree
    kinds: int

    def illuminance(self, light: np.ndarray) -> np.ndarray:
        """(N, C) light -> (P, K, C) the same quantity per square metre, channels kept apart."""
        parts = []
        for four in fours(self.tree.gather(light)):
            rows = np.zeros((len(self.start) - 1, 4), dtype=np.float32)
            share(product, self.start, self.column, self.weight, four, rows)
            parts.append(rows)
        found = parts[0] if len(parts) == 1 else np.concatenate(parts, axis=1)[:, : light.shape[1]]
        return found.reshape(-1, self.kinds, light.shape[1])

    def shine(self, light: np.ndarray, colour: np.ndarray, sheet: np.ndarray) -> np.ndarray:
        """(N, C) light, (K, sheets, C, 3) colours, (P,) sheet of each place -> (P, 3) float32."""
        out = np.zeros((len(sheet), 3), dtype=np.float32)
        given = fours(self.tree.gather(light))
        for four, of_four in zip(given, fours(colour, axis=2), strict=True):
            share(shine, self.start, self.column, self.weight, four, of_four, sheet, out)
        return out


def fours(values: np.ndarray, axis: int = 1) -> list[np.ndarray]:
    """Arrays over C channels as the kernels take them: four channels at a time, zeros to the end.

    Four are what they are. Kernels of a fixed number of sums are quickest, and light adds: the
    fifth channel of the few houses that have it goes through once more, alone.
    """
    count = values.shape[axis]
    if count == 4:
        return [values]
    room = [(0, 0)] * values.ndim
    room[axis] = (0, -count % 4)
    padded = np.pad(values, room)
    return [np.ascontiguousarray(part) for part in np.split(padded, padded.shape[axis] // 4, axis)]


def trace(
    tree: Tree,
    kinds: int,
    place_m: np.ndarray,
    facing: np.ndarray,
    cell_m: float,
    relief: Relief,
    stretch: np.ndarray | None = None,
) -> Transport:
    """(P, 3) lit places, (P,) how they face, their cells' side [m] -> the matrix.

    stretch : (P,) how many times as deep as wide the cells are; left out, they are square
    """
    arguments = (
        tree.place_m,
        tree.aim,
        tree.soffit,
        tree.power,
        tree.axis_per_sr,
        tree.kind,
        tree.radius_m,
        tree.child,
        tree.roots,
        np.ascontiguousarray(place_m, dtype=np.float64),
        np.ascontiguousarray(facing, dtype=np.int64),
        np.ones(len(place_m)) if stretch is None else np.asarray(stretch, dtype=np.float64),
        float(cell_m),
        *relief.map,
    )
    nothing = np.zeros(0, dtype=np.int64)
    empty = (np.zeros(0, dtype=np.int32), np.zeros(0, dtype=np.float32))
    counts = np.zeros(len(place_m) * kinds, dtype=np.int64)
    share(_walk, *arguments, kinds, nothing, counts, *empty, False)
    start = np.zeros(len(counts) + 1, dtype=np.int64)
    np.cumsum(counts, out=start[1:])
    column = np.zeros(start[-1], dtype=np.int32)
    weight = np.zeros(start[-1], dtype=np.float32)
    share(_walk, *arguments, kinds, start, counts, column, weight, True)
    kept = weight > 0  # what is in shadow or out of sight fell out only now
    return Transport(np.r_[0, np.cumsum(kept)][start], column[kept], weight[kept], tree, kinds)


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _received(
    sx: float,
    sy: float,
    sz: float,
    ax: float,
    ay: float,
    az: float,
    power: float,
    facing: int,
) -> float:
    """The law above for s = (sx, sy, sz) from source to place, I0 = 1."""
    square = sx * sx + sy * sy + sz * sz
    if square < 1e-12:
        return 0.0
    distance = np.sqrt(square)
    cos_out = (ax * sx + ay * sy + az * sz) / distance
    if facing == WALL:
        cos_in = -sz / distance
    elif facing == GROUND:
        cos_in = -sy / distance
    elif facing == UNDER:
        cos_in = sy / distance
    else:
        cos_in = 0.5
    if cos_out <= 0.0 or cos_in <= 0.0:
        return 0.0
    if power != 1.0:
        cos_out = cos_out**power
    return cos_out * cos_in / square


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _averaged(
    sx: float,
    sy: float,
    sz: float,
    ax: float,
    ay: float,
    az: float,
    power: float,
    facing: int,
    cell_m: float,
    deep: float,
) -> float:
    """The mean of `_received` over the cell around the place, `deep` times as deep as wide."""
    flat = facing in (GROUND, UNDER)
    sv, off = (sz, sy) if flat else (sy, sz)  # along the cell, and away from the source
    if off < 0.0:
        off = min(off, -NEAREST * cell_m)
    elif off > 0.0 and facing == UNDER:
        off = max(off, NEAREST * cell_m)
    deep_m = deep * cell_m
    u = max(abs(sx) - 0.5 * cell_m, 0.0)
    v = max(abs(sv) - 0.5 * deep_m, 0.0)
    away = max(np.sqrt(u * u + v * v + off * off), NEAREST * cell_m)
    side = max(SUB, int(np.ceil(SPAN * cell_m / away)))
    sides = side if deep == 1.0 else max(SUB, int(np.ceil(SPAN * deep_m / away)))
    total = 0.0
    for i in range(side):
        u = sx + ((i + 0.5) / side - 0.5) * cell_m
        for j in range(sides):
            v = sv + ((j + 0.5) / sides - 0.5) * deep_m
            if flat:
                total += _received(u, off, v, ax, ay, az, power, facing)
            else:
                total += _received(u, v, off, ax, ay, az, power, facing)
    return total / (side * sides)


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _walk(
    first_place: int,
    stride: int,
    source: np.ndarray,
    aim: np.ndarray,
    soffit: np.ndarray,
    power: np.ndarray,
    axis: np.ndarray,
    kind: np.ndarray,
    radius: np.ndarray,
    child: np.ndarray,
    roots: np.ndarray,
    place: np.ndarray,
    facing: np.ndarray,
    stretch: np.ndarray,
    cell_m: float,
    front: np.ndarray,
    back: np.ndarray,
    highest: np.ndarray,
    lowest: np.ndarray,
    left: float,
    top: float,
    relief_cell: float,
    kinds: int,
    start: np.ndarray,
    counts: np.ndarray,
    column: np.ndarray,
    weight: np.ndarray,
    fill: bool,
) -> None:
    """Go down the tree for every place; first to count, then to fill the rows."""
    stack, cursor = np.empty(512, dtype=np.int64), np.empty(kinds, dtype=np.int64)
    for p in range(first_place, len(place), stride):
        cursor[:] = 0
        for root in roots:
            depth = 1
            stack[0] = root
            while depth:
                depth -= 1
                m = stack[depth]
                sx = place[p, 0] - source[m, 0]
                sy = place[p, 1] - source[m, 1]
                sz = place[p, 2] - source[m, 2]
                distance = np.sqrt(sx * sx + sy * sy + sz * sz)
                first, last = child[m, 0], child[m, 1]
                if last > first and distance < FAR * radius[m]:
                    for c in range(first, last):
                        stack[depth] = c
                        depth += 1
                    continue
                if facing[p] != UNDER and soffit[m, 0] * sx + soffit[m, 1] * sy > 0.0:
                    continue  # a pixel under an eave sends nothing up
                near = distance < NEAR * cell_m * max(stretch[p], 1.0)
                ahead = aim[m, 0] * sx + aim[m, 1] * sy + aim[m, 2] * sz
                behind = sz if facing[p] == WALL else sy if facing[p] == GROUND else -1.0
                if not near and (ahead <= 0.0 or behind >= 0.0):
                    continue
                if not fill:  # what is in shadow or out of sight falls out of the row later
                    cursor[kind[m]] += 1
                    continue
                if near:
                    got = _averaged(
                        sx,
                        sy,
                        sz,
                        aim[m, 0],
                        aim[m, 1],
                        aim[m, 2],
                        power[m],
                        facing[p],
                        cell_m,
                        stretch[p],
                    )
                else:
                    got = _received(
                        sx, sy, sz, aim[m, 0], aim[m, 1], aim[m, 2], power[m], facing[p]
                    )
                k = kind[m]
                if got > 0.0 and blocked(
                    place[p, 0],
                    place[p, 1],
                    place[p, 2],
                    sx,
                    sy,
                    sz,
                    max(cell_m, CLEAR_M),
                    front,
                    back,
                    highest,
                    lowest,
                    left,
                    top,
                    relief_cell,
                ):
                    got = 0.0
                slot = start[p * kinds + k] + cursor[k]
                column[slot] = m
                weight[slot] = got * axis[m]
                cursor[k] += 1
        if not fill:
            for k in range(kinds):
                counts[p * kinds + k] = cursor[k]
