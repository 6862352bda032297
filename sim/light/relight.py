"""A scene lit anew without being painted anew: the same drawing, its lights elsewhere.

While a run is dragged its light has to follow; what is painted, what stands in the way and where
light is computed stay as they are. Where even that takes too long the light is computed at fewer
places, by the same law. And a scene can be lifted out of the night, so that one sees to draw.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.records import House
from sim.light.albedo import albedo_rgb
from sim.light.ambient import lamplight
from sim.light.canvas import PHOTO, Sheet
from sim.light.glare import glare_of
from sim.light.lattice import lattice_over
from sim.light.scene import Scene
from sim.light.sources import sources_of, tree_of
from sim.light.tone import scale_of
from sim.light.transport import trace

#: The brighter parts of the house come out this light on screen, 1 being white.
LIFTED_TO = 0.5
#: What is brighter than the house itself, lit windows above all, is lifted by less.
ROLL_OFF = 0.9


def relit(
    scene: Scene,
    house: House,
    *,
    emitted: Mapping[Any, np.ndarray],
    reflected: Mapping[tuple[Any, str], np.ndarray],
) -> Scene:
    """The scene with the lights of `house`, whose drawing is the one the scene was painted from.

    Everything but the lights is taken over, the exposure too. `emitted` and `reflected` are those
    of `scene.build`. Raises KeyError for a pair that `reflected` lacks.
    """
    sources = sources_of(house, scene.view.eye_m)
    lattice = scene.lattice
    matrix = trace(
        tree_of(sources),
        len(sources.kinds),
        lattice.place_m,
        lattice.facing,
        lattice.cell_m,
        scene.relief,
    )
    made = np.array([emitted[kind] for kind in sources.kinds]).reshape(-1, 4, 3)
    back = np.array(
        [
            [emitted[kind] if s is PHOTO else reflected[kind, s.material] for s in scene.sheets]
            for kind in sources.kinds
        ]
    ).reshape(len(sources.kinds), len(scene.sheets), 4, 3)
    seen = made[sources.kind] * sources.seen_per_sr[:, None, None]
    return replace(
        scene,
        house=house,
        sources=sources,
        transport=matrix,
        flux_lm=made @ LUMINANCE,
        glare=glare_of(sources, scene.view),
        seen=seen.astype(np.float32),
        reflected=(back / np.pi).astype(np.float32),
    )


def coarser(scene: Scene, across: int) -> Scene:
    """The scene with its light computed at fewer places, about `across` over its width.

    Its matrix of light still is that of the finer places: light it by `relit` before a picture.
    """
    numbers = np.full((2, *scene.sheet.shape), -1, dtype=np.int16)
    numbers[0] = scene.sheet
    start, column, sheet, _ = scene.edges
    row = np.repeat(np.arange(len(start) - 1), np.diff(start))
    numbers[1][row, column] = sheet
    lattice = lattice_over(scene.sheets, numbers, scene.view, across)
    materials = {s.material.name: s.material for s in scene.house.drawing.surfaces}
    albedo = np.array([_albedo(sheet, materials) for sheet in scene.sheets]).reshape(-1, 3)
    lamps = lamplight(scene.house, scene.hour, lattice, scene.relief, albedo)
    return replace(scene, lattice=lattice, lamplight=lamps)


def _albedo(sheet: Sheet, materials: Mapping[str, Any]) -> np.ndarray:
    return np.ones(3) if sheet is PHOTO else albedo_rgb(materials[sheet.material])


def lifted(scene: Scene, exposure_ev: float) -> Scene:
    """The scene with its night brightened until the house can be seen well at an exposure [EV].

    Light of the sky and the street alone is multiplied, each colour by a number of its own that
    makes the house as a whole neutral; light of pixels and lamps stays what it is. A working
    light, no hour of any day.
    """
    house = scene.sheet >= 0
    if not house.any():
        return scene
    night = scene.night[house]
    level = np.percentile(night, 80, axis=0)
    gain = LIFTED_TO / np.maximum(level * scale_of(exposure_ev), 1e-9)
    gain = np.maximum(gain, 1.0).astype(np.float32)
    up = scene.night * gain
    # beyond white the lift fades out: x stays x far below, and never passes 1 / ROLL_OFF there
    top = np.float32(1 / scale_of(exposure_ev))
    up = up / (1 + ROLL_OFF * np.maximum(up / top - 1, 0))
    return replace(scene, night=np.ascontiguousarray(np.maximum(up, scene.night)))
