"""Snapping: the point that was meant by a pointer near something that is drawn already.

Points (ends, corners, middles) come first. Otherwise the nearest line counts: level with or plumb
over a corner, square to or along the line drawn before, at a roof's slope, on another line, on an
edge of the photograph; where two such lines meet within reach, their crossing.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.app.edit.commands import PointM
from sim.app.edit.ruler import pitch_text
from sim.app.edit.sights import COMMON_RISES, SAME_DEG, Sights

Family = Literal["ends", "corners", "middles", "levels", "angles", "pitches", "edges", "photo"]
FAMILIES: tuple[Family, ...] = (
    "ends", "corners", "middles", "levels", "angles", "pitches", "edges", "photo",
)  # fmt: skip
#: A line from the point drawn last counts only when it is so many reaches long.
FAR_ENOUGH = 2.0


@dataclass(frozen=True)
class Snapped:
    """Where a pointer was taken to be, why, and the lines that show it."""

    to_m: PointM
    kind: Family | Literal[""] = ""  # "": nothing was near
    text: str = ""
    guides: tuple[tuple[PointM, PointM], ...] = ()


@dataclass(frozen=True)
class Guide:
    """A line [m] to snap to: a point of it, its direction, and what it is."""

    through_m: PointM
    way: PointM  # a unit vector
    kind: Family
    text: str
    rank: float = 0.0  # the lower of two as near counts


def snapped(
    sights: Sights,
    pointer_m: PointM,
    reach_m: float,
    *,
    families: Collection[Family] = FAMILIES,
    last_m: PointM | None = None,
    before_m: PointM | None = None,
    photo: Guide | None = None,
) -> Snapped:
    """Where the pointer is taken to be, at most `reach_m` away.

    `last_m` is the point drawn last and `before_m` the one before it; `photo` is the edge of the
    photograph found near the pointer, as a line.
    """
    point = _point(sights, pointer_m, reach_m, families)
    if point is not None:
        return point
    guides = _levels(sights, pointer_m, reach_m) if "levels" in families else []
    if last_m is not None and math.dist(last_m, pointer_m) > FAR_ENOUGH * reach_m:
        if "angles" in families:
            guides += _angles(last_m, before_m)
        if "pitches" in families:
            guides += _pitches(sights, last_m, pointer_m)
    if "edges" in families:
        guides += _edge(sights, pointer_m, reach_m)
    if photo is not None and "photo" in families:
        guides.append(photo)
    near = [(_off(guide, pointer_m), guide) for guide in guides]
    near = [(off, guide) for off, guide in near if off <= reach_m]
    if not near:
        return Snapped(pointer_m)
    near.sort(key=lambda each: each[0] + each[1].rank * reach_m)
    first = near[0][1]
    for _, other in near[1:]:
        meets = _crossing(first, other)
        if meets is not None and math.dist(meets, pointer_m) <= reach_m:
            text = f"{first.text}, {other.text}"
            lines = ((first.through_m, meets), (other.through_m, meets))
            return Snapped(meets, first.kind, text, lines)
    to = _foot(first, pointer_m)
    return Snapped(to, first.kind, first.text, ((first.through_m, to),))


def _point(
    sights: Sights, pointer_m: PointM, reach_m: float, families: Collection[Family]
) -> Snapped | None:
    """The nearest end, corner or middle within reach; of two in one place the first named."""
    best: tuple[float, Family, PointM, str] | None = None
    for family, places, names in (
        ("ends", sights.ends_m, sights.end_names),
        ("corners", sights.corners_m, sights.corner_names),
        ("middles", sights.middles_m, sights.side_names),
    ):
        if family not in families or not len(places):
            continue
        off = np.hypot(*(places - pointer_m).T)
        index = int(np.argmin(off))
        if off[index] <= reach_m and (best is None or off[index] < best[0] - 1e-9):
            text = f"middle of {names[index]}" if family == "middles" else names[index]
            at = (float(places[index, 0]), float(places[index, 1]))
            best = (float(off[index]), family, at, text)  # type: ignore[assignment]
    if best is None:
        return None
    _, kind, to_m, text = best
    return Snapped(to_m, kind, text)


def _levels(sights: Sights, pointer_m: PointM, reach_m: float) -> list[Guide]:
    """The lines level with and plumb over the corner or end that they miss least."""
    places = np.concatenate([sights.ends_m, sights.corners_m])
    if not len(places):
        return []
    names = (*sights.end_names, *sights.corner_names)
    away = places - pointer_m
    far = np.hypot(*away.T)
    found = []
    for axis, way, word in ((1, (1.0, 0.0), "level with"), (0, (0.0, 1.0), "plumb with")):
        index = int(np.argmin(np.abs(away[:, axis]) + 1e-6 * far))  # of equals the nearest
        if abs(away[index, axis]) <= reach_m:
            at = (float(places[index, 0]), float(places[index, 1]))
            found.append(Guide(at, way, "levels", f"{word} {names[index]}", 0.1))
    return found


def _angles(last_m: PointM, before_m: PointM | None) -> list[Guide]:
    """Level, plumb, straight on and square to what was drawn last."""
    found = [
        Guide(last_m, (1.0, 0.0), "angles", "level"),
        Guide(last_m, (0.0, 1.0), "angles", "plumb"),
    ]
    if before_m is None or before_m == last_m:
        return found
    size = math.dist(before_m, last_m)
    ux, uy = (last_m[0] - before_m[0]) / size, (last_m[1] - before_m[1]) / size
    if min(abs(ux), abs(uy)) < math.sin(math.radians(SAME_DEG)):
        return found
    found.append(Guide(last_m, (ux, uy), "angles", "straight on"))
    found.append(Guide(last_m, (-uy, ux), "angles", "right angle"))
    return found


def _pitches(sights: Sights, last_m: PointM, pointer_m: PointM) -> list[Guide]:
    """The line from the last point whose slope is nearest to the pointer's: drawn, and common."""
    angle = math.degrees(math.atan2(pointer_m[1] - last_m[1], pointer_m[0] - last_m[0])) % 180
    rising = np.degrees(np.arctan2(COMMON_RISES, 12.0))
    common = np.concatenate([rising, 180 - rising])
    found = []
    for slopes, rank, drawn in ((sights.slopes_deg, 0.0, " as drawn"), (common, 0.15, "")):
        if not len(slopes):
            continue
        turned = np.abs((slopes - angle + 90) % 180 - 90)
        slope = math.radians(float(slopes[int(np.argmin(turned))]))
        way = (math.cos(slope), math.sin(slope))
        found.append(Guide(last_m, way, "pitches", pitch_text(*way) + drawn, rank))
    return found


