"""Windows, doors, painted trim and metal."""

from __future__ import annotations

import numpy as np

from sim.light.materials.noise import clouds, hash01, line, noise, ramp
from sim.light.materials.patch import Look, Patch

SMALL_M = 0.3  # a lit glass smaller than this is a lantern, not a window


def bars_of(p: Patch) -> np.ndarray:
    """Glazing bars: panes of about 450 × 600 mm."""
    wide, tall = p.size_m
    columns, rows = max(1, round(wide / 0.48)), max(1, round(tall / 0.62))
    if wide < SMALL_M or tall < SMALL_M:
        columns = 1
    u, v = p.across * columns, p.up * rows
    from_x = np.abs(u - np.round(u)) * wide / columns
    from_y = np.abs(v - np.round(v)) * tall / rows
    return np.maximum(line(from_x, 0.032, p.pixel_m), line(from_y, 0.032, p.pixel_m))


def glass(p: Patch) -> Look:
    """A dark window: it shows the sky, a little warped, and hardly anything of the room."""
    bars = bars_of(p)[..., None]
    warp = 0.06 * noise(p.x * 2.2, p.y * 2.2, p.seed)
    sky = 0.20 + 0.55 * ramp(p.up + warp + 0.25 * p.across, 0.1, 1.2)
    return Look(0.5 + 3.0 * bars, sheen=sky[..., None] * (1 - bars))


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
    """Painted boards. A long one has thickness: a bead on top, a drip edge, joints."""
    wide, tall = p.size_m
    shade = 0.97 + 0.06 * clouds(p.x * 1.5, p.y * 6, p.seed, 2)
    if wide > 1.5 * tall:
        lower = ramp(p.y - p.box_m[1], max(0.014, 1.3 * p.pixel_m), 0)
        upper = ramp(p.box_m[3] - p.y, max(0.018, 1.3 * p.pixel_m), 0)
        shade = shade * (1 - 0.34 * lower + 0.05 * upper)
    if wide > 10 * tall:
        joint = (p.x + 3.1 * float(hash01(np.array([p.seed]), 3, 7)[0])) / 3.6
        gap = np.abs(joint - np.round(joint)) * 3.6
        shade = shade * (1 - 0.3 * line(gap, 0.004, p.pixel_m))
        groove = np.abs(p.y - p.box_m[1] - 0.68 * tall)
        shade = shade * (1 - 0.2 * line(groove, 0.012, p.pixel_m) * (tall > 0.1))
    elif tall > 3 * wide:  # a post or a corner board: one side turns away
        shade = shade * (1.03 - 0.16 * ramp(p.across, 0.72, 0.95))
    return Look(np.broadcast_to(shade, np.broadcast_shapes(p.x.shape, p.y.shape))[..., None])


def metal(p: Patch) -> Look:
    """Folded sheet. A long one is a gutter, round with brackets; a tall one a pipe with collars."""
    wide, tall = p.size_m
    shade = 0.8 + 0.06 * noise(p.x * 3, p.y * 3, p.seed)
    if tall > 4 * wide:
        shade = shade * (0.45 + 1.25 * np.exp(-(((p.across - 0.36) / 0.24) ** 2)))
        collar = (p.y - p.box_m[1] - 0.45) / 1.7
        from_collar = np.abs(collar - np.round(collar)) * 1.7
        return Look((shade * (1 + 0.5 * line(from_collar, 0.05, p.pixel_m)))[..., None])
    shine = np.exp(-(((p.up - 0.62) / 0.2) ** 2)) + 0.35 * ramp(p.up, 0.88, 0.97)
    shade = shade + 0.8 * shine - 0.3 * ramp(p.up, 0.25, 0.0)
    if wide > 10 * tall:
        strap = p.x / 0.8 + 0.3
        from_strap = np.abs(strap - np.round(strap)) * 0.8
        shade = shade * (1 - 0.35 * line(from_strap, 0.022, p.pixel_m))
    return Look(shade[..., None])
