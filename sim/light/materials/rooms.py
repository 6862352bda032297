"""Lit windows: what one sees of a room through them, chosen by where the window is.

Curtains, blinds, a lamp with a shade, a plant on the sill, a picture on the wall. All by eye
[common practice, no source].
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.light.materials.noise import clouds, hash01, line, noise, ramp
from sim.light.materials.openings import SMALL_M, bars_of
from sim.light.materials.patch import Look, Patch

_LAMP = np.array([1.0, 0.49, 0.105], dtype=np.float32)  # warm lamplight, linear
_LINEN = np.array([1.0, 0.55, 0.18], dtype=np.float32)
_GREEN = np.array([0.07, 0.075, 0.014], dtype=np.float32)  # leaves with the lamp behind them
#: Curtains with the lamp behind them: linen, brick, sage, a greyed blue.
_DYES = np.array(
    [[1.0, 0.55, 0.18], [0.95, 0.30, 0.09], [0.78, 0.50, 0.15], [0.66, 0.45, 0.22]],
    dtype=np.float32,
)
_WOOD = np.array([0.22, 0.09, 0.02], dtype=np.float32)
NARROW_M = 0.62  # a pane narrower than this is one light of a larger window


def glass_lit(p: Patch) -> Look:
    """A window with somebody at home; below 0.3 m wide, a lantern."""
    wide, tall = p.size_m
    if wide < SMALL_M and tall < 2 * SMALL_M:
        return _lantern(p)
    lots = hash01(np.arange(8) + int(p.box_m[0] * 97), int(p.box_m[1] * 89), 11)
    lamp = (p.box_m[0] + wide * (0.28 + 0.44 * float(lots[0])), p.box_m[1])
    light = _wall(p, lamp, float(lots[1]))
    if tall > 0.7 and wide > 0.4 and (wide > NARROW_M or lots[6] > 0.5):
        light = _furnished(p, light, lamp, lots)
    light = _dressed(p, light, lots)
    bars = bars_of(p)
    light = light * (1 - bars[..., None]) * np.float32(0.82 + 0.45 * lots[2])
    return Look(0.35 + 4.0 * bars[..., None], glow=light, sheen=(0.06 * (1 - bars))[..., None])


def _lantern(p: Patch) -> Look:
    """Four panes in a cage, brightest about the bulb."""
    wide, tall = p.size_m
    bulb = np.exp(-(((p.across - 0.5) / 0.3) ** 2 + ((p.up - 0.42) / 0.26) ** 2))
    glow = 0.55 + 1.6 * bulb
    u = p.across * wide
    cage = np.maximum(
        line(np.abs(u - wide / 2), 0.012, p.pixel_m) * 0.7,
        line(np.minimum(p.up, 1 - p.up) * tall, 0.024, p.pixel_m),
    )
    return Look(np.ones_like(glow)[..., None], glow=(2.6 * glow * (1 - cage))[..., None] * _LAMP)


def _wall(p: Patch, lamp: tuple[float, float], lot: float) -> np.ndarray:
    """The wall of the room, in a pool of lamplight, with a picture on it where there is room."""
    wide, tall = p.size_m
    room = 0.20 + 0.20 * np.clip(p.up, 0, 1) + 0.06 * clouds(p.x * 2.5, p.y * 2.5, p.seed, 2)
    high = lamp[1] + 0.42
    pool = np.exp(-(((p.x - lamp[0]) / 0.5) ** 2 + ((p.y - high) / 0.5) ** 2))
    light = (room + 0.75 * pool)[..., None] * (_LAMP + 0.12 * pool[..., None] * _LINEN)
    if wide > 0.9 and lot > 0.35:
        side = -1 if lamp[0] > p.box_m[0] + wide / 2 else 1
        x0, y0 = p.box_m[0] + wide * (0.5 + 0.2 * side), p.box_m[1] + 0.66 * tall
        half = (0.17, 0.13) if lot > 0.65 else (0.12, 0.16)
        off = np.maximum(np.abs(p.x - x0) / half[0], np.abs(p.y - y0) / half[1])
        frame = ramp(off, 1.08, 1.0)[..., None]
        hill = ramp(p.y - y0 - 0.05 * np.sin(9 * (p.x - x0) + 6 * lot), 0.01, -0.01)
        inner = (0.34 + 0.3 * (1 - hill))[..., None] * _LINEN
        mount = ramp(off, 0.86, 0.8)[..., None]
        light = light * (1 - frame) + frame * (inner * mount + (1 - mount) * _WOOD)
    return light


def _furnished(
    p: Patch, light: np.ndarray, lamp: tuple[float, float], lots: np.ndarray
) -> np.ndarray:
    """A lamp on the sill or from the ceiling, and a plant in a pot on the other side."""
    wide, tall = p.size_m
    soft = p.pixel_m
    x, y = p.x - lamp[0], p.y - lamp[1]
    if lots[3] < 0.55 or tall < 1.0:  # a table lamp: foot, stem, shade
        foot = ramp(np.hypot(x / 0.07, (y - 0.06) / 0.085), 1 + 10 * soft, 1)
        stem = line(np.abs(x), 0.02, soft) * ramp(y, 0.3, 0.29) * (y > 0)
        half = 0.185 - 0.36 * (y - 0.25)
        shade = ramp(np.abs(x) - half, soft, 0) * ramp(np.abs(y - 0.355) - 0.105, soft, 0)
    else:  # one that hangs
        y = p.y - (p.box_m[1] + 0.72 * tall)
        foot = 0 * (x + y)
        stem = line(np.abs(x), 0.012, soft) * (y > 0.1)
        half = np.sqrt(np.clip(0.17**2 - np.clip(y, 0, 1) ** 2, 0, 1))
        shade = ramp(np.abs(x) - half, soft, 0) * ramp(np.abs(y - 0.08) - 0.09, soft, 0)
    dark = np.maximum(foot, stem)[..., None]
    light = light * (1 - 0.85 * dark) + dark * 0.5 * _WOOD
    warm = (2.6 - 0.9 * np.abs(x) / 0.18)[..., None] * (0.5 * _LAMP + 0.6 * _LINEN)
    light = light * (1 - shade[..., None]) + shade[..., None] * np.clip(warm, 0.4, None)
    if lots[4] > 0.3:
        side = 1 if lamp[0] < p.box_m[0] + wide / 2 else -1
        at = float(
            np.clip(lamp[0] + side * (0.33 + 0.12 * lots[5]), p.box_m[0] + 0.16, p.box_m[2] - 0.16)
        )
        size = 0.8 + 0.4 * float(lots[6])
        across = np.flatnonzero(np.abs(p.x[0] - at) < 0.34 * size)
        high = np.flatnonzero(p.y[:, 0] - p.box_m[1] < 0.46 * size)
        if len(across) and len(high):  # only where the plant is
            part = slice(high[0], high[-1] + 1), slice(across[0], across[-1] + 1)
            here = replace(p, x=p.x[:, part[1]], y=p.y[part[0]])
            light[part] = _plant(here, light[part], at, size, int(5 + 3 * lots[7]))
    return light


def _plant(p: Patch, light: np.ndarray, at: float, size: float, count: int) -> np.ndarray:
    """A pot and a fan of pointed leaves, the lamp shining through them a little."""
    x, y = (p.x - at) / size, (p.y - p.box_m[1]) / size
    soft = p.pixel_m / size
    pot = ramp(np.abs(x) - 0.055 - 0.18 * y, soft, 0) * ramp(y, 0.13 + soft, 0.13) * (y > 0)
    leaf = np.zeros(np.broadcast_shapes(x.shape, y.shape), dtype=np.float32)
    rib = np.zeros_like(leaf)
    for index in range(count):
        turn = np.pi * (0.12 + 0.76 * index / (count - 1))
        length = 0.26 if index % 2 else 0.2
        along = x * np.cos(turn) + (y - 0.12) * np.sin(turn)
        across = -x * np.sin(turn) + (y - 0.12) * np.cos(turn) + 0.5 * along * along * np.cos(turn)
        half = 0.036 * np.sin(np.pi * np.clip(along / length, 0, 1)) ** 0.7
        blade = ramp(np.abs(across) - half, 0.6 * soft, -0.6 * soft)
        blade = blade * (along > 0) * (along < length)
        leaf = np.maximum(leaf, blade)
        rib = np.maximum(rib, blade * np.float32(0.35 + 0.3 * (index % 3)))
    light = light * (1 - leaf[..., None]) + (leaf * (0.35 + 0.9 * rib))[..., None] * _GREEN
    side = 0.5 + 0.8 * ramp(x, 0.06, -0.06)
    return light * (1 - pot[..., None]) + (pot * side)[..., None] * _WOOD


def _dressed(p: Patch, light: np.ndarray, lots: np.ndarray) -> np.ndarray:
    """Drapes held back at the sides, a blind half down, or a sheer curtain over the whole."""
    wide, tall = p.size_m
    style = float(lots[1] * 7.0 % 1.0)
    pleats = 0.5 + 0.5 * np.sin(2 * np.pi * p.x / 0.075 + 2.5 * noise(p.x * 7, p.y * 1.6, p.seed))
    if wide < NARROW_M:
        style = 0.7 if style < 0.5 else 0.9
    if style < 0.6:  # drapes, drawn in at two fifths
        held = 0.4
        waist = np.abs(np.clip(p.up, 0, 1) - held) / (1 - held)
        reach = (0.15 + 0.05 * lots[2]) * (0.55 + 0.75 * waist**1.4)
        side = np.minimum(p.across, 1 - p.across)
        cloth = ramp(reach - side, -p.pixel_m / wide, p.pixel_m / wide)
        lit = (0.07 + 0.36 * pleats) * (0.55 + 0.45 * np.clip(p.up, 0, 1))
        lit = lit * (1 - 0.55 * line(np.abs(p.up - held) * tall, 0.04, p.pixel_m))
        dye = _DYES[int(lots[5] * len(_DYES))]
        light = _over(light, cloth, lit, dye)
        rail = ramp(p.up * tall, tall - 0.085, tall - 0.085 + p.pixel_m)
        return _over(light, rail, 0.14 + 0.2 * pleats, dye)
    if style < 0.8:  # a roman blind, lit through
        hem = tall * (0.52 + 0.26 * lots[3])
        down = ramp(p.y - p.box_m[1], hem - p.pixel_m, hem)
        fold = ((p.box_m[3] - p.y) / 0.17) % 1.0
        cloth = (0.62 + 0.16 * fold - 0.25 * ramp(fold, 0.86, 1.0)) * (0.8 + 0.4 * p.up)
        edge = line(np.abs(p.y - p.box_m[1] - hem), 0.022, p.pixel_m)
        return _over(light, down, cloth * (1 - 0.5 * edge) + 0 * p.x)
    veil = 0.52 + 0.10 * pleats  # a sheer curtain softens all behind it
    return light * (1 - veil)[..., None] + (veil * (0.40 + 0.28 * pleats))[..., None] * _LINEN


def _over(
    light: np.ndarray, cloth: np.ndarray, lit: np.ndarray, dye: np.ndarray = _LINEN
) -> np.ndarray:
    return light * (1 - cloth[..., None]) + (cloth * lit)[..., None] * dye
