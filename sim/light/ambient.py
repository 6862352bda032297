"""The house before any pixel shines: sky, street, moon and its own lit windows."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from PIL import Image

from layouts.records import House
from sim.kernels import njit
from sim.light import windows
from sim.light.canvas import Canvas
from sim.light.lattice import Lattice
from sim.light.night import MOON_COLOUR, STREET_COLOUR, Hour
from sim.light.relief import Relief
from sim.light.share import share
from sim.light.sky import sky_lx
from sim.light.transport import trace
from sim.light.view import GROUND, View

HAZE_M = 30.0  # the haze of depth: what is this far back shows a third of itself, for the eye
AWAY = np.float32(0.55)  # of a lamp's light on a wall falls on a roof of 45° behind it
COARSE = 4  # picture pixels to a cell of the map of overhangs


def _blurred(field: np.ndarray, sigma: float) -> np.ndarray:
    """(h, w) smoothed by a Gaussian of `sigma` cells; edges count on outwards."""
    reach = int(np.ceil(3 * sigma))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    weights /= weights.sum()
    for axis in (0, 1):
        padded = np.pad(field, [(reach, reach) if a == axis else (0, 0) for a in (0, 1)], "edge")
        size = field.shape[axis]
        parts = (
            w * np.take(padded, range(k, k + size), axis) for k, w in enumerate(weights.tolist())
        )
        field = sum(parts, start=np.zeros_like(field))
    return field


def openness(canvas: Canvas, view: View) -> np.ndarray:
    """(H, W) share of the sky's light that overhangs and projections leave to a place."""
    front = np.maximum(canvas.front_m[::COARSE, ::COARSE], -1.0)
    flat = np.array([s.facing == GROUND for s in canvas.sheets] + [False])
    lies = flat[canvas.sheet[0][::COARSE, ::COARSE]]
    cell = COARSE * view.pixel_m
    shut = np.zeros_like(front)
    for rise in (1, 2, 3, 4, 6, 8, 11, 15, 20):
        above = np.empty_like(front)
        above[rise:] = front[:-rise] if rise < len(front) else front[:1]
        above[:rise] = front[0]
        out = np.clip(above - front, 0, 2.0)
        covers = out / (out + rise * cell + 0.15)
        # what stands on the ground shades it only where it stands
        shut = np.maximum(shut, np.where(lies & (rise > 2), 0, covers))
    beside = np.clip(_blurred(front, 3) - front, 0, 0.5) * ~lies
    open_ = _blurred((1 - 0.62 * shut) * (1 - 0.5 * beside), 0.8)
    height, width = canvas.front_m.shape
    coarse = Image.fromarray(open_.astype(np.float32))
    size = (front.shape[1] * COARSE, front.shape[0] * COARSE)
    return np.asarray(coarse.resize(size, Image.Resampling.BILINEAR))[:height, :width]


@lru_cache(maxsize=16)
def _wall_lx(hour: Hour) -> np.ndarray:
    """`sky_lx`, which looks at the whole sky, kept for every further picture of the hour."""
    found = sky_lx(hour).astype(np.float32)
    found.flags.writeable = False
    return found


def ambient_cd_m2(
    canvas: Canvas, view: View, hour: Hour, sky: np.ndarray, albedo: np.ndarray
) -> np.ndarray:
    """(H, W, 3) what is seen with every pixel dark; `albedo` (sheets, 3), `sky` the backdrop."""
    height, width = canvas.front_m.shape
    y = view.top_m - (np.arange(height) + 0.5) * view.pixel_m
    x = view.left_m + (np.arange(width) + 0.5) * view.pixel_m
    sky_light = _wall_lx(hour)
    moon = (hour.moon_lx * np.array(MOON_COLOUR)).astype(np.float32)
    lamps = (hour.street_lx * np.array(STREET_COLOUR)).astype(np.float32)
    plain = (albedo.reshape(-1, 3) / np.pi).astype(np.float32)
    open_ = openness(canvas, view)
    out = np.zeros((height, width, 3), dtype=np.float32)
    horizon = hour.horizon_cd_m2 * np.array(hour.horizon_colour, dtype=np.float32)
    # street light comes from the front left and fades upwards and along the house
    street = (1.15 - 0.35 * (x - view.left_m) / (width * view.pixel_m))[None, :] * (
        1.1 - 0.05 * np.clip(y, 0, 10)
    )[:, None]
    street = street.astype(np.float32)
    # per sheet: lawn lies flat and sees more of the sky than a wall does; what is far is hazy
    flat = np.array([s.facing == GROUND for s in canvas.sheets] or [False])
    far = np.array([s.depth_m for s in canvas.sheets] or [0.0], dtype=np.float32)
    haze = 1 - np.exp(np.minimum(far + 1.5, 0) / HAZE_M)
    share(
        _lay,
        canvas.sheet,
        canvas.share,
        canvas.shade,
        canvas.roof,
        canvas.sheen,
        open_,
        street,
        np.stack([sky_light, moon, lamps]),
        ((1 - haze)[:, None] * plain).astype(np.float32),
        (0.5 * haze[:, None] * horizon).astype(np.float32),
        flat,
        sky,
        horizon,
        out,
    )
    return out


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _lay(
    first: int,
    stride: int,
    sheet: np.ndarray,
    part: np.ndarray,
    shade: np.ndarray,
    roof: np.ndarray,
    sheen: np.ndarray,
    open_: np.ndarray,
    street: np.ndarray,
    lights: np.ndarray,
    plain: np.ndarray,
    haze: np.ndarray,
    flat: np.ndarray,
    sky: np.ndarray,
    horizon: np.ndarray,
    out: np.ndarray,
) -> None:
    """Every picture row: sky, moon and lamps on both sheets of a pixel, or the sky itself."""
    one = np.float32(1)
    for y in range(first, out.shape[0], stride):
        for x in range(out.shape[1]):
            for slot in range(2):
                number, much = sheet[slot, y, x], part[slot, y, x]
                if much <= 0:
                    continue
                if number < 0:
                    for c in range(3):
                        out[y, x, c] += much * sky[y, x, c]
                    continue
                # a roof leans back, towards sky and moon and away from the lamps of the street
                tilt = np.float32(1.5) if roof[y, x] else one
                away = AWAY if roof[y, x] else one
                moon = street[y, x] * tilt
                if flat[number]:
                    tilt = np.float32(1.7)
                for c in range(3):
                    lux = open_[y, x] * tilt * lights[0, c] + moon * lights[1, c]
                    lux += street[y, x] * away * lights[2, c]
                    seen = lux * plain[number, c] * shade[slot, y, x, c] + haze[number, c]
                    out[y, x, c] += much * seen
            for c in range(3):
                out[y, x, c] += sheen[y, x] * horizon[c]


def lamplight(
    house: House, hour: Hour, lattice: Lattice, relief: Relief, albedo: np.ndarray
) -> np.ndarray:
    """(P, 3) radiance [cd/m²] that the house's own lamps give each lattice node."""
    tree = windows.lamps_of(house, hour)
    if tree is None or not len(lattice.place_m):
        return np.zeros((len(lattice.place_m), 3), dtype=np.float32)
    lamps = np.ones((int(np.count_nonzero(tree.child[:, 1] == 0)), 4))
    matrix = trace(
        tree, 1, lattice.place_m, lattice.facing, lattice.cell_m, relief, lattice.stretch
    )
    lux = matrix.illuminance(lamps)[:, 0, :1]
    return (lux * windows.COLOUR * albedo[lattice.sheet] / np.pi).astype(np.float32)
