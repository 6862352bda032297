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

from layouts.records import House
from sim.light.ambient import lamplight
from sim.light.bounce import bounce_of, bounced
from sim.light.cover import covered
from sim.light.lattice import Lattice, lattice_over
from sim.light.mirror import WetGround, mirror_of
from sim.light.scene import Scene, albedo_of, lights_of
from sim.light.tone import scale_of

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
    lights = lights_of(
        house,
        scene.view,
        scene.lattice,
        scene.relief,
        scene.sheets,
        scene.sheet,
        emitted,
        reflected,
    )
    return replace(scene, house=house, **lights)


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
    albedo = albedo_of(scene.sheets, covered(scene.house.drawing))
    times = scene.house.drawing.bounces
    bounce = bounce_of(
        lattice, scene.sheets, scene.view, scene.relief, albedo, scene.sheet, scene.tint, times
    )
    lamps = lamplight(scene.house, scene.hour, lattice, scene.relief, albedo)
    mirror = _mirror(scene, lattice, scene.night)
    return replace(
        scene, lattice=lattice, bounce=bounce, lamplight=bounced(bounce, lamps), mirror=mirror
    )


def _mirror(scene: Scene, lattice: Lattice, night: np.ndarray) -> WetGround | None:
    """The mirror of the same wet ground over another lattice, of whose nodes it takes its light."""
    if scene.mirror is None:
        return None
    film = np.zeros(scene.sheet.shape, dtype=np.float32)
    first = scene.mirror.first_row
    film[first : first + len(scene.mirror.film)] = scene.mirror.film
    return mirror_of(film, scene.view, lattice, scene.sheet, scene.tint, night)


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
    night = np.maximum(up, scene.night)  # lies in memory as the scene's own night
    return replace(scene, night=night, mirror=_mirror(scene, scene.lattice, night))