def _edge(sights: Sights, pointer_m: PointM, reach_m: float) -> list[Guide]:
    """The nearest side of another line, where the pointer is beside it."""
    if not len(sights.sides_m):
        return []
    start, end = sights.sides_m[:, 0], sights.sides_m[:, 1]
    way = end - start
    size = np.hypot(*way.T)
    part = np.einsum("sk,sk->s", pointer_m - start, way) / np.maximum(size, 1e-12) ** 2
    foot = start + way * np.clip(part, 0, 1)[:, None]
    off = np.hypot(*(foot - pointer_m).T)
    index = int(np.argmin(off))
    if off[index] > reach_m or size[index] == 0:
        return []
    at, unit = foot[index], way[index] / size[index]
    through, along = (float(at[0]), float(at[1])), (float(unit[0]), float(unit[1]))
    return [Guide(through, along, "edges", f"on {sights.side_names[index]}", 0.2)]


def _foot(guide: Guide, pointer_m: PointM) -> PointM:
    (x, y), (ux, uy) = guide.through_m, guide.way
    along = (pointer_m[0] - x) * ux + (pointer_m[1] - y) * uy
    return x + along * ux, y + along * uy


def _off(guide: Guide, pointer_m: PointM) -> float:
    return math.dist(_foot(guide, pointer_m), pointer_m)


def _crossing(one: Guide, other: Guide) -> PointM | None:
    """Where two lines meet; None where they are, to a few degrees, parallel."""
    turn = one.way[0] * other.way[1] - one.way[1] * other.way[0]
    if abs(turn) < 0.1:
        return None
    dx, dy = other.through_m[0] - one.through_m[0], other.through_m[1] - one.through_m[1]
    along = (dx * other.way[1] - dy * other.way[0]) / turn
    return one.through_m[0] + along * one.way[0], one.through_m[1] + along * one.way[1]
