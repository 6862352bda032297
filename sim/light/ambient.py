"""The house before any pixel shines: sky, street, moon and its own lit windows."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter

from layouts.records import House
from sim.light.canvas import Canvas
from sim.light.facing import GROUND
from sim.light.lattice import Lattice
from sim.light.night import MOON_COLOUR, STREET_COLOUR, Hour
from sim.light.sources import Sources, Tree, tree_of
from sim.light.transport import Relief, trace
from sim.light.view import View

WINDOW_COLOUR = np.array([1.0, 0.52, 0.17]) / (0.2126 + 0.7152 * 0.52 + 0.0722 * 0.17)
LANTERN_M = 0.3


def openness(canvas: Canvas, view: View) -> np.ndarray:
    """(H, W) share of the sky's light that overhangs and projections leave to a place."""
    step = 4
    front = np.maximum(canvas.front_m[::step, ::step], -1.0)
    cell = step * view.pixel_m
    shut = np.zeros_like(front)
    for rise in (1, 2, 4, 7, 12, 20):
        above = np.empty_like(front)
        above[rise:] = front[:-rise] if rise < len(front) else front[:1]
        above[:rise] = front[0]
        out = np.clip(above - front, 0, 2.0)
        shut = np.maximum(shut, out / (out + rise * cell + 0.15))
    beside = np.clip(gaussian_filter(front, 3) - front, 0, 0.5)
    open_ = (1 - 0.62 * shut) * (1 - 0.5 * beside)
    fine = np.repeat(np.repeat(gaussian_filter(open_, 0.8), step, axis=0), step, axis=1)
    height, width = canvas.front_m.shape
    return fine[:height, :width]


def ambient_cd_m2(
    canvas: Canvas, view: View, hour: Hour, sky: np.ndarray, albedo: np.ndarray
) -> np.ndarray:
    """(H, W, 3) what is seen with every pixel dark; `albedo` (sheets, 3), `sky` the backdrop."""
    height, width = canvas.front_m.shape
    y = view.top_m - (np.arange(height) + 0.5) * view.pixel_m
    x = view.left_m + (np.arange(width) + 0.5) * view.pixel_m
    sky_light = hour.sky_lx * np.array(hour.sky_colour)
    rest = hour.street_lx * np.array(STREET_COLOUR) + hour.moon_lx * np.array(MOON_COLOUR)
    open_ = openness(canvas, view)
    out = np.zeros((height, width, 3), dtype=np.float32)
    horizon = hour.horizon_cd_m2 * np.array(hour.horizon_colour, dtype=np.float32)
    # street light comes from the front left and fades upwards and along the house
    street = (1.15 - 0.35 * (x - view.left_m) / (width * view.pixel_m))[None, :] * (
        1.1 - 0.05 * np.clip(y, 0, 10)
    )[:, None]
    for slot in (0, 1):
        ids, share = canvas.sheet[slot], canvas.share[slot]
        shown = (ids >= 0) & (share > 0)
        which = ids[shown]
        # a roof leans back and lawn lies flat: both see more of the sky than a wall does
        tilt = np.where(canvas.roof[shown], 1.5, 1.0)
        flat = np.array([s.facing == GROUND for s in canvas.sheets] or [False])[which]
        tilt = np.where(flat, 1.7, tilt)
        lux = (open_[shown] * tilt)[:, None] * sky_light + street[shown][:, None] * rest
        seen = lux * albedo[which] * canvas.shade[slot][shown] / np.pi
        far = np.array([s.depth_m for s in canvas.sheets] or [0.0])[which]
        haze = (1 - np.exp(np.minimum(far + 1.5, 0) / 16))[:, None]
        seen = seen * (1 - haze) + 0.5 * haze * horizon
        out[shown] += (share[shown][:, None] * seen).astype(np.float32)
        behind = (ids < 0) & (share > 0)
        out[behind] += share[behind][:, None] * sky[behind]
    return out + canvas.sheen[..., None] * horizon


def lamps_of(house: House, hour: Hour) -> Tree | None:
    """Lit windows and lanterns as sources of 1 cd/m² units: what they throw on garden and wall."""
    place, aim, power, candela = [], [], [], []
    for surface in house.drawing.surfaces:
        if surface.material.texture != "glass_lit":
            continue
        low, high = surface.outline_m.min(axis=0), surface.outline_m.max(axis=0)
        wide, tall = high - low
        middle = [*((low + high) / 2), surface.depth_m + 0.12]
        if wide < LANTERN_M and tall < 2 * LANTERN_M:
            for way in (-1.0, 1.0):
                place.append(middle)
                aim.append([0.0, way, 0.0])
                power.append(1e-9)
                candela.append(9.0 * wide * tall)
        else:
            place.append(middle)
            aim.append([0.0, 0.0, 1.0])
            power.append(1.0)
            candela.append(0.5 * wide * tall)
    if not place:
        return None
    n = len(place)
    ones = np.ones(n)
    lamps = Sources(
        np.array(place, dtype=float),
        np.array(aim, dtype=float),
        np.array(power, dtype=float),
        hour.window_cd_m2 * np.array(candela, dtype=float),
        0 * ones,
        ones,
        np.zeros(n, dtype=np.int64),
        np.arange(n),
        ("lamp",),
    )
    return tree_of(lamps)


def lamplight(
    house: House, hour: Hour, lattice: Lattice, relief: Relief, albedo: np.ndarray
) -> np.ndarray:
    """(P, 3) radiance [cd/m²] that the house's own lamps give each lattice node."""
    tree = lamps_of(house, hour)
    if tree is None or not len(lattice.place_m):
        return np.zeros((len(lattice.place_m), 3), dtype=np.float32)
    matrix = trace(tree, 1, lattice.place_m, lattice.facing, lattice.cell_m, relief)
    lux = matrix.illuminance(np.ones((_leaves(tree), 4)))[:, 0, :1]
    return (lux * WINDOW_COLOUR * albedo[lattice.sheet] / np.pi).astype(np.float32)


def _leaves(tree: Tree) -> int:
    return int(np.count_nonzero(tree.child[:, 1] == 0))
