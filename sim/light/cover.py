"""What the weather leaves on ground and roofs: water or snow over what is drawn.

Snow lies on roofs and on all that is ground. Water darkens what soaks it up, because light is
caught under the film (Lekner and Dorf 1988, from memory: a wet rough surface keeps about half to
two thirds of its reflectance), and on a path it stands as a film that mirrors. Where it stands
more and where less is chosen by eye [common practice, no source].
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.catalogue import materials
from layouts.eaves import ROOFS
from layouts.records import AS_PHOTOGRAPHED, Drawing, Surface
from sim.light.albedo import albedo_rgb
from sim.light.canvas import Canvas, is_ground
from sim.light.materials import LEAFY
from sim.light.materials.noise import clouds, noise, ramp
from sim.light.mirror import reflectance
from sim.light.view import GROUND, WALL, View

#: What is left of the reflectance of a wet surface, by its texture.
_DARKER = {"path": 0.6, "lawn": 0.8, "shingle": 0.75, "slate": 0.75, "tile": 0.75}
LEDGE_M = 0.03  # what stands out by more holds snow
DEEP_M = 0.055  # of it, as seen from the street
HOLDS_M = 0.5  # snow slides off what is narrower
_FILM = frozenset({"path"})  # textures that water stands on


def covered(drawing: Drawing) -> Drawing:
    """The drawing as it is painted: under snow, ground and roofs are snow."""
    if drawing.ground != "snow":
        return drawing
    snow = materials()["snow"]

    def over(surface: Surface) -> Surface:
        wide_m = float(np.ptp(surface.outline_m[:, 0]))
        roof = surface.material.texture in ROOFS and wide_m > HOLDS_M
        lies = roof or is_ground(surface)
        takes = lies and surface.material != AS_PHOTOGRAPHED
        return replace(surface, material=snow) if takes else surface

    return replace(drawing, surfaces=tuple(map(over, drawing.surfaces)))


def soaked(canvas: Canvas, drawing: Drawing, view: View) -> tuple[Canvas, np.ndarray | None]:
    """The canvas under what lies on the ground, and the share (H, W) that is a film of water.

    None where nothing mirrors. What a film mirrors does not reach the ground below it: the ground
    loses that share.
    """
    if drawing.ground == "snow":
        return _snowed(canvas, drawing, view), None
    if drawing.ground != "wet":
        return canvas, None
    left = np.array([_DARKER.get(s.texture, 1.0) for s in canvas.sheets] + [1.0], np.float32)
    stands = np.array([s.facing == GROUND and s.texture in _FILM for s in canvas.sheets] + [False])
    shade = canvas.shade * left[canvas.sheet][..., None]
    on = stands[canvas.sheet]
    rows = np.flatnonzero(on.any(axis=(0, 2)))
    film = np.zeros(canvas.front_m.shape, np.float32)
    if not len(rows):
        return replace(canvas, shade=shade), None
    ground = slice(int(rows[0]), int(rows[-1]) + 1)
    depth = _depth_of_water(view, ground)
    lost = reflectance(view, np.arange(ground.start, ground.stop))[:, None] * depth
    for slot in (0, 1):
        part = on[slot][ground]
        film[ground] += canvas.share[slot][ground] * part * depth
        shade[slot][ground] *= (1 - lost * part)[..., None]
    return replace(canvas, shade=shade), film


def _snowed(canvas: Canvas, drawing: Drawing, view: View) -> Canvas:
    """Snow on ledges that nothing shelters, and in the leaves that catch the light."""
    roof = [s.texture == "snow" and s.facing == WALL for s in canvas.sheets]
    known = {s.material.name: albedo_rgb(s.material) for s in drawing.surfaces}
    snow = albedo_rgb(materials()["snow"])
    own = np.array([known.get(s.material, snow) for s in canvas.sheets] + [snow])
    plain = [s.texture != AS_PHOTOGRAPHED.texture for s in canvas.sheets]
    takes = np.array([*plain, False])[canvas.sheet[0]]
    takes &= ~np.array([s.texture == "snow" for s in canvas.sheets] + [False])[canvas.sheet[0]]
    leafy = np.array([s.texture in LEAFY for s in canvas.sheets] + [False])[canvas.sheet[0]]
    front = canvas.front_m
    above = np.vstack([np.full((1, front.shape[1]), -np.inf), front[:-1]])
    open_ = front >= np.maximum.accumulate(above, axis=0) - 0.02
    edge = open_ & (front - above > LEDGE_M) & takes
    white = np.zeros(front.shape, np.float32)
    y, x = np.indices(front.shape, dtype=np.float32) * np.float32(view.pixel_m)
    lies_m = DEEP_M * (0.85 + 0.5 * noise(x * 2, y * 3, 41))
    for down in range(max(1, math.ceil(1.35 * DEEP_M * view.px_per_m))):
        part = np.zeros_like(white)
        part[down:] = edge[: front.shape[0] - down]
        deep = np.clip(lies_m * view.px_per_m - down, 0, 1)  # of the pixel, so that no line breaks
        white = np.maximum(white, part * takes * deep)
    bright = canvas.shade[0] @ LUMINANCE.astype(np.float32)
    white = np.maximum(white, 0.7 * leafy * ramp(bright, 0.8, 2.2)).astype(np.float32)
    ratio = (0.92 * snow / own).astype(np.float32)[canvas.sheet[0]]
    shade = canvas.shade.copy()
    shade[0] += white[..., None] * (ratio - shade[0])
    lies = canvas.roof | np.append(roof, False)[canvas.sheet[0]]
    return replace(canvas, shade=shade, roof=lies)


def _depth_of_water(view: View, rows: slice) -> np.ndarray:
    """(rows, W) share of the ground there that is under a film, 0.5 to 1."""
    x = view.left_m + (np.arange(view.size_px[0]) + 0.5)[None, :] * view.pixel_m
    y = view.top_m - (np.arange(rows.start, rows.stop) + 0.5)[:, None] * view.pixel_m
    ground_x, ground_z = view.ground_m(x, np.minimum(y, 0.0))
    found = clouds(ground_x * 0.8, ground_z * 0.8 + 0 * ground_x, 31, 3)
    return (0.5 + 0.5 * ramp(found, 0.35, 0.62)).astype(np.float32)
