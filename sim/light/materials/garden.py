"""What grows and lies around the house: hedge, lawn, path, snow."""

from __future__ import annotations

import numpy as np

from sim.light.materials.noise import clouds, noise, ramp
from sim.light.materials.patch import Look, Patch

TREE_M = 1.8  # foliage taller than this has boughs


def _boughs(p: Patch, above_m: float) -> np.ndarray:
    """How far boughs stand out, 0..1, at a height above each place."""
    bend = 0.35 * noise(p.x * 1.3, p.y * 1.3, p.seed + 8)
    return clouds(p.x * 1.5 + bend, (p.y + above_m) * 1.9 + bend, p.seed + 9, 2)


def hedge(p: Patch) -> Look:
    """Leaves in clumps: lit on top, dark below and between. A tree has boughs as well."""
    leaf = noise(p.x * 26, p.y * 26, p.seed)
    twig = noise(p.x * 11 + 3, p.y * 11, p.seed + 1)
    clump = clouds(p.x * 2.4, p.y * 2.4, p.seed + 2)
    shade = (0.45 + 0.75 * leaf) * (0.6 + 0.75 * twig) * (0.62 + 0.75 * clump)
    shade = shade * (0.9 + 0.72 * np.clip(p.up, 0, 1))
    if p.size_m[1] > TREE_M:  # each bough catches the sky on its upper side and shades the next
        rise = _boughs(p, 0.0) - _boughs(p, 0.22)
        shade = shade * np.clip(1 + 2.4 * rise, 0.3, 2.2) * (0.75 + 0.5 * np.clip(p.up, 0, 1))
    hue = clump - 0.5
    colour = np.stack([1 + 0.35 * hue, 1 + 0.1 * hue, 1 - 0.3 * hue], axis=-1)
    return Look(shade[..., None] * colour)


def lawn(p: Patch) -> Look:
    """Mown grass: broad mowing stripes away from the house, tufts, a little unevenness."""
    blades = noise(p.x * 22, p.y * 9, p.seed)
    tufts = clouds(p.x * 3.1, p.y * 2.0, p.seed + 1)
    patches = clouds(p.x * 0.45, p.y * 0.5, p.seed + 2)
    stripe = 0.5 + 0.5 * np.tanh(3 * np.sin(2 * np.pi * p.x / 1.1))
    shade = (0.68 + 0.5 * blades) * (0.74 + 0.5 * tufts) * (0.82 + 0.36 * patches)
    shade = shade * (0.94 + 0.12 * stripe)
    hue = patches - 0.5
    colour = np.stack([1 + 0.4 * hue, 1 + 0.1 * hue, 1 - 0.2 * hue], axis=-1)
    return Look(shade[..., None] * colour)


def path(p: Patch) -> Look:
    """Gravel or worn slabs: fine grain, lighter where it is walked on."""
    grain = noise(p.x * 34, p.y * 22, p.seed)
    stones = noise(p.x * 13, p.y * 8, p.seed + 1)
    worn = clouds(p.x * 0.8, p.y * 0.4, p.seed + 2)
    return Look(((0.74 + 0.36 * grain) * (0.8 + 0.3 * stones) * (0.84 + 0.32 * worn))[..., None])


def snow(p: Patch) -> Look:
    """Wind-smoothed snow with blue hollows and a few sparkling grains."""
    drift = clouds(p.x * 0.7, p.y * 0.9, p.seed, 4)
    sparkle = ramp(noise(p.x * 45, p.y * 45, p.seed + 1), 0.93, 1.0)
    shade = 0.88 + 0.22 * drift + 0.25 * sparkle
    hollow = ramp(drift, 0.5, 0.3)
    colour = np.stack([1 - 0.10 * hollow, 1 - 0.05 * hollow, 1 + 0.02 * hollow], axis=-1)
    return Look(shade[..., None] * colour)
