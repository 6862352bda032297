"""How far out a pixel sits, and what it hangs under.

A pixel is its standoff before what is drawn behind it. Under an eave that is not what the drawing
shows: there a strip hangs behind the front of a board or a roof, its standoff counts from the wall
below, and the soffit over it lets no light up. Which is meant follows from the aim: a pixel that
faces away from the lower edge of something that stands out, and sits within a few centimetres of
that edge, hangs under it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.polygon import area_m2, inside
from layouts.records import House, Surface

ROOFS = frozenset({"shingle", "slate", "tile"})  # textures that lean back and hang over the wall
#: Textures that nothing hangs under.
LOOSE = frozenset({"hedge", "leaves", "needles", "flowers", "bark", "lawn", "path", "snow"})
EDGE_M = 0.05  # a pixel this near to a lower edge is at it
OUT_M = 0.15  # what stands out less is no overhang
AWAY = 0.5  # least cosine between the aim and straight away from the edge
LEVEL = 0.3  # least upward part of the way into a surface over a lower edge: 72° of slope
MOUNT_M = 0.1  # a shorter standoff can count from a board: no profile is deeper
BEFORE_M = 0.15  # what a hanging run may stand before its board, as written: the wall is uneven
BEHIND_M = 1.0  # what shows this far behind the rest of a run is the garden beyond the house
FRONT_M = 1.0  # of edges further out than this before the wall none goes before the other
_TINY_M = 0.01


@dataclass(frozen=True, eq=False)
class Mounting:
    """Where the N pixels of a house are, front to back, and what shuts them off above."""

    depth_m: np.ndarray  # (N,) of the pixel itself, larger is nearer to the street
    soffit: np.ndarray  # (N, 2) unit vector to the side that gets no light; 0, 0 where none is shut
    over: np.ndarray  # (N,) number of the surface it hangs under; -1: under none
    above_edge_m: np.ndarray  # (N,) how far above that surface's lower edge it is drawn
    hidden: np.ndarray  # (N,) bool: something nearer to the street is drawn where it is


def shown_at(surfaces: tuple[Surface, ...], xy_m: np.ndarray) -> np.ndarray:
    """(N, 2) places -> (N,) number of the surface that shows there, -1 where none does."""
    number = np.full(len(xy_m), -1)
    for index, surface in enumerate(surfaces):
        near = _in_box(surface, xy_m, 0.0)
        number[near[inside(surface.outline_m, xy_m[near])]] = index
    return number


def _in_box(surface: Surface, xy_m: np.ndarray, margin_m: float) -> np.ndarray:
    """Indices of the places within the surface's upright box, grown by a margin."""
    x, y = xy_m.T
    (left, low), (right, high) = surface.outline_m.min(axis=0), surface.outline_m.max(axis=0)
    across = (x >= left - margin_m) & (x <= right + margin_m)
    return np.flatnonzero(across & (y >= low - margin_m) & (y <= high + margin_m))


def depth_at(surfaces: tuple[Surface, ...], xy_m: np.ndarray) -> np.ndarray:
    """(N,) depth [m] of what shows at each place; 0, the plane of the wall, where nothing does."""
    return np.array([*(s.depth_m for s in surfaces), 0.0])[shown_at(surfaces, xy_m)]


