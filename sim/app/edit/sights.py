"""What can be snapped to in a house: ends, corners, middles and sides, as arrays."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layouts.records import House
from sim.app.edit.commands import Item

#: Slopes that roofs have: rise over a run of twelve.
COMMON_RISES = tuple(range(1, 13))
#: Slopes nearer than this to level, plumb or each other are the same [degrees].
SAME_DEG = 0.25


@dataclass(frozen=True, eq=False)
class Sights:
    """Places [m] to snap to. Arrays of E ends, C corners, M middles and S sides."""

    ends_m: np.ndarray  # (E, 2) of runs and routes
    end_names: tuple[str, ...]
    corners_m: np.ndarray  # (C, 2) of surfaces, and bends of runs
    corner_names: tuple[str, ...]
    middles_m: np.ndarray  # (M, 2) of the sides
    sides_m: np.ndarray  # (S, 2, 2)
    side_names: tuple[str, ...]
    slopes_deg: np.ndarray  # (K,) of the drawn slanting sides, 0..180


def sights_of(house: House, but: Sequence[Item] = ()) -> Sights:
    """What the house offers to snap to, without the things that are being moved."""
    left_out = {(item.sort, item.name) for item in but}
    lines = [("run", run.name, run.path_m) for run in house.runs]
    lines += [("route", route.name, route.path_m) for route in house.routes]
    ends: list[np.ndarray] = []
    end_names: list[str] = []
    corners: list[np.ndarray] = []
    corner_names: list[str] = []
    sides: list[np.ndarray] = []
    side_names: list[str] = []
    for sort, name, path in lines:
        if (sort, name) in left_out:
            continue
        ends.append(path[[0, -1]])
        end_names += [f"start of {name}", f"end of {name}"]
        corners.append(path[1:-1])
        corner_names += [f"bend of {name}"] * (len(path) - 2)
        sides.append(np.stack([path[:-1], path[1:]], axis=1))
        side_names += [f"{sort} {name}"] * (len(path) - 1)
    for surface in house.drawing.surfaces:
        if ("surface", surface.name) in left_out:
            continue
        outline = surface.outline_m
        corners.append(outline)
        corner_names += [f"corner of {surface.name}"] * len(outline)
        sides.append(np.stack([outline, np.roll(outline, -1, axis=0)], axis=1))
        side_names += [f"edge of {surface.name}"] * len(outline)
    all_sides = _joined(sides, (0, 2, 2))
    return Sights(
        ends_m=_joined(ends, (0, 2)),
        end_names=tuple(end_names),
        corners_m=_joined(corners, (0, 2)),
        corner_names=tuple(corner_names),
        middles_m=all_sides.mean(axis=1),
        sides_m=all_sides,
        side_names=tuple(side_names),
        slopes_deg=_slopes(all_sides),
    )


def _joined(parts: list[np.ndarray], empty: tuple[int, ...]) -> np.ndarray:
    return np.concatenate(parts).astype(float) if parts else np.zeros(empty)


def _slopes(sides_m: np.ndarray) -> np.ndarray:
    """The slants that at least two sides have, as degrees 0..180; a roof's eaves and rakes do."""
    dx, dy = (sides_m[:, 1] - sides_m[:, 0]).T
    angles = np.sort(np.degrees(np.arctan2(dy, dx)) % 180)
    angles = angles[np.abs((angles + 45) % 90 - 45) > SAME_DEG]
    found: list[float] = []
    groups = itertools.groupby(enumerate(angles), lambda each: round(each[1] / SAME_DEG))
    for _, group in groups:
        same = [angle for _, angle in group]
        if len(same) >= 2:
            found.append(float(np.mean(same)))
    return np.array(found)
