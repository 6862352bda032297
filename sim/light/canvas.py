"""The painted picture before any light: which sheet shows where, in what shade.

A picture pixel on an edge shows two sheets; it keeps both with their shares, so that edges stay
smooth when one side is lit and the other is dark. A sheet is all that lies at one depth and is of
one material.
"""

from __future__ import annotations

from dataclasses import dataclass
from zlib import crc32

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.eaves import ROOFS
from layouts.records import AS_PHOTOGRAPHED, Drawing, Material, Surface
from sim.kernels import njit
from sim.light.albedo import albedo_rgb
from sim.light.materials import GLAZED, LEAFY, LYING, Look, Patch, habit_of, look, pitch_of
from sim.light.night import Hour
from sim.light.photo import beside_photo, lay_photo, seen_at, wall_seen
from sim.light.raster import coverage
from sim.light.soffit import Soffit, soffit_of
from sim.light.view import GROUND, LEAVES, UNDER, WALL, View
from sim.light.windows import lit_part, share_up

BACKDROP = -1  # sheet number of the sky


@dataclass(frozen=True)
class Sheet:
    """Everything of one material at one depth."""

    material: str
    texture: str
    depth_m: float
    facing: int  # as transport reads it: wall, ground (seen in perspective), leaves, underside
    soffit: Soffit | None = None  # where an underside lies


#: The wall as photographed, where the house has a photograph; its colours are its reflectance.
PHOTO = Sheet(AS_PHOTOGRAPHED.name, AS_PHOTOGRAPHED.texture, 0.0, WALL)
#: A photographed surface that reaches below y = 0, and above it no higher than this, is ground.
BANK_M = 0.3


@dataclass(frozen=True, eq=False)
class Canvas:
    """(H, W) picture of sheets; slot 0 is the larger share of each pixel, slot 1 the other."""

    sheets: tuple[Sheet, ...]
    sheet: np.ndarray  # (2, H, W) int16
    share: np.ndarray  # (2, H, W) float32
    shade: np.ndarray  # (2, H, W, 3) float32, factor on the sheet's reflectance
    glow: np.ndarray  # (H, W, 3) own light, in units of the hour's lit windows
    sheen: np.ndarray  # (H, W) mirrored share of the sky
    front_m: np.ndarray  # (H, W) depth of what shows
    roof: np.ndarray  # (H, W) bool


def is_ground(surface: Surface) -> bool:
    """Whether a surface lies flat: lawn, path or snow that reaches below y = 0."""
    y_m = surface.outline_m[:, 1]
    lying = surface.material.texture in LYING
    if surface.material == AS_PHOTOGRAPHED:
        lying = float(y_m.max()) <= BANK_M
    return lying and bool(y_m.min() < 0)


def _sheet(surface: Surface, drawing: Drawing) -> Sheet:
    facing, soffit = WALL, None
    if surface.faces == "down":
        facing, soffit = UNDER, soffit_of(surface, drawing)
    elif is_ground(surface):
        facing = GROUND
    elif surface.material.texture in LEAFY:
        facing = LEAVES
    material = surface.material
    return Sheet(material.name, material.texture, float(surface.depth_m), facing, soffit)


def _look(
    surface: Surface,
    view: View,
    at: tuple[slice, slice],
    texture: str,
    seed: int,
    solid: np.ndarray,
) -> Look:
    rows, columns = at
    x = view.left_m + (np.arange(columns.start, columns.stop) + 0.5)[None, :] * view.pixel_m
    y = view.top_m - (np.arange(rows.start, rows.stop) + 0.5)[:, None] * view.pixel_m
    low, high = surface.outline_m.min(axis=0), surface.outline_m.max(axis=0)
    if is_ground(surface):
        x, y = view.ground_m(x, y)
        y = np.broadcast_to(y, x.shape)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    eye = (view.eye_m[0], view.eye_m[2] - surface.depth_m)
    pitch = pitch_of(surface.outline_m) if texture in ROOFS else 0.0
    return look(texture, Patch(x, y, view.pixel_m, box, seed, solid, pitch, eye))


