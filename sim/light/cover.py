"""What the weather leaves on ground and roofs: water or snow over what is drawn.

Snow lies on roofs and on all that is ground. Water darkens what soaks it up, because light is
caught under the film (Lekner and Dorf 1988, from memory: a wet rough surface keeps about half to
two thirds of its reflectance), and on a path it stands as a film that mirrors. Where it stands
more and where less is chosen by eye [common practice, no source].
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from layouts.catalogue import materials
from layouts.eaves import ROOFS
from layouts.records import AS_PHOTOGRAPHED, Drawing, Surface
from sim.light.canvas import Canvas, is_ground
from sim.light.materials.noise import clouds, ramp
from sim.light.mirror import reflectance
from sim.light.view import GROUND, WALL, View

#: What is left of the reflectance of a wet surface, by its texture.
_DARKER = {"path": 0.6, "lawn": 0.8, "shingle": 0.75, "slate": 0.75, "tile": 0.75}
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
        white = [s.texture == "snow" and s.facing == WALL for s in canvas.sheets]
        return replace(canvas, roof=canvas.roof | np.append(white, False)[canvas.sheet[0]]), None
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


def _depth_of_water(view: View, rows: slice) -> np.ndarray:
    """(rows, W) share of the ground there that is under a film, 0.35 to 1."""
    x = view.left_m + (np.arange(view.size_px[0]) + 0.5)[None, :] * view.pixel_m
    y = view.top_m - (np.arange(rows.start, rows.stop) + 0.5)[:, None] * view.pixel_m
    ground_x, ground_z = view.ground_m(x, np.minimum(y, 0.0))
    found = clouds(ground_x * 0.8, ground_z * 0.8 + 0 * ground_x, 31, 3)
    return (0.35 + 0.65 * ramp(found, 0.35, 0.62)).astype(np.float32)
