"""Roof coverings: shingle, slate, tile. Sizes of the trade, common practice."""

from __future__ import annotations

import numpy as np

from sim.light.materials.noise import clouds, hash01, line, noise, ramp
from sim.light.materials.patch import Look, Patch

_MIRRORED = 0.05  # of the sky, by the smoothest slates [common practice, no source]


CAP_M = 0.25  # a covering no taller than this and far wider is a row of ridge caps
POT_M = 0.6  # clay narrower than this is a pot
USUAL_PITCH = 0.8  # rise over run, where the outline does not show it


def pitch_of(outline_m: np.ndarray) -> float:
    """Rise over run of a roof seen from its eave: that of its hips, where it has some.

    All sides of a hipped roof have one pitch, so a hip goes in by as much as the slope runs back.
    """
    sides = np.roll(outline_m, -1, axis=0) - outline_m
    across, rise = np.abs(sides).T
    hips = (across > 0.15) & (rise > 0.8) & (rise < 2 * across)
    if not hips.any():
        return USUAL_PITCH
    return float(np.clip(np.median(rise[hips] / across[hips]), 0.3, 1.6))


def _leaning(p: Patch) -> tuple[np.ndarray, np.ndarray, float]:
    """Place along the eave (h, w) and up the slope (h, 1) [m], and how flat the slope is seen.

    A slope of pitch p shows sin(atan p) of its length; it leans away, so what lies higher is
    farther from the eye: pieces grow narrower and courses lower towards the ridge.
    """
    sine = p.pitch / np.hypot(1.0, p.pitch)
    back = np.maximum(p.y - p.box_m[1], 0) / p.pitch / p.eye_m[1]
    up = (p.y - p.box_m[1]) / sine * (1 + 0.5 * back)
    return p.eye_m[0] + (p.x - p.eye_m[0]) * (1 + back), up, float(sine)


def _courses(
    p: Patch, gauge_m: float, width_m: float, ragged: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, float]:
    """Course, piece, height within the course 0..1, side distance [m], a course's height [px]."""
    x, up, sine = _leaning(p)
    level = up / gauge_m
    course = np.floor(level)
    along = x / width_m + 0.5 * np.mod(course, 2) + ragged * hash01(course, 1, p.seed)
    side = np.abs(along - np.round(along)) * width_m
    return course, np.floor(along), level - course, side, gauge_m * sine / p.pixel_m


def _slope(p: Patch) -> np.ndarray:
    """A roof leans back: its upper part sees more of the sky."""
    return 0.84 + 0.3 * np.clip(p.up, 0, 1)


def _butt(rise: np.ndarray, course_px: float, deep: float) -> np.ndarray:
    """Shadow that the lower edge of a course throws on the course below, and the edge's own light.

    Courses finer than the picture fade out.
    """
    seen = min(1.0, max(0.0, (course_px - 1.2) / 2))
    thick = min(0.5, max(0.2, 1.2 / course_px))
    return 1 - seen * deep * ramp(rise, 1 - thick, 1.0) + seen * 0.22 * ramp(rise, thick, 0.0)


def _caps(p: Patch, length_m: float) -> Look | None:
    """Ridge caps, where that is what the surface is: half round, each lapping over the next."""
    wide, tall = p.size_m
    if tall > CAP_M or wide < 6 * tall:
        return None
    piece = np.floor(p.x / length_m)
    along = p.x / length_m - piece
    joint = line(np.minimum(along, 1 - along) * length_m, 0.014, p.pixel_m)
    tone = hash01(piece, 3, p.seed)
    shade = (0.85 + 0.3 * tone) * (1 - 0.4 * joint) * (0.55 + 0.75 * np.clip(p.up, 0, 1))
    return Look(shade[..., None])


def _pot(p: Patch) -> Look | None:
    """A pot of the same clay, where the surface is no roof: round, with a rim."""
    wide, tall = p.size_m
    if wide > POT_M:
        return None
    light = 1.15 - 1.9 * (p.across - 0.36) ** 2 + 0.1 * (noise(p.x * 20, p.y * 6, p.seed) - 0.5)
    under = np.abs((1 - p.up) * tall - 0.07)
    return Look((light * (1 - 0.45 * line(under, 0.016, p.pixel_m)))[..., None])