def _mean_shade(tint: np.ndarray, cover: np.ndarray, material: Material) -> float:
    """What a texture would change of the material's luminous reflectance, over all that shows."""
    weight = LUMINANCE * albedo_rgb(material)
    mean = np.einsum("hw,hwc->c", cover, tint) @ weight / weight.sum()
    return max(float(mean) / max(float(cover.sum()), 1e-6), 1e-3)


def paint(drawing: Drawing, view: View, hour: Hour) -> Canvas:
    """All surfaces in painting order; windows where nobody is up any more are dark glass."""
    width, height = view.size_px
    numbers: dict[Sheet, int] = {}
    sheet = np.full((2, height, width), BACKDROP, dtype=np.int16)
    share = np.zeros((2, height, width), dtype=np.float32)
    share[0] = 1
    shade = np.ones((2, height, width, 3), dtype=np.float32)
    glow = np.zeros((height, width, 3), dtype=np.float32)
    sheen = np.zeros((height, width), dtype=np.float32)
    front = np.full((height, width), -100.0, dtype=np.float32)
    roof = np.zeros((height, width), dtype=bool)
    if drawing.photo is not None:
        laid = lay_photo(drawing.photo, view, drawing.viewer_m)
        reflectance, where = wall_seen(laid, drawing, view)
        numbers[PHOTO] = 0
        sheet[0][where] = 0
        shade[0][where] = reflectance[where]
        front[where] = 0.0
        going_on, beside = beside_photo(laid, view)
        sheet[0][beside] = 0
        shade[0][beside] = going_on[beside]
    up = share_up(drawing, hour)
    for surface in drawing.surfaces:
        seed = crc32(surface.name.encode()) & 0xFFFF  # a surface keeps its looks among new ones
        beyond_m = 0.0
        if surface.material.texture in LEAFY:
            wide_m, tall_m = np.ptp(surface.outline_m, axis=0).tolist()
            beyond_m = habit_of(surface.material.texture, (wide_m, tall_m)).reach_m
        found = coverage(view, surface.outline_m, beyond_m=beyond_m)
        if found is None:
            continue
        rows, columns, cover = found
        number = numbers.setdefault(_sheet(surface, drawing), len(numbers))
        texture = surface.material.texture
        if surface.material == AS_PHOTOGRAPHED:
            depth = 0.0 if is_ground(surface) else surface.depth_m
            tint, shown = seen_at(laid, view, depth, (rows, columns))
            cover = cover * shown
            _lay(sheet, share, shade, (rows, columns), number, cover, tint)
            left = 1 - cover
            glow[rows, columns] *= left[..., None]
            sheen[rows, columns] *= left
            front[rows, columns][cover > 0.5] = surface.depth_m
            continue
        lit = lit_part(surface, hour, up)
        if texture == "glass_lit" and not lit:
            texture = "glass"
        seen = _look(surface, view, (rows, columns), texture, seed, cover)
        if seen.cover is not None:
            cover = seen.cover
        tint = np.broadcast_to(seen.shade, (*cover.shape, 3)).astype(np.float32)
        if texture not in GLAZED:
            tint /= _mean_shade(tint, cover, surface.material)
        at = (rows, columns)
        _lay(sheet, share, shade, at, number, cover, tint)
        leans = surface.material.texture in ROOFS
        _hide(
            rows.start, columns.start, glow, sheen, front, roof, cover,
            np.float32(surface.depth_m), leans,
        )  # fmt: skip
        if seen.glow is not None:
            glow[at] += lit * cover[..., None] * seen.glow
        if seen.sheen is not None:
            sheen[at] += cover * seen.sheen[..., 0]
    return Canvas(tuple(numbers), sheet, share, shade, glow, sheen, front, roof)


