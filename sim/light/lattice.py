"""The places where light is computed: a coarse lattice on every sheet that shows.

Each sheet has lattice nodes of its own around every cell in which it shows, so interpolation
between nodes never mixes light across a silhouette. A node stands in the middle of what shows of
its sheet around it: in the open that is its own place, at an edge a place just inside.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.kernels import njit
from sim.light.canvas import Canvas, Sheet
from sim.light.view import WALL, View

NODES_ACROSS = 256


_NOTHING = (np.empty(0, np.int64), np.empty((0, 4)))


@dataclass(frozen=True, eq=False)
class Lattice:
    """P nodes over all sheets."""

    step_px: int
    node: np.ndarray  # (sheets, rows, columns) int32, -1 where there is none
    place_m: np.ndarray  # (P, 3)
    facing: np.ndarray  # (P,) as transport reads it
    sheet: np.ndarray  # (P,)
    cell_m: float
    stretch: np.ndarray  # (P,) how many times as deep as wide the node's cell is
    shows_m2: np.ndarray  # (P,) area of the drawing that the node stands for


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
    size = _tally(numbers, step, columns, *_NOTHING, False)
    used, tallied = np.empty(size, np.int64), np.empty((size, 4))
    _tally(numbers, step, columns, used, tallied, True)
    order = np.argsort(used)
    used, tallied = used[order], tallied[order]
    # a node stands at each corner of a cell, for the four cells around it
    sheet, rest = np.divmod(used, rows * columns)
    corner = sheet * ((rows + 1) * (columns + 1)) + rest // columns * (columns + 1) + rest % columns
    ends = np.concatenate([corner + dy * (columns + 1) + dx for dy in (0, 1) for dx in (0, 1)])
    node = np.full((sheets, rows + 1, columns + 1), -1, dtype=np.int32)
    flat = node.reshape(-1)
    flat[ends] = 0
    nodes = np.flatnonzero(flat >= 0)
    flat[nodes] = np.arange(len(nodes))
    sheet = nodes // ((rows + 1) * (columns + 1))
    at = flat[ends]
    count, mostly, sum_x, sum_y = (
        np.bincount(at, np.tile(each, 4), minlength=len(nodes)) for each in tallied.T
    )
    x, y = view.to_m(np.column_stack([sum_x / count, sum_y / count])).T
    place, facing = places_on(shown, view, sheet, x, y)
    shows_m2 = mostly / 4 * view.pixel_m**2  # every picture pixel belongs to four nodes
    return Lattice(
        step, node, place, facing, sheet, step * view.pixel_m, stretch_of(shown, sheet), shows_m2
    )


@njit(cache=True, nogil=True, error_model="numpy")
def _tally(
    numbers: np.ndarray, step: int, columns: int, used: np.ndarray, out: np.ndarray, fill: bool
) -> int:
    """For every cell and each sheet that shows in it: sheet · cells + cell, and how many picture
    pixels show it at all, how many mostly, the sums of x and of y. How many such there are."""
    _, height, width = numbers.shape
    rows = (height + step - 1) // step
    seen, sums, found = np.empty(2 * step * step, np.int64), np.empty((2 * step * step, 4)), 0
    for i in range(rows):
        for j in range(columns):
            many, last = 0, -1
            for y in range(i * step, min(i * step + step, height)):
                for x in range(j * step, min(j * step + step, width)):
                    for slot in range(2):
                        number = numbers[slot, y, x]
                        if number < 0:
                            continue
                        if last < 0 or seen[last] != number:
                            last = 0
                            while last < many and seen[last] != number:
                                last += 1
                            if last == many:
                                seen[many] = number
                                for k in range(4):
                                    sums[many, k] = 0.0
                                many += 1
                        sums[last, 0] += 1.0
                        sums[last, 1] += 1.0 - slot
                        sums[last, 2] += x + 0.5
                        sums[last, 3] += y + 0.5
            if fill:
                for n in range(many):
                    used[found + n] = seen[n] * (rows * columns) + i * columns + j
                    # one by one: to copy rows, numba compiles its error texts too, two seconds
                    for k in range(4):
                        out[found + n, k] = sums[n, k]
            found += many
    return found


def stretch_of(sheets: tuple[Sheet, ...], number: np.ndarray) -> np.ndarray:
    """(Q,) numbers of sheets -> (Q,) how many times as deep as wide a square of the drawing is."""
    each = [1.0 if s.soffit is None else s.soffit.stretch for s in sheets]
    return np.array(each or [1.0])[number]


def places_on(
    sheets: tuple[Sheet, ...], view: View, number: np.ndarray, x_m: np.ndarray, y_m: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """(Q,) numbers of sheets, drawn places (Q,) [m] -> (Q, 3) where that is in space, (Q,) facing.

    Of an underside only the sheets know where it lies; the rest follows from depth and facing.
    """
    depth = np.array([s.depth_m for s in sheets] or [0.0])[number]
    facing = np.array([s.facing for s in sheets] or [WALL])[number]
    place = view.place(x_m, y_m, depth, facing)
    for index, sheet in enumerate(sheets):
        if sheet.soffit is not None:
            some = number == index
            place[some, 1], place[some, 2] = sheet.soffit.place(place[some, 1])
    return place, facing
