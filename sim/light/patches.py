"""What light is thrown between: walls, ground and soffits, cut into rectangles.

All that shows at about one depth within a rectangle is one patch; how much of it is really there is
its fill. Walls face the street and lie in planes of their depth, so they send each other nothing;
ground and soffits are level. Leaves count as walls. Roofs, which lean away from all of it, and the
sky take no part, nor does what lies outside the picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.eaves import ROOFS
from sim.light.canvas import Sheet
from sim.light.lattice import Lattice
from sim.light.view import GROUND, UNDER, WALL, View

WIDE_M = 0.8  # of a patch of wall or soffit
TALL_M = 0.4  # of a patch of wall: the light of an eave falls off quickly
LAWN_M = 1.6  # width of a patch of ground, and its depth beside the wall; as drawn all are alike
PLANE_M = 0.3  # depths that are this alike are one plane
MOST = 2500  # patches; a drawing of more has larger ones


@dataclass(frozen=True, eq=False)
class Patches:
    """Q rectangles; of P nodes of the lattice each belongs to one or to none."""

    facing: np.ndarray  # (Q,) WALL, GROUND, UNDER
    across_m: np.ndarray  # (Q, 2) from and to, along x
    other_m: np.ndarray  # (Q, 2) from and to, along y of a wall, along z of what is level
    off_m: np.ndarray  # (Q,) depth of a wall, height of what is level
    area_m2: np.ndarray  # (Q,) of what is there
    fill: np.ndarray  # (Q,) share of the rectangle that is there
    of_node: np.ndarray  # (P,) -1: takes no part
    node_m2: np.ndarray  # (P,) area in space that a node stands for
    corner: np.ndarray  # (P, 4) patches between which a node lies
    part: np.ndarray  # (P, 4) float32, their shares; 0 where a node takes no part

    def __len__(self) -> int:
        return len(self.area_m2)


def patches_of(lattice: Lattice, sheets: tuple[Sheet, ...], view: View) -> Patches:
    """The patches of all that shows, from the nodes of the lattice."""
    size = 1.0
    while True:
        found = _patches(lattice, sheets, view, size)
        if len(found) <= MOST:
            return found
        size *= 1.5


def _patches(lattice: Lattice, sheets: tuple[Sheet, ...], view: View, size: float) -> Patches:
    number, row, column = np.nonzero(lattice.node >= 0)  # in the order of the nodes
    place, cell_m = lattice.place_m, lattice.cell_m
    facing = np.where(np.isin(lattice.facing, (GROUND, UNDER)), lattice.facing, WALL)
    ground, under = facing == GROUND, facing == UNDER
    drawn_m = view.top_m - row * cell_m
    part_of = np.array([_plays(sheet) for sheet in sheets] or [False])[number]
    part_of &= ~ground | (drawn_m < cell_m / 2)  # lawn beyond the house sees none of its walls
    # one plane after another: walls of about one depth, all ground, each soffit by itself
    plane = np.where(facing == WALL, np.rint(place[:, 2] / PLANE_M), 0.0).astype(np.int64)
    plane = np.where(under, number, plane)
    foot_m = cell_m * view.eye_m[2] / view.eye_m[1]  # depth of a cell of ground beside the wall
    wide, tall, lawn, deep = (
        max(round(size * a / b), 1)
        for a, b in ((WIDE_M, cell_m), (TALL_M, cell_m), (LAWN_M, cell_m), (LAWN_M, foot_m))
    )
    many, broad = np.where(ground, deep, tall), np.where(ground, lawn, wide)
    keys = np.column_stack([facing, plane, np.where(under, 0, row // many), column // broad])
    kept, index = _unique(keys[part_of])
    of_node = np.full(len(number), -1)
    of_node[part_of] = index
    # where a cell ends, as drawn, then in space; of a soffit and at edges less of it is there
    sides = []
    for step in (-0.5, 0.5):
        x, y = view.left_m + (column + step) * cell_m, view.top_m - (row - step) * cell_m
        _, z = view.ground_m(x, np.minimum(y, 0.0))
        sides.append((x, np.where(ground, z, np.where(under, place[:, 2], y))))
    (left, one), (right, other) = sides
    reach = np.where(ground, np.clip(1 - place[:, 2] / view.eye_m[2], 0.0, None), 1.0)
    left, right = (view.eye_m[0] + (x - view.eye_m[0]) * reach for x in (left, right))
    stretch = np.where(ground, view.eye_m[2] / view.eye_m[1] * reach**2, lattice.stretch)
    node_m2 = lattice.shows_m2 * reach * stretch
    count = len(kept)

    def over(values: np.ndarray, how: np.ufunc, start: float) -> np.ndarray:
        found = np.full(count, start)
        how.at(found, index, values[part_of])
        return found

    across = np.column_stack([over(left, np.minimum, np.inf), over(right, np.maximum, -np.inf)])
    far = np.column_stack(
        [
            over(np.minimum(one, other), np.minimum, np.inf),
            over(np.maximum(one, other), np.maximum, -np.inf),
        ]
    )
    for n in np.flatnonzero(kept[:, 0] == UNDER).tolist():
        soffit = sheets[kept[n, 1]].soffit
        assert soffit is not None
        far[n] = soffit.back_m, soffit.front_m
    nodes = np.bincount(index, minlength=count)
    off = np.where(facing == WALL, place[:, 2], place[:, 1])[part_of]
    whole = np.maximum(np.ptp(across, axis=1) * np.ptp(far, axis=1), 1e-9)
    area = np.bincount(index, node_m2[part_of], minlength=count)
    fill = np.minimum(area / whole, 1.0)
    corner, part = _between(
        kept, keys[part_of, :2], (row + 0.5)[part_of] / many[part_of], under[part_of],
        (column + 0.5)[part_of] / broad[part_of],
    )  # fmt: skip
    corners = np.zeros((len(number), 4), dtype=np.int32)
    parts = np.zeros((len(number), 4), dtype=np.float32)
    corners[part_of], parts[part_of] = corner, part
    return Patches(
        facing=kept[:, 0],
        across_m=across,
        other_m=far,
        off_m=np.bincount(index, off, minlength=count) / np.maximum(nodes, 1),
        area_m2=whole * fill,
        fill=fill,
        of_node=of_node,
        node_m2=node_m2,
        corner=corners,
        part=parts,
    )


def _plays(sheet: Sheet) -> bool:
    leans = sheet.texture in ROOFS or (sheet.texture == "snow" and sheet.facing == WALL)
    return not leans


def _unique(keys: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rows of whole numbers -> the different ones in order, and which one each is."""
    if not len(keys):
        return keys, np.zeros(0, dtype=np.int64)
    least = keys.min(axis=0)
    spans = keys.max(axis=0) - least + 1
    flat = np.ravel_multi_index(tuple((keys - least).T), tuple(spans.tolist()))
    found, index = np.unique(flat, return_inverse=True)
    return np.column_stack(np.unravel_index(found, tuple(spans.tolist()))) + least, index


