"""Roof coverings: shingle, slate, tile. Sizes of the trade, common practice."""

from __future__ import annotations

import numpy as np

from sim.light.materials.noise import clouds, hash01, line, ramp
from sim.light.materials.patch import Look, Patch

_MIRRORED = 0.05  # of the sky, by the smoothest slates [common practice, no source]


def _courses(
    p: Patch, gauge_m: float, width_m: float, ragged: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Course number, piece number, height within the course 0..1, side distance [m]."""
    level = p.y / gauge_m
    course = np.floor(level)
    along = p.x / width_m + 0.5 * np.mod(course, 2) + ragged * hash01(course, 1, p.seed)
    side = np.abs(along - np.round(along)) * width_m
    return course, np.floor(along), level - course, side


def _slope(p: Patch) -> np.ndarray:
    """A roof leans back: its upper part sees more of the sky."""
    return 0.84 + 0.3 * np.clip(p.up, 0, 1)


def _butt(rise: np.ndarray, gauge_m: float, pixel_m: float, deep: float) -> np.ndarray:
    """Shadow that the lower edge of a course throws on the course below."""
    return 1 - deep * ramp(rise, 1 - max(0.2, 1.2 * pixel_m / gauge_m), 1.0)


def shingle(p: Patch) -> Look:
    """Tabs of uneven width in courses of 140 mm."""
    gauge = 0.14
    course, piece, rise, side = _courses(p, gauge, 0.24, 3.0)
    tone = hash01(piece, course, p.seed + 2)
    hue = hash01(piece, course, p.seed + 3) - 0.5
    grit = clouds(p.x * 30, p.y * 30, p.seed + 4, 2)
    shade = (0.72 + 0.5 * tone) * (0.85 + 0.3 * grit) * _butt(rise, gauge, p.pixel_m, 0.42)
    shade = shade * (1 - 0.32 * line(side, 0.008, p.pixel_m)) * _slope(p)
    shade = shade * (0.86 + 0.28 * clouds(p.x * 0.6, p.y * 0.9, p.seed + 5))
    colour = np.stack([1 + 0.08 * hue, 1 + 0 * hue, 1 - 0.10 * hue], axis=-1)
    return Look(shade[..., None] * colour)


def slate(p: Patch) -> Look:
    """Slates of 250 mm in half bond, courses of 200 mm; blue-grey with a few purple ones.

    Seen as flat as a roof is from the street, their faces mirror a little of the sky.
    """
    gauge = 0.20
    course, piece, rise, side = _courses(p, gauge, 0.25, 0.0)
    tone = hash01(piece, course, p.seed + 2)
    purple = (hash01(piece, course, p.seed + 3) > 0.86).astype(np.float32)
    shade = (0.78 + 0.42 * tone) * _butt(rise, gauge, p.pixel_m, 0.38) * _slope(p)
    shade = shade * (0.9 + 0.2 * clouds(p.x * 5, p.y * 14, p.seed + 4, 2))
    shade = shade * (1 - 0.36 * line(side, 0.007, p.pixel_m))
    shade = shade * (0.88 + 0.24 * clouds(p.x * 0.5, p.y * 0.8, p.seed + 5))
    colour = np.stack([1 + 0.14 * purple, 1 - 0.06 * purple, 1 + 0.06 * purple], axis=-1)
    return Look(
        shade[..., None] * colour, sheen=(_MIRRORED * (0.3 + 0.7 * tone) * shade)[..., None]
    )


def tile(p: Patch) -> Look:
    """Barrel tiles: rolls of 210 mm in courses of 330 mm."""
    gauge, width = 0.33, 0.21
    level = p.y / gauge
    course = np.floor(level)
    rise = level - course
    roll = p.x / width
    piece = np.floor(roll)
    swell = 0.5 + 0.5 * np.cos(2 * np.pi * (roll - piece - 0.42))
    tone = hash01(piece, course, p.seed + 2)
    hue = hash01(piece, course, p.seed + 3) - 0.5
    seen = 1.0 if p.pixel_m < 0.4 * width else 0.3  # rolls finer than the picture fade out
    shade = (0.78 + 0.4 * tone) * (1 + seen * (0.62 * swell - 0.36))
    arc = rise + 0.10 * (1 - swell)
    shade = shade * _butt(np.minimum(arc, 1), gauge, p.pixel_m, 0.4) * _slope(p)
    shade = shade * (0.86 + 0.28 * clouds(p.x * 0.7, p.y * 0.9, p.seed + 5))
    colour = np.stack([1 + 0.10 * hue, 1 - 0.08 * hue, 1 - 0.16 * hue], axis=-1)
    return Look(shade[..., None] * colour)