def shingle(p: Patch) -> Look:
    """Tabs of uneven width in courses of 140 mm."""
    caps = _caps(p, 0.2)
    if caps is not None:
        return caps
    course, piece, rise, side, course_px = _courses(p, 0.14, 0.24, 3.0)
    tone = hash01(piece, course, p.seed + 2)
    hue = hash01(piece, course, p.seed + 3) - 0.5
    grit = noise(p.x * 34, p.y * 34, p.seed + 4)
    shade = (0.74 + 0.46 * tone) * (0.85 + 0.3 * grit) * _butt(rise, course_px, 0.42)
    shade = shade * (1 - 0.32 * line(side, 0.008, p.pixel_m)) * _slope(p)
    shade = shade * (0.86 + 0.28 * clouds(p.x * 0.6, p.y * 0.9, p.seed + 5))
    colour = np.stack([1 + 0.08 * hue, 1 + 0 * hue, 1 - 0.10 * hue], axis=-1)
    return Look(shade[..., None] * colour)


def slate(p: Patch) -> Look:
    """Slates of 250 mm in half bond, courses of 200 mm; blue-grey with a few purple ones.

    Seen as flat as a roof is from the street, their faces mirror a little of the sky.
    """
    caps = _caps(p, 0.3)
    if caps is not None:
        return caps
    course, piece, rise, side, course_px = _courses(p, 0.20, 0.25, 0.0)
    tone = hash01(piece, course, p.seed + 2)
    purple = (hash01(piece, course, p.seed + 3) > 0.86).astype(np.float32)
    shade = (0.8 + 0.38 * tone) * _butt(rise, course_px, 0.38) * _slope(p)
    shade = shade * (0.9 + 0.2 * noise(p.x * 5, p.y * 14, p.seed + 4))
    shade = shade * (1 - 0.36 * line(side, 0.007, p.pixel_m))
    shade = shade * (0.88 + 0.24 * clouds(p.x * 0.5, p.y * 0.8, p.seed + 5))
    colour = np.stack([1 + 0.14 * purple, 1 - 0.06 * purple, 1 + 0.06 * purple], axis=-1)
    return Look(
        shade[..., None] * colour, sheen=(_MIRRORED * (0.3 + 0.7 * tone) * shade)[..., None]
    )


def tile(p: Patch) -> Look:
    """Barrel tiles: rolls of 210 mm in courses of 330 mm, each end an arc over the next."""
    width = 0.21
    caps = _caps(p, 0.38) or _pot(p)
    if caps is not None:
        return caps
    x, up, sine = _leaning(p)
    roll = x / width
    piece = np.floor(roll)
    # 0 in the pan, 1 on the crown; the light of the sky comes from the left of each roll
    swell = 0.5 + 0.5 * np.cos(2 * np.pi * (roll - piece - 0.5))
    lit = 0.5 + 0.5 * np.cos(2 * np.pi * (roll - piece - 0.4))
    level = up / 0.33 + 0.16 * (1 - swell)
    course = np.floor(level)
    tone = hash01(piece, course, p.seed + 2)
    hue = hash01(piece, course, p.seed + 3) - 0.5
    seen = min(1.0, max(0.0, (width / p.pixel_m - 2) / 4))  # rolls finer than the picture fade out
    shade = (0.8 + 0.36 * tone) * (1 + seen * (0.72 * lit - 0.42))
    shade = shade * _butt(level - course, 0.33 * sine / p.pixel_m, 0.45) * _slope(p)
    shade = shade * (0.86 + 0.28 * clouds(p.x * 0.7, p.y * 0.9, p.seed + 5))
    colour = np.stack([1 + 0.10 * hue, 1 - 0.08 * hue, 1 - 0.16 * hue], axis=-1)
    return Look(shade[..., None] * colour)
