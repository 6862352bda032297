"""Windows, doors, painted trim and metal."""

from __future__ import annotations

import numpy as np

from sim.light.materials.noise import clouds, hash01, line, noise, ramp
from sim.light.materials.patch import Look, Patch

_LAMP = np.array([1.0, 0.49, 0.105], dtype=np.float32)  # warm lamplight, linear
_LINEN = np.array([1.0, 0.55, 0.18], dtype=np.float32)
_SMALL_M = 0.3  # a lit glass smaller than this is a lantern, not a window


def _bars(p: Patch) -> np.ndarray:
    """Glazing bars: panes of about 450 × 600 mm."""
    wide, tall = p.size_m
    columns, rows = max(1, round(wide / 0.48)), max(1, round(tall / 0.62))
    if wide < _SMALL_M or tall < _SMALL_M:
        columns = 1
    u, v = p.across * columns, p.up * rows
    from_x = np.abs(u - np.round(u)) * wide / columns
    from_y = np.abs(v - np.round(v)) * tall / rows
    return np.maximum(line(from_x, 0.032, p.pixel_m), line(from_y, 0.032, p.pixel_m))


def glass(p: Patch) -> Look:
    """A dark window: it shows the sky, a little warped, and hardly anything of the room."""
    bars = _bars(p)[..., None]
    warp = 0.06 * noise(p.x * 2.2, p.y * 2.2, p.seed)
    sky = 0.20 + 0.55 * ramp(p.up + warp + 0.25 * p.across, 0.1, 1.2)
    return Look(0.5 + 3.0 * bars, sheen=sky[..., None] * (1 - bars))


def glass_lit(p: Patch) -> Look:
    """A window with somebody at home; below 0.3 m wide, a lantern."""
    wide, tall = p.size_m
    own = float(hash01(np.array([int(p.box_m[0] * 97)]), int(p.box_m[1] * 89), 11)[0])
    if wide < _SMALL_M and tall < 2 * _SMALL_M:
        glow = 1.6 - 1.1 * np.hypot(p.across - 0.5, p.up - 0.45)
        return Look(np.ones_like(glow)[..., None], glow=3.2 * glow[..., None] * _LAMP)
    bars = _bars(p)
    room = 0.20 + 0.30 * np.clip(p.up, 0, 1) + 0.10 * clouds(p.x * 2.5, p.y * 2.5, p.seed)
    lamp_x, lamp_y = p.box_m[0] + wide * (0.3 + 0.4 * own), p.box_m[1] + 0.66 * tall
    pool = np.exp(-(((p.x - lamp_x) / 0.42) ** 2 + ((p.y - lamp_y) / 0.5) ** 2))
    light = (room + 1.5 * pool)[..., None] * (_LAMP + 0.1 * pool[..., None] * _LINEN)
    # a sill of plants and things, dark against the room
    skyline = 0.07 + 0.09 * clouds(p.x * 6, 0 * p.y, p.seed + 3, 2)
    things = ramp(skyline * min(1.3, tall) - (p.y - p.box_m[1]), -0.01, 0.03)
    light = light * (1 - 0.7 * things)[..., None]
    if wide > 0.45:
        reach = (0.11 + 0.09 * own) * (1 + 0.5 * (1 - np.clip(p.up, 0, 1)) ** 2)
        side = np.minimum(p.across, 1 - p.across)
        cloth = ramp(reach - side, -0.02, 0.02)[..., None]
        folds = 0.5 + 0.3 * np.sin(2 * np.pi * p.x / 0.085 + 2 * noise(p.x * 9, p.y * 2, p.seed))
        hung = (folds * (0.2 + 0.3 * p.up + 0.7 * pool))[..., None] * _LINEN
        light = light * (1 - cloth) + cloth * hung
    light = light * (1 - bars[..., None]) * (0.7 + 0.5 * own)
    return Look(0.35 + 4.0 * bars[..., None], glow=light, sheen=(0.06 * (1 - bars))[..., None])


def door(p: Patch) -> Look:
    """A panelled door with a knob; a wide one has panels side by side."""
    wide, tall = p.size_m
    columns, rows = 2 * max(1, round(wide / 1.1)), 3
    u, v = p.across * columns, p.up * rows
    from_x = np.minimum(u - np.floor(u), np.ceil(u) - u) * wide / columns
    from_y = np.minimum(v - np.floor(v), np.ceil(v) - v) * tall / rows
    inset = np.minimum(from_x, from_y)
    rim = line(np.abs(inset - 0.065), 0.022, p.pixel_m)
    lit_side = np.where(v - np.floor(v) > 0.5, -1.0, 1.0)
    shade = 1 + 0.28 * rim * lit_side + 0.05 * (noise(p.x * 40, p.y * 3, p.seed) - 0.5)
    knob = np.hypot(p.x - (p.box_m[0] + 0.9 * wide), p.y - (p.box_m[1] + 0.47 * tall))
    iron = ramp(knob, 0.032 + p.pixel_m, 0.032)
    return Look((shade * (1 - iron) + 0.25 * iron)[..., None])


def trim(p: Patch) -> Look:
    """Painted boards: nearly even, a thin line of shade at the lower edge."""
    shade = 0.97 + 0.06 * clouds(p.x * 1.5, p.y * 6, p.seed, 2)
    lower = ramp(p.y - p.box_m[1], 1.5 * p.pixel_m, 0)
    return Look((shade * (1 - 0.2 * lower * (p.size_m[0] > p.size_m[1])))[..., None])


def metal(p: Patch) -> Look:
    """Folded sheet: a highlight along the upper third."""
    shine = np.exp(-(((p.up - 0.7) / 0.22) ** 2))
    shade = 0.8 + 0.7 * shine + 0.06 * noise(p.x * 3, p.y * 3, p.seed)
    return Look(shade[..., None])
