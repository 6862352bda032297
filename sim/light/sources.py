"""The pixels as sources of light: where they sit in space, how they shine, how they are seen.

The luminous intensity around the aim falls as cos^m; m follows from the angle at which it has
halved: m = ln 0.5 / ln cos(half angle), 1 at 60°. The flux Φ then makes the intensity on the aim
I0 = Φ · (m + 1) / 2π; a Lambertian source (m = 1) has Φ = π · I0.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

import numpy as np

from layouts.eaves import mounting
from layouts.records import House

NARROW = 3.0  # m of cos^m above which a beam, 75° and less, counts as narrow
GROUP = 4  # pixels, or groups of them, that a far place sees as one


@dataclass(frozen=True, eq=False)
class Sources:
    """Every pixel as a point source; N pixels."""

    place_m: np.ndarray  # (N, 3) x, y, z
    aim: np.ndarray  # (N, 3) unit vector
    soffit: np.ndarray  # (N, 2) unit vector in the drawing to the side that is shut; 0, 0: none
    power: np.ndarray  # (N,) m of cos^m
    axis_per_sr: np.ndarray  # (N,) intensity on the aim per lumen made in the pixel [cd/lm]
    seen_per_sr: np.ndarray  # (N,) intensity towards the viewer per lumen [cd/lm]
    mirrored_per_sr: np.ndarray  # (N,) the same towards the viewer's mirror image in the ground
    spot_m: np.ndarray  # (N,) lit patch as seen [m]
    kind: np.ndarray  # (N,) index into kinds
    run: np.ndarray  # (N,)
    kinds: tuple[Hashable, ...]  # the kinds themselves: two may share a name


def cosine_power(half_deg: np.ndarray | float) -> np.ndarray:
    """Half angle [deg] -> m of cos^m."""
    return np.log(0.5) / np.log(np.cos(np.radians(half_deg)))


def sources_of(house: House, eye_m: tuple[float, float, float]) -> Sources:
    """The pixels of a house, each its standoff before what it is fixed to, or under an eave."""
    pixels = house.pixels
    kinds = tuple(dict.fromkeys(run.kind for run in house.runs))
    mounted = mounting(house)
    place = np.column_stack([pixels.xy_m, mounted.depth_m])
    per_run = np.zeros((len(house.runs), 4))
    for index, run in enumerate(house.runs):
        spot = max(run.profile.spot_m, 1e-3)
        per_run[index] = run.beam_half_deg, run.profile.transmission, spot, kinds.index(run.kind)
    half, transmission, spot, kind = per_run[pixels.run].T
    power = cosine_power(half)
    axis = transmission * (power + 1) / (2 * np.pi)
    x, y, z = eye_m
    shown = ~mounted.hidden
    facing, mirrored = (
        np.clip(np.einsum("nk,nk->n", pixels.aim, _unit(eye - place)), 0, None) * shown
        for eye in (np.array([x, y, z]), np.array([x, -y, z]))
    )
    return Sources(
        place,
        np.asarray(pixels.aim, dtype=float),
        mounted.soffit,
        power,
        axis,
        axis * facing**power,
        axis * mirrored**power,
        spot,
        kind.astype(np.int64),
        np.asarray(pixels.run),
        kinds,
    )


@dataclass(frozen=True, eq=False)
class Tree:
    """Sources and groups of neighbours as one list; M = pixels first, then ever larger groups.

    A place far from a group sees it as one source at its middle that has the sum of its light;
    how far is far is decided in `transport`. Groups never cross from one run to another.
    """

    place_m: np.ndarray  # (M, 3)
    aim: np.ndarray  # (M, 3)
    soffit: np.ndarray  # (M, 2)
    power: np.ndarray  # (M,)
    axis_per_sr: np.ndarray  # (M,)
    kind: np.ndarray  # (M,)
    radius_m: np.ndarray  # (M,) of the farthest member, larger for narrow beams
    child: np.ndarray  # (M, 2) first and last + 1; (0, 0) for a pixel
    roots: np.ndarray
    levels: tuple[np.ndarray, ...]  # per level the start of each group among the level below

    def gather(self, light: np.ndarray) -> np.ndarray:
        """(N, C) light of the pixels -> (M, C) float32 light of pixels and groups."""
        parts = [np.ascontiguousarray(light, dtype=np.float32)]
        for starts in self.levels:
            parts.append(np.add.reduceat(parts[-1], starts, axis=0))
        return np.concatenate(parts)


def _unit(vectors: np.ndarray) -> np.ndarray:
    return vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-9)


def tree_of(sources: Sources) -> Tree:
    """Groups of `GROUP` neighbours, groups of groups, as far as runs are long."""
    place, aim, soffit = [sources.place_m], [sources.aim], [sources.soffit]
    fixed = [np.column_stack([sources.power, sources.axis_per_sr, sources.kind])]
    run, radius = sources.run, [np.zeros(len(sources.run))]
    child = [np.zeros((len(run), 2), dtype=np.int64)]
    levels, offset = [], 0
    while len(run):
        starts_run = np.flatnonzero(np.r_[True, run[1:] != run[:-1]])
        rank = np.arange(len(run)) - np.repeat(starts_run, np.diff(np.r_[starts_run, len(run)]))
        starts = np.flatnonzero(rank % GROUP == 0)
        if len(starts) == len(run):
            break
        ends = np.r_[starts[1:], len(run)]
        size = (ends - starts)[:, None]
        middle = np.add.reduceat(place[-1], starts, axis=0) / size
        owner = np.repeat(np.arange(len(starts)), ends - starts)
        reach = np.linalg.norm(place[-1] - middle[owner], axis=1) + radius[-1]
        place.append(middle)
        aim.append(_unit(np.add.reduceat(aim[-1], starts, axis=0)))
        soffit.append(_unit(np.add.reduceat(soffit[-1], starts, axis=0)))
        fixed.append(fixed[-1][starts])
        radius.append(np.maximum.reduceat(reach, starts))
        child.append(np.column_stack([starts, ends]) + offset)
        levels.append(starts)
        offset += len(run)
        run = run[starts]
    power, axis, kind = np.concatenate(fixed).T
    total = len(power)
    return Tree(
        np.concatenate(place),
        np.concatenate(aim),
        np.concatenate(soffit),
        power,
        axis,
        kind.astype(np.int64),
        # a narrow beam changes faster with direction: its groups are seen as one only farther away
        np.concatenate(radius) * np.where(power > NARROW, np.sqrt((power + 3) / 4), 1.0),
        np.concatenate(child),
        np.arange(total - len(run), total),
        tuple(levels),
    )
