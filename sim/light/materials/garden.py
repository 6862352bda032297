"""What grows and lies around the house: hedge, trees, flowers, lawn, path, snow."""

from __future__ import annotations

import numpy as np

from sim.light.materials.noise import clouds, noise, ramp
from sim.light.materials.patch import Look, Patch
from sim.light.materials.tufts import Habit, tufted

TREE_M = 1.8  # a hedge taller than this was never clipped: it is drawn as a tree
FAR_M = 40.0  # and one wider than this is the trees beyond the garden

CLIPPED = Habit(0.062, 0.34, 1.1, 0.0, 0.0, 0.0, 0.4, 0.15)
BROAD = Habit(0.085, 0.5, 1.15, 0.5, 0.22, 0.0, 0.72, 0.5)
AIRY = Habit(0.08, 0.42, 1.2, 0.5, 0.3, 0.07, 0.72, 0.45)
FAR = Habit(0.17, 1.0, 1.25, 0.6, 0.3, 0.0, 0.6, 0.1)
DROOPING = Habit(0.055, 0.22, 1.8, 0.9, 0.0, 0.0, 0.78, 0.5)
BEDDED = Habit(0.055, 0.26, 1.0, 0.2, 0.1, 0.06, 0.5, 0.5)


def habit_of(texture: str, size_m: tuple[float, float]) -> Habit:
    """How the plant grows that a texture draws in an outline of this size."""
    if texture == "needles":
        return DROOPING
    if texture == "flowers":
        return BEDDED
    if size_m[0] > FAR_M and size_m[1] > 1.0:
        return FAR
    if texture == "leaves":
        return AIRY
    return BROAD if size_m[1] > TREE_M else CLIPPED


def _grown(p: Patch, texture: str, top: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Coverage, shade (h, w) and hue -0.5..0.5; the plant is `top` brighter above than below."""
    shape = np.broadcast_shapes(np.shape(p.x), np.shape(p.y))
    solid = np.ones(shape, dtype=np.float32) if p.solid is None else p.solid
    left, high = float(np.min(p.x)) - p.pixel_m / 2, float(np.max(p.y)) + p.pixel_m / 2
    habit = habit_of(texture, p.size_m)
    cover, light, hue = tufted(habit, solid, left, high, p.pixel_m, p.seed)
    shade = light * (1 - top / 2 + top * np.clip(p.up, 0, 1)) + np.float32(0.02)
    return cover, shade.astype(np.float32), hue - np.float32(0.5)


def _green(p: Patch, texture: str, top: float, turns: tuple[float, float, float]) -> Look:
    """Leaves of uneven hue: by how much each tuft is redder, greener, bluer than the material."""
    cover, shade, hue = _grown(p, texture, top)
    colour = 1 + hue[..., None] * np.array(turns, dtype=np.float32)
    return Look(shade[..., None] * colour, cover=cover)


def hedge(p: Patch) -> Look:
    """Clipped leaves, lit on top; what is as tall as a tree is drawn as one."""
    return _green(p, "hedge", 0.7, (0.35, 0.1, -0.3))


def leaves(p: Patch) -> Look:
    """The crown of a broad tree or a shrub: heaps of leaves with sky between some of them."""
    return _green(p, "leaves", 0.5, (0.5, 0.15, -0.4))


def needles(p: Patch) -> Look:
    """A conifer: flat boughs that hang to their ends, dark below."""
    return _green(p, "needles", 0.4, (0.2, 0.05, -0.1))


def flowers(p: Patch) -> Look:
    """A bed in bloom: one tuft in three is petals of the material's colour, the others leaves."""
    cover, shade, hue = _grown(p, "flowers", 0.4)
    petals = ramp(np.mod(23 * hue, 1), 0.6, 0.64)[..., None]  # settled tuft by tuft
    green = np.array([0.08, 0.24, 0.09], dtype=np.float32)
    return Look(
        shade[..., None] * (petals * (1.1 + hue[..., None]) + (1 - petals) * green), cover=cover
    )


def bark(p: Patch) -> Look:
    """A trunk or a bough: furrows along it, round, darker to its right."""
    wide, tall = p.size_m
    a, b, across = (p.x, p.y, p.across) if tall > 0.6 * wide else (p.y, p.x, p.up)
    bend = 0.05 * noise(p.x * 2.3, p.y * 2.3, p.seed)
    furrow = noise((a + bend) * 34, b * 4.5, p.seed + 1)
    plate = noise((a + bend) * 17, b * 7, p.seed + 2)
    round_off = 1.12 - 0.5 * (across - 0.38) ** 2
    shade = (0.55 + 0.7 * furrow) * (0.75 + 0.45 * plate) * round_off
    return Look(np.broadcast_to(shade, plate.shape)[..., None])


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
