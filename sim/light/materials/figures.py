"""A house number on an enamelled plate, its figures drawn in strokes of our own."""

from __future__ import annotations

import itertools

import numpy as np

from sim.light.materials.noise import hash01, line
from sim.light.materials.patch import Look, Patch

_ROUND = "0,4 0,16 4,20 6,20 10,16 10,4 6,0 4,0 0,4"
#: The ten figures as lines from corner to corner, in tenths of their width; 20 tall, 10 wide.
_FIGURES = (
    _ROUND,
    "1,16 5,20 5,0",
    "0,16 3,20 7,20 10,16 10,13 0,0 10,0",
    "0,20 10,20 4,12 8,11 10,8 10,4 7,0 3,0 0,3",
    "8,0 8,20 0,6 10,6",
    "10,20 1,20 0,11 6,12 10,8 10,4 7,0 3,0 0,3",
    "9,20 3,14 0,7 0,4 3,0 7,0 10,4 10,8 7,11 3,11 0,7",
    "0,20 10,20 3,0",
    f"{_ROUND} 0,10 10,10",
    "1,0 7,6 10,13 10,16 7,20 3,20 0,16 0,13 3,9 7,9 10,13",
)


def number(p: Patch) -> Look:
    """Pale figures on a dark plate; which ones is settled by where the plate is."""
    wide, tall = p.size_m
    place = round(p.box_m[0] * 31)
    lot = hash01(np.array([place, place + 4096]), round(p.box_m[1] * 53), 23)
    digits = [1 + int(8.99 * lot[0]), int(9.99 * lot[1])][: 2 if wide > 0.85 * tall else 1]
    high = 0.56 * tall
    unit, step = high / 20, 0.875 * high
    left = p.box_m[0] + (wide - step * (len(digits) - 1) - high / 2) / 2
    x, y = np.broadcast_arrays(p.x, p.y)
    away = np.full(x.shape, 1.0)
    for index, digit in enumerate(digits):
        u, v = (x - left - index * step) / unit, (y - p.box_m[1] - 0.22 * tall) / unit
        corners = [tuple(map(float, corner.split(","))) for corner in _FIGURES[digit].split()]
        for (ax, ay), (bx, by) in itertools.pairwise(corners):
            dx, dy = bx - ax, by - ay
            t = np.clip(((u - ax) * dx + (v - ay) * dy) / (dx * dx + dy * dy), 0, 1)
            away = np.minimum(away, np.hypot(u - ax - t * dx, v - ay - t * dy) * unit)
    rim = np.minimum(np.minimum(p.across, 1 - p.across) * wide, np.minimum(p.up, 1 - p.up) * tall)
    frame = line(np.abs(rim - 0.012), 0.008, p.pixel_m)
    ink = np.maximum(line(away, 0.14 * high, p.pixel_m), frame)
    return Look((0.22 + 2.6 * ink)[..., None])
