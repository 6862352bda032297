"""Upright walls: lap siding, brick, stone, render, timber. Sizes of the trade, common practice."""

from __future__ import annotations

import numpy as np

from sim.light.materials.noise import clouds, hash01, line, noise, ramp
from sim.light.materials.patch import Look, Patch

_MORTAR = np.array([1.15, 1.9, 2.2], dtype=np.float32)  # grey beside the colour of brick


def siding(p: Patch) -> Look:
    """Horizontal boards, each lapping over the one below: exposure 150 mm."""
    exposure = 0.15
    board = np.floor(p.y / exposure)
    rise = p.y / exposure - board
    row = hash01(board, 3, p.seed)
    joint = (p.x + row * 3.7) / 3.7
    plank = hash01(board, np.floor(joint), p.seed)
    from_joint = np.abs(joint - np.round(joint)) * 3.7
    grain = noise(p.x * 2.2, p.y * 60, p.seed + 5)
    shade = 0.97 + 0.07 * (plank - 0.5) + 0.05 * (grain - 0.5) + 0.06 * (1 - rise)
    shadow = ramp(rise, 1 - max(0.16, 1.1 * p.pixel_m / exposure), 1.0)
    shade = shade * (1 - 0.34 * shadow) * (1 - 0.22 * line(from_joint, 0.004, p.pixel_m))
    shade = shade * (0.95 + 0.1 * clouds(p.x * 0.7, p.y * 0.7, p.seed + 9))
    return Look(shade[..., None])


def brick(p: Patch) -> Look:
    """Stretcher bond of 215 × 65 mm bricks with 10 mm joints."""
    course_m, length_m, joint_m = 0.075, 0.225, 0.010
    course = np.floor(p.y / course_m)
    along = p.x / length_m + 0.5 * np.mod(course, 2)
    index = np.floor(along)
    tone = hash01(index, course, p.seed)
    hue = hash01(index, course, p.seed + 1) - 0.5
    bed = line(np.abs(p.y - np.round(p.y / course_m) * course_m), joint_m, p.pixel_m)
    head = line(np.abs(along - np.round(along)) * length_m, joint_m, p.pixel_m)
    mortar = np.maximum(bed, head)[..., None]
    burnt = 1 - 0.32 * (tone > 0.9)
    body = (0.88 + 0.22 * tone) * burnt * (0.92 + 0.16 * clouds(p.x * 6, p.y * 18, p.seed + 2))
    colour = np.stack([1 + 0.10 * hue, 1 - 0.10 * hue, 1 - 0.22 * hue], axis=-1)
    wear = 0.88 + 0.24 * clouds(p.x * 0.5, p.y * 0.35, p.seed + 3)[..., None]
    return Look(wear * (body[..., None] * colour * (1 - mortar) + 0.92 * _MORTAR * mortar))


def stone(p: Patch) -> Look:
    """Coursed rubble: courses of 140 to 260 mm, stones of uneven length."""
    course_m = 0.21
    bend = 0.02 * (noise(p.x * 1.3, p.y * 0.8, p.seed) - 0.5)
    level = (p.y + bend) / course_m
    course = np.floor(level)
    length_m = 0.28 + 0.26 * hash01(course, 1, p.seed)
    along = p.x / length_m + 5 * hash01(course, 2, p.seed)
    index = np.floor(along)
    cut = 0.35 * (hash01(index, course, p.seed + 4) - 0.5)
    index = index + (along - index > 0.5 + cut)  # uneven lengths
    edge = np.abs(along - np.floor(along) - 0.5 - cut) * length_m
    bed = np.abs(level - np.round(level)) * course_m
    joint = np.maximum(line(bed, 0.014, p.pixel_m), line(edge, 0.014, p.pixel_m))
    tone = hash01(index, course, p.seed + 5)
    hue = hash01(index, course, p.seed + 6) - 0.5
    body = (0.78 + 0.42 * tone) * (0.86 + 0.28 * clouds(p.x * 9, p.y * 9, p.seed + 7))
    round_edge = 0.86 + 0.14 * ramp(np.minimum(bed, edge), 0.0, 0.045)
    colour = np.stack([1 + 0.10 * hue, 1 + 0.02 * hue, 1 - 0.14 * hue], axis=-1)
    shade = (body * round_edge * (1 - 0.38 * joint))[..., None] * colour
    return Look(shade)


def render(p: Patch) -> Look:
    """Fine-grained render with the faint clouding and streaks that rain leaves."""
    grain = noise(p.x * 70, p.y * 70, p.seed)
    patchy = clouds(p.x * 0.9, p.y * 0.7, p.seed + 1, 4)
    streak = noise(p.x * 5.5, p.y * 0.5, p.seed + 2)
    shade = 0.965 + 0.05 * (grain - 0.5) + 0.13 * (patchy - 0.5)
    shade = shade - 0.07 * ramp(streak, 0.6, 1.0) * ramp(p.up, 0.2, 1.0)
    return Look((shade * (0.93 + 0.07 * ramp(p.up, 0.0, 0.12)))[..., None])


def timber(p: Patch) -> Look:
    """Vertical boards of 120 mm, laid along the longer side of the surface."""
    wide, tall = p.size_m
    a, b = (p.x, p.y) if tall > 0.5 * wide else (p.y, p.x)
    board_m = 0.12
    board = np.floor(a / board_m)
    tone = hash01(board, 7, p.seed)
    hue = hash01(board, 8, p.seed) - 0.5
    edge = np.abs(a / board_m - np.round(a / board_m)) * board_m
    wave = 0.02 * noise(a * 3, b * 1.1, p.seed + 1)
    grain = noise((a + wave) * 95, b * 1.6, p.seed + 2)
    shade = (0.84 + 0.3 * tone) * (0.86 + 0.28 * grain)
    shade = shade * (1 - 0.55 * line(edge, 0.008, p.pixel_m))
    colour = np.stack([1 + 0.08 * hue, 1 + 0 * hue, 1 - 0.12 * hue], axis=-1)
    return Look(shade[..., None] * colour)
