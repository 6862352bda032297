"""How evenly a row of points lights the wall behind it.

Along a line on the wall a row of pixels a pitch s apart, each of intensity I0·cos^m, gives
E ∝ Σ (D² + (x - k·s)²)^-(m + 3)/2: facing the wall from h before it D = h; facing down along it,
at a depth y below the row, D = √(h² + y²) (photometric distance law). So the ratio of the least to
the greatest illuminance follows from s/D and m alone. For m = 1 and b = πD/s it is exactly
(tanh b - b/cosh² b) / (coth b + b/sinh² b).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.eaves import depth_at
from layouts.records import House, Run
from sim.light.sources import Sources, cosine_power, sources_of

EVEN = 0.8  # Emin/Emax that just looks even [common practice, no source]
SCALLOPS = 0.5  # below it scallops are plain to see [common practice, no source]
BELOW_M = 0.3  # what shows this far on is the wall that a run lights
ALONG = 65  # places over one pitch
DEPTHS_M = np.concatenate([[0.0], np.geomspace(0.005, 3.0, 120)])
_LAW_TERMS = 4000  # to either side of the middle of an endless row


@dataclass(frozen=True)
class WallLine:
    """A line on the wall beside a run."""

    depth_m: float  # away from the run, the way it faces
    uniformity: float  # Emin / Emax over one pitch in the middle of the run
    relative: float  # greatest illuminance there, the brightest line being 1


@dataclass(frozen=True)
class Evenness:
    """How a run lights the wall it is fixed to."""

    run: str
    pitch_m: float
    off_m: float  # before the wall
    beam_deg: float  # full angle within which the intensity is more than half
    brightest: WallLine
    even_from_m: float | None  # depth from which all lines are even; None: not within 3 m
    lines: tuple[WallLine, ...]  # at 0.1, 0.25, 0.5, 1 m


def row_uniformity(pitch_over_distance: float, power: float) -> float:
    """Emin/Emax of an endless row of cos^m points, by summing the law above."""
    k = np.arange(-_LAW_TERMS, _LAW_TERMS + 1) * pitch_over_distance
    most, least = (
        float(((1 + (x - k) ** 2) ** (-(power + 3) / 2)).sum())
        for x in (0.0, pitch_over_distance / 2)
    )
    return least / most


def evenness(house: House) -> tuple[Evenness, ...]:
    """Every run of two pixels or more that lights a wall; one that faces away has none."""
    sources = sources_of(house, (0.0, 1.6, house.drawing.viewer_m))
    found = []
    for number, run in enumerate(house.runs):
        if run.count < 2:
            continue
        made = _of_run(house, sources, number)
        if made is not None:
            found.append(made)
    return tuple(found)


def _of_run(house: House, sources: Sources, number: int) -> Evenness | None:
    run = house.runs[number]
    place, aim = sources.place_m[run.pixels], sources.aim[run.pixels]
    middle = _middle(run, house.pixels.along_m[run.pixels])
    step = place[middle + 1, :2] - place[middle, :2]
    onwards = aim[middle, :2]
    length = float(np.hypot(*onwards))
    away = onwards / length if length > 0.2 else np.zeros(2)
    behind = depth_at(house.drawing.surfaces, place[:, :2] + BELOW_M * away)
    behind = behind[behind < place[:, 2]]  # what stands before it is not its wall
    if not len(behind):
        return None
    wall_m = float(np.median(behind))
    off_m = float(place[middle, 2]) - wall_m
    if off_m <= 0:
        return None
    depths = DEPTHS_M if length > 0.2 else DEPTHS_M[:1]
    power = float(cosine_power(run.beam_half_deg))
    lit = np.array([_along(place, aim, middle, step, away * y, wall_m, power) for y in depths])
    most = lit.max(axis=1)
    if not most.max() > 0:
        return None
    ratio = lit.min(axis=1) / np.maximum(most, 1e-300)
    relative = most / most.max()
    best = int(np.argmax(most))
    uneven = np.flatnonzero((ratio < EVEN) & (most > 0))
    first = 0 if not len(uneven) else int(uneven[-1]) + 1
    shown = [0.0] if len(depths) == 1 else [0.1, 0.25, 0.5, 1.0]

    def line(index: int) -> WallLine:
        return WallLine(float(depths[index]), float(ratio[index]), float(relative[index]))

    return Evenness(
        run=run.name,
        pitch_m=run.pitch_m,
        off_m=off_m,
        beam_deg=2 * run.beam_half_deg,
        brightest=line(best),
        even_from_m=float(depths[first]) if first < len(depths) else None,
        lines=tuple(
            WallLine(
                y,
                float(np.interp(y, depths, ratio)),
                float(np.interp(y, depths, relative)),
            )
            for y in shown
        ),
    )


def _middle(run: Run, along_m: np.ndarray) -> int:
    """The pixel in the middle of the longest straight piece of a run."""
    legs = np.hypot(*np.diff(run.path_m, axis=0).T)
    longest = int(np.argmax(legs))
    at_m = legs[:longest].sum() + legs[longest] / 2
    return min(int(np.argmin(np.abs(along_m - at_m))), run.count - 2)


def _along(
    place: np.ndarray,
    aim: np.ndarray,
    middle: int,
    step: np.ndarray,
    aside: np.ndarray,
    wall_m: float,
    power: float,
) -> np.ndarray:
    """(ALONG,) illuminance per I0 over one pitch, `aside` from the row, by all of its pixels."""
    part = np.linspace(0, 1, ALONG)[:, None]
    on = np.column_stack([place[middle, :2] + aside + part * step, np.full(ALONG, wall_m)])
    ray = on[:, None, :] - place[None]
    square = np.einsum("pnk,pnk->pn", ray, ray)
    far = np.sqrt(square)
    out = np.clip(np.einsum("pnk,nk->pn", ray, aim) / far, 0, None)
    return np.asarray((out**power * -ray[..., 2] / far / square).sum(axis=1))
