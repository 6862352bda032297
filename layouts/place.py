"""Placing pixels along a path, and where they face."""

from __future__ import annotations

import math

import numpy as np

from layouts.records import Kind

#: The least part of an aim that must stand across the path for it to say a direction.
LEAST_ACROSS = 0.2
_WORDS = {
    "down": (0.0, -1.0, 0.0),
    "up": (0.0, 1.0, 0.0),
    "wall": (0.0, 0.0, -1.0),
    "out": (0.0, 0.0, 1.0),
}


def path_length_m(path_m: np.ndarray) -> float:
    """Length [m] of the polyline `path_m` (K, 2) [m]."""
    return float(np.hypot(*np.diff(path_m, axis=0).T).sum())


def count_and_pitch(length_m: float, kind: Kind, count: int | None) -> tuple[int, float]:
    """How many pixels a path of `length_m` takes, and their pitch [m] as mounted.

    Without `count` the path is filled at the kind's pitch; with it the pixels are spread evenly.
    """
    if count is not None:
        return count, length_m / count
    return math.floor(length_m / kind.pitch_m + 1e-6), kind.pitch_m


def along_path(path_m: np.ndarray, along_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Points (N, 2) [m] at the distances `along_m` (N,) [m], and the path's direction there."""
    steps = np.diff(path_m, axis=0)
    lengths = np.hypot(*steps.T)
    real = lengths > 0  # a point written twice makes a leg without a direction
    starts, steps, lengths = path_m[:-1][real], steps[real], lengths[real]
    ends = np.cumsum(lengths)
    leg = np.minimum(np.searchsorted(ends, along_m, side="right"), len(lengths) - 1)
    directions = steps / lengths[:, None]
    rest_m = along_m - (ends - lengths)[leg]
    return starts[leg] + directions[leg] * rest_m[:, None], directions[leg]


def aim_vector(aim: str | float) -> np.ndarray:
    """The unit vector (3,) that an aim says: a word, or degrees from straight down to the wall."""
    if isinstance(aim, str):
        return np.array(_WORDS[aim])
    angle = math.radians(aim)
    return np.array([0.0, -math.cos(angle), -math.sin(angle)])


def across(aim: str | float, directions: np.ndarray) -> tuple[np.ndarray, float]:
    """The aim made perpendicular to the path's `directions` (N, 2).

    Returns unit vectors (N, 3), and the least length that was left before they were made unit:
    below LEAST_ACROSS the aim points along the path and says nothing.
    """
    vector = aim_vector(aim)
    along = np.column_stack([directions, np.zeros(len(directions))])
    left = vector - along * (along @ vector)[:, None]
    size = np.linalg.norm(left, axis=1)
    return left / np.maximum(size, 1e-12)[:, None], float(size.min())


def aims_that_work(directions: np.ndarray) -> list[str]:
    """The words whose direction stands across the whole path."""
    return [word for word in _WORDS if across(word, directions)[1] >= LEAST_ACROSS]
