"""The places where light is computed: a coarse lattice on every sheet that shows.

Each sheet has lattice nodes of its own around every cell in which it shows, so interpolation
between nodes never mixes light across a silhouette. A node stands in the middle of what shows of
its sheet around it: in the open that is its own place, at an edge a place just inside.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.light.canvas import Canvas, Sheet
from sim.light.view import WALL, View

NODES_ACROSS = 256


@dataclass(frozen=True, eq=False)
class Lattice:
    """P nodes over all sheets."""

    step_px: int
    node: np.ndarray  # (sheets, rows, columns) int32, -1 where there is none
    place_m: np.ndarray  # (P, 3)
    facing: np.ndarray  # (P,) as transport reads it
    sheet: np.ndarray  # (P,)
    cell_m: float


def lattice_of(canvas: Canvas, view: View, across: int = NODES_ACROSS) -> Lattice:
    """Nodes `step_px` apart on every sheet, `across` of them over the width of the picture."""
    return lattice_over(canvas.sheets, canvas.sheet, view, across)


def lattice_over(shown: tuple[Sheet, ...], numbers: np.ndarray, view: View, across: int) -> Lattice:
    """The same for a painted picture (2, H, W) of sheet numbers, -1 where there is none."""
    width, height = view.size_px
    step = max(2, round(width / across))
    rows, columns = -(-height // step), -(-width // step)
    sheets = len(shown)
    # per sheet and cell: how many picture pixels show it, and the sums of their places
    row_px, column_px = np.mgrid[0:height, 0:width].astype(np.float32) + np.float32(0.5)
    cell = (np.arange(height) // step)[:, None] * columns + (np.arange(width) // step)[None, :]
    there = numbers >= 0
    slot = numbers[there].astype(np.int64) * (rows * columns)
    slot += np.broadcast_to(cell, numbers.shape)[there]
    size = sheets * rows * columns
    counts = np.bincount(slot, minlength=size)
    used = np.flatnonzero(counts)  # few: most sheets are seen in a small part of the picture
    cells = [counts[used].astype(float)]
    for at in (column_px, row_px):
        weight = np.broadcast_to(at, numbers.shape)[there]
        cells.append(np.bincount(slot, weight, minlength=size)[used])
    # a node stands at each corner of a cell, for the four cells around it
    sheet, rest = np.divmod(used, rows * columns)
    corner = sheet * ((rows + 1) * (columns + 1)) + rest // columns * (columns + 1) + rest % columns
    ends = np.concatenate([corner + dy * (columns + 1) + dx for dy in (0, 1) for dx in (0, 1)])
    full = sheets * (rows + 1) * (columns + 1)
    around = [np.bincount(ends, np.tile(each, 4), minlength=full) for each in cells]
    nodes = np.flatnonzero(around[0])
    node = np.full((sheets, rows + 1, columns + 1), -1, dtype=np.int32)
    node.reshape(-1)[nodes] = np.arange(len(nodes))
    sheet = nodes // ((rows + 1) * (columns + 1))
    count, sum_x, sum_y = (each[nodes] for each in around)
    x, y = view.to_m(np.column_stack([sum_x / count, sum_y / count])).T
    depth = np.array([s.depth_m for s in shown] or [0.0])[sheet]
    facing = np.array([s.facing for s in shown] or [WALL])[sheet]
    place = view.place(x, y, depth, facing)
    return Lattice(step, node, place, facing, sheet, step * view.pixel_m)