def _between(
    kept: np.ndarray, group: np.ndarray, v: np.ndarray, alone: np.ndarray, u: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """(P, 4) patches around each node and their shares, straight between their middles.

    group : (P, 2) facing and plane; v, u : (P,) rows and columns, in patches; alone : one row only
    """
    v = np.where(alone, 0.5, v) - 0.5
    row, column = np.floor(v).astype(np.int64), np.floor(u - 0.5).astype(np.int64)
    right, up = u - 0.5 - column, v - row
    known = {key: n for n, key in enumerate(map(tuple, kept.tolist()))}
    table, slot = _unique(np.column_stack([group, row, column]))
    corner = np.zeros((len(group), 4), dtype=np.int64)
    part = np.zeros((len(group), 4))
    for n, (dy, dx) in enumerate(((0, 0), (0, 1), (1, 0), (1, 1))):
        there = np.array(
            [known.get((f, p, r + dy, c + dx), -1) for f, p, r, c in table.tolist()], dtype=np.int64
        )
        found = there[slot] if len(there) else np.zeros(0, dtype=np.int64)
        share = (up if dy else 1 - up) * (right if dx else 1 - right)
        part[:, n] = np.where(found >= 0, share, 0.0)
        corner[:, n] = np.maximum(found, 0)
    whole = part.sum(axis=1, keepdims=True)
    return corner, (part / np.where(whole > 0, whole, 1.0)).astype(np.float32)