def _lay(
    sheet: np.ndarray,
    share: np.ndarray,
    shade: np.ndarray,
    at: tuple[slice, slice],
    number: int,
    cover: np.ndarray,
    tint: np.ndarray,
) -> None:
    """Put a surface over what is there; on edge pixels the two largest shares stay."""
    _lay_rows(sheet[:, *at], share[:, *at], shade[:, *at], number, cover, tint)


@njit(cache=True, nogil=True, error_model="numpy")
def _hide(
    top: int,
    left: int,
    glow: np.ndarray,
    sheen: np.ndarray,
    front: np.ndarray,
    roof: np.ndarray,
    cover: np.ndarray,
    depth_m: np.float32,
    leans: bool,
) -> None:
    """What shone before is hidden by a new surface; most of a pixel decides how far out it is.

    `cover` (h, w) lies at the row `top` and the column `left` of all others. (Parts of arrays are
    of another type than whole ones, and would be compiled again.)
    """
    for i in range(cover.shape[0]):
        for j in range(cover.shape[1]):
            c, y, x = cover[i, j], top + i, left + j
            if c <= 0.0:
                continue
            rest = np.float32(1) - c
            for k in range(3):
                glow[y, x, k] *= rest
            sheen[y, x] *= rest
            if c > np.float32(0.5):
                front[y, x] = depth_m
                roof[y, x] = leans


@njit(cache=True, nogil=True, error_model="numpy")
def _lay_rows(
    ids: np.ndarray,
    parts: np.ndarray,
    tints: np.ndarray,
    number: int,
    cover: np.ndarray,
    tint: np.ndarray,
) -> None:
    """(2, h, w) sheets, shares and (2, h, w, 3) shades under (h, w) of a new sheet."""
    three_id, three_part = np.empty(3, np.int64), np.empty(3, np.float32)
    three_tint = np.empty((3, 3), np.float32)
    for y in range(cover.shape[0]):
        for x in range(cover.shape[1]):
            c = cover[y, x]
            if c <= np.float32(0.002):
                continue
            if c >= np.float32(0.999):
                ids[0, y, x], ids[1, y, x] = number, BACKDROP
                parts[0, y, x], parts[1, y, x] = 1.0, 0.0
                for k in range(3):
                    tints[0, y, x, k] = tint[y, x, k]
                continue
            # the three candidates of an edge pixel: two that were there, and the new one
            for slot in range(2):
                three_id[slot] = ids[slot, y, x]
                three_part[slot] = parts[slot, y, x] * (np.float32(1) - c)
                for k in range(3):
                    three_tint[slot, k] = tints[slot, y, x, k]
            three_id[2], three_part[2] = number, c
            for k in range(3):
                three_tint[2, k] = tint[y, x, k]
            for old in range(2):  # the same sheet again (a frame beside its like) is one candidate
                if three_id[old] != number:
                    continue
                whole = max(three_part[old] + three_part[2], np.float32(1e-9))
                for k in range(3):
                    mixed = three_part[old] * three_tint[old, k] + three_part[2] * three_tint[2, k]
                    three_tint[2, k] = mixed / whole
                three_part[2], three_part[old] = whole, 0.0
            # the two largest shares stay; of equal ones the one that was there first
            best = 0
            for n in (1, 2):
                if three_part[n] > three_part[best]:
                    best = n
            second = 1 if best == 0 else 0
            for n in range(3):
                if n not in (best, second) and (
                    three_part[n] > three_part[second]
                    or (three_part[n] == three_part[second] and n < second)
                ):
                    second = n
            whole = three_part[best] + three_part[second]
            for slot in range(2):
                n = best if slot == 0 else second
                ids[slot, y, x] = three_id[n]
                parts[slot, y, x] = three_part[n] / whole
                for k in range(3):
                    tints[slot, y, x, k] = three_tint[n, k]
