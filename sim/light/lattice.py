"""The places where light is computed: a coarse lattice on every sheet that shows.

Each sheet has lattice nodes of its own wherever it shows and one node beyond, so interpolation
between nodes never mixes light across a silhouette.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.light.canvas import Canvas
from sim.light.view import View

NODES_ACROSS = 160


@dataclass(frozen=True, eq=False)
class Lattice:
    """P nodes over all sheets."""

    step_px: int
    node: np.ndarray  # (sheets, rows, columns) int32, -1 where there is none
    place_m: np.ndarray  # (P, 3)
    flat: np.ndarray  # (P,) bool, on the ground
    sheet: np.ndarray  # (P,)
    cell_m: float

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns of nodes that span the picture."""
        return self.node.shape[1], self.node.shape[2]


def lattice_of(canvas: Canvas, view: View, across: int = NODES_ACROSS) -> Lattice:
    """Nodes `step_px` apart on every sheet, `across` of them over the width of the picture."""
    width, height = view.size_px
    step = max(2, round(width / across))
    rows, columns = -(-height // step), -(-width // step)
    cells = np.zeros((len(canvas.sheets), rows, columns), dtype=bool)
    cell_y = (np.arange(height) // step)[:, None]
    cell_x = (np.arange(width) // step)[None, :]
    for ids in canvas.sheet:
        shown = ids >= 0
        cells[
            ids[shown],
            np.broadcast_to(cell_y, ids.shape)[shown],
            np.broadcast_to(cell_x, ids.shape)[shown],
        ] = True
    needed = np.zeros((len(canvas.sheets), rows + 1, columns + 1), dtype=bool)
    for dy in (0, 1):
        for dx in (0, 1):
            needed[:, dy : dy + rows, dx : dx + columns] |= cells
    node = np.full(needed.shape, -1, dtype=np.int32)
    sheet, row, column = np.nonzero(needed)
    node[sheet, row, column] = np.arange(len(sheet))
    x, y = view.to_m(np.column_stack([column, row]) * float(step)).T
    depth = np.array([s.depth_m for s in canvas.sheets] or [0.0])[sheet]
    flat = np.array([s.ground for s in canvas.sheets] or [False])[sheet]
    ground_x, ground_z = view.ground_m(x, y)
    place = np.column_stack(
        [np.where(flat, ground_x, x), np.where(flat, 0, y), np.where(flat, ground_z, depth)]
    )
    return Lattice(step, node, place, flat, sheet, step * view.pixel_m)
