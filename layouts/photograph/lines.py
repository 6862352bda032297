"""Straight lines in a photograph: where level and upright ones meet, and how far a lens bent them.

Sources: vanishing points by least squares and single-view metrology, Criminisi, Reid and Zisserman
(2000); the plumb-line method, Brown (1971), Devernay and Faugeras (2001); all from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layouts.photograph.faults import UnfitPoints
from layouts.photograph.lens import lens_coordinates, to_ideal

#: A line of eaves must leave the chord by this much [px] per unit of k₁ to say anything of a lens.
LEAST_BEND_PX = 1.0
MOST_K = 0.5


@dataclass(frozen=True)
class LensFit:
    """A lens that makes drawn lines straight, and how straight they are."""

    lens: tuple[float, float]  # k₁, k₂
    before_px: float  # root mean square distance from straight lines as drawn
    after_px: float  # the same once straightened


def lens_from_lines(
    lines: Sequence[np.ndarray], size_px: tuple[int, int], *, terms: int = 1
) -> LensFit:
    """(K ≥ 3, 2) pixels along each of some straight things -> the lens that bent them.

    `terms` 1 fits k₁ alone, 2 k₁ and k₂. Least squares of the distances from the best straight line
    through each, in pixels of the straightened picture. Lines near the edge say most; one through
    the middle says nothing. Raises UnfitPoints where the lines cannot tell.
    """
    from scipy.optimize import least_squares

    drawn = [np.asarray(line, dtype=float) for line in lines]
    drawn = [line for line in drawn if len(line) >= 3]
    if sum(len(line) - 2 for line in drawn) < terms:
        raise UnfitPoints(
            "two points of a line are straight whatever the lens does",
            "draw at least three points along an eave or a gutter near the photograph's edge",
        )

    def off(k: np.ndarray) -> np.ndarray:
        return np.concatenate([bend_px(to_ideal(line, tuple(k), size_px)) for line in drawn])

    start, step = np.zeros(terms), 0.01
    moved = [(off(step * one) - off(start)) / step for one in np.eye(terms)]
    told = np.linalg.svd(np.stack(moved, axis=1), compute_uv=False)
    if told[-1] < LEAST_BEND_PX:
        raise UnfitPoints(
            "the lines say nothing of the lens, for they pass near the middle or are short",
            "draw them longer, or along something nearer to the photograph's edge",
        )
    ended = least_squares(off, start, bounds=(-MOST_K, MOST_K), xtol=1e-14, ftol=1e-14, gtol=1e-14)
    if np.abs(ended.x).max() > 0.98 * MOST_K:
        raise UnfitPoints(
            "no lens bends lines like that", "see whether the lines follow something straight"
        )
    found = (float(ended.x[0]), float(ended.x[1]) if terms > 1 else 0.0)
    return LensFit(found, _rms(off(start)), _rms(ended.fun))


def bend_px(line: np.ndarray) -> np.ndarray:
    """(K,) signed distances of points (K, 2) from the straight line nearest to them all."""
    centred = line - line.mean(axis=0)
    return centred @ np.linalg.svd(centred)[2][1]


def vanishing_point(segments: np.ndarray) -> np.ndarray:
    """(N ≥ 2, 2, 2) segments of lines parallel in the world -> (3,) where they meet, homogeneous.

    Coordinates as `segments` has them, which should be of the order of 1. The least sum of squared
    moments; parallel segments meet at infinity, the third component 0.
    """
    start, end = segments[:, 0], segments[:, 1]
    one = np.ones((len(segments), 1))
    lines = np.cross(np.hstack([start, one]), np.hstack([end, one]))
    lines /= np.linalg.norm(lines[:, :2], axis=1, keepdims=True)
    # a long segment tells its direction more firmly than a short one
    lines *= np.linalg.norm(end - start, axis=1, keepdims=True)
    return np.linalg.svd(lines)[2][-1]


def height_ratio(base: float, reference: float, top: float, vanishing: float) -> float:
    """Height of `top` over that of `reference`, both above `base`, along one upright line.

    All four are places [px] along that line in the photograph, `vanishing` being where uprights
    meet (± inf where they stay parallel). The cross-ratio, which no camera changes:
    (t − b)(v − r) / ((r − b)(v − t)).
    """
    if np.isinf(vanishing):
        return (top - base) / (reference - base)
    far = (vanishing - reference) / (vanishing - top)
    return (top - base) / (reference - base) * far


def centred_segments(
    segments: np.ndarray, lens: tuple[float, ...], size_px: tuple[int, int]
) -> np.ndarray:
    """(N, 2, 2) pixels as seen -> a perfect lens's, in half diagonals from the middle."""
    return lens_coordinates(to_ideal(segments, lens, size_px), size_px)


def _rms(each: np.ndarray) -> float:
    return float(np.sqrt(np.mean(each**2)))