def mounting(house: House) -> Mounting:
    """Where every pixel sits, and what it hangs under."""
    surfaces, pixels = house.drawing.surfaces, house.pixels
    shown = shown_at(surfaces, pixels.xy_m)
    depths = np.array([*(s.depth_m for s in surfaces), 0.0])
    behind = depths[shown]
    soffit, over, above = _lower_edges(surfaces, pixels.xy_m, pixels.aim)
    # a little below the edge shows the wall
    below = depth_at(surfaces, pixels.xy_m - soffit * (np.maximum(above, 0) + EDGE_M)[:, None])
    for run in house.runs:
        behind[run.pixels] = _on_the_house(behind[run.pixels])
        for board in np.unique(over[run.pixels]):
            some = np.flatnonzero(over[run.pixels] == board) + run.first
            # frames, doors and posts do not bend a strip that hangs along a board
            below[some] = np.median(_on_the_house(below[some]))
    front = depths[over]
    roofs = np.array([*(s.material.texture in ROOFS for s in surfaces), False])[over]
    gap = front - below
    from_wall = below + pixels.standoff_m
    drawn_on = above > 0
    hangs = (over >= 0) & (roofs | (gap >= OUT_M))
    # far before the board and not drawn on it, it hangs free: the file says so plainly
    hangs &= drawn_on | (gap < OUT_M) | (from_wall <= front + BEFORE_M)
    by_board = drawn_on & (pixels.standoff_m <= np.minimum(MOUNT_M, gap / 2))
    hung = np.where(by_board, front - pixels.standoff_m, from_wall)
    hung = np.where(gap >= OUT_M, np.minimum(hung, front - _TINY_M * drawn_on), hung)
    depth_m = np.where(hangs, hung, behind + pixels.standoff_m)
    below_it = hangs & (shown == over)
    return Mounting(
        depth_m,
        np.where(hangs[:, None], soffit, 0.0),
        np.where(hangs, over, -1),
        np.where(hangs, above, 0.0),
        ~below_it & (shown >= 0) & (depths[shown] > depth_m + MOUNT_M),
    )


def _on_the_house(depth_m: np.ndarray) -> np.ndarray:
    """Beyond the end of a wall a run goes on as far out as beside it."""
    usual = np.median(depth_m) if len(depth_m) else 0.0
    return np.where(depth_m < usual - BEHIND_M, usual, depth_m)


def _lower_edges(
    surfaces: tuple[Surface, ...], xy_m: np.ndarray, aim: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """For (N, 2) places the way into the surface (N, 2) whose lower edge is nearest, its number
    (N,), -1 where none is near, and how far above the edge each place is (N,) [m].

    Near are all within `EDGE_M`. Among them nearness, squareness to the aim and what is in front
    are weighed together: a metre before the wall, and no more than that, counts as all of
    `EDGE_M`, a quarter less of the cosine to the aim as much against, and so does an edge that a
    place is drawn on, not below, as the end of a soffit or the roof behind a gable. The weights
    are a choice, by which every run of the demo houses hangs where it is meant to.
    """
    into, over = np.zeros((len(xy_m), 2)), np.full(len(xy_m), -1)
    above, least = np.zeros(len(xy_m)), np.full(len(xy_m), np.inf)
    for index, surface in enumerate(surfaces):
        if surface.material.texture in LOOSE:
            continue
        some = _in_box(surface, xy_m, EDGE_M)
        if not len(some):
            continue
        turn = 1 if area_m2(surface.outline_m) > 0 else -1
        ends = np.roll(surface.outline_m, -1, axis=0)
        for start, end in zip(surface.outline_m, ends, strict=True):
            length = float(np.hypot(*(end - start)))
            if length < 2 * _TINY_M:
                continue
            way = (end - start) / length
            inwards = turn * np.array([-way[1], way[0]])
            if inwards[1] < LEVEL:
                continue
            along = np.clip((xy_m[some] - start) @ way, _TINY_M, length - _TINY_M)
            foot = start + along[:, None] * way
            off = np.hypot(*(xy_m[some] - foot).T)
            away = -aim[some, :2] @ inwards
            drawn_on = (xy_m[some] - foot) @ inwards > 0
            before = min(max(surface.depth_m, 0.0), FRONT_M) / FRONT_M
            rank = off + EDGE_M * (4 * (1 - away) - before + drawn_on)
            best = (off < EDGE_M) & (away >= AWAY) & (rank < least[some])
            which = some[best]
            least[which], into[which], over[which] = rank[best], inwards, index
            above[which] = (xy_m[which] - start) @ inwards
    return into, over, above
