"""The numbers under the picture: cd/m² and lux, at a place and for the neighbours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.polygon import inside
from sim.light.environmental_zones import environmental_zones
from sim.light.lattice import places_on
from sim.light.scene import Scene, luminance
from sim.light.transport import trace
from sim.light.view import WALL

#: Textures that are walls: what counts as façade.
FACADE = frozenset({"siding", "brick", "render", "stone", "timber", "trim", "door", "photo"})


@dataclass(frozen=True)
class Probe:
    """What is at one place of the drawing."""

    x_m: float
    y_m: float
    surface: str | None  # None: sky
    material: str | None
    illuminance_lx: float  # by the pixels, bounces included
    luminance_cd_m2: float  # as seen
    luminance_dark_cd_m2: float  # with every pixel dark


@dataclass(frozen=True)
class Facade:
    """Light of the façade by the installation alone."""

    area_m2: float
    mean_cd_m2: float  # what the walls reflect and the pixels send to the viewer
    reflected_cd_m2: float  # what the walls reflect


@dataclass(frozen=True)
class ZoneLimits:
    """The most one environmental zone allows, and whether it is kept; None: it sets no limit."""

    zone: str
    meaning: str
    window_before_curfew_lx: float | None
    window_after_curfew_lx: float | None
    facade_cd_m2: float
    window_before_curfew_ok: bool | None
    window_after_curfew_ok: bool | None
    facade_ok: bool
    source: str


@dataclass(frozen=True)
class Obtrusive:
    """What the neighbours get."""

    viewer_m: float
    window_lx: float  # on a window opposite, at the viewer's place, direct light only
    facade_mean_cd_m2: float
    facade_m2: float
    zones: tuple[ZoneLimits, ...]


def _direct_cd(scene: Scene, light: np.ndarray) -> np.ndarray:
    """(N,) intensity of each pixel towards the viewer [cd]."""
    return np.einsum("nc,ncr,r->n", light, scene.seen, LUMINANCE, optimize=True)


def illuminance_lx(
    scene: Scene, light: np.ndarray, place_m: np.ndarray, facing: np.ndarray | int = WALL
) -> np.ndarray:
    """(N, C) light, (P, 3) places -> (P,) illuminance by the pixels alone [lx].

    The same law and the same shadows as in the picture, at the very places instead of the lattice.
    """
    place = np.atleast_2d(place_m)
    faces = np.broadcast_to(facing, len(place))
    kinds = len(scene.sources.kinds)
    matrix = trace(scene.transport.tree, kinds, place, faces, 1e-3, scene.relief)
    return np.einsum("pkc,kc->p", matrix.illuminance(light), scene.flux_lm)


def _bounced_lx(scene: Scene, light: np.ndarray, at: tuple[int, int, int]) -> float:
    """What bounces add at the node of the lattice that is nearest: sheet, row, column [px]."""
    number, *px = at
    row, column = ((each + scene.lattice.step_px // 2) // scene.lattice.step_px for each in px)
    node = int(scene.lattice.node[number, row, column])
    if scene.bounce is None or node < 0:
        return 0.0
    direct = scene.transport.shine(light, scene.reflected, scene.lattice.sheet)
    lux = scene.bounce.illuminance(direct) @ LUMINANCE
    return float(scene.bounce.part[node] @ lux[scene.bounce.corner[node]])


def probe(scene: Scene, light: np.ndarray, xy_m: tuple[float, float]) -> Probe:
    """What is at a place of the drawing [m]: surface, illuminance by the pixels, luminance.

    Raises ValueError where the place is outside the picture.
    """
    width, height = scene.size_px
    column, row = np.floor(scene.view.to_px(np.array(xy_m))).astype(int)
    if not (0 <= column < width and 0 <= row < height):
        raise ValueError(f"{xy_m[0]:g}, {xy_m[1]:g} is outside the picture")
    x, y = xy_m
    named = [s for s in scene.house.drawing.surfaces if inside(s.outline_m, np.array([[x, y]]))[0]]
    number = int(scene.sheet[row, column])
    sheet = scene.sheets[number] if number >= 0 else None
    lux = 0.0
    if sheet is not None:
        at = (np.array([each]) for each in (number, x, y))
        node, facing = places_on(scene.sheets, scene.view, *at)
        lux = float(illuminance_lx(scene, light, node, facing)[0])
        lux += _bounced_lx(scene, light, (number, row, column))
    seen = luminance(scene, light)[row, column] @ LUMINANCE
    return Probe(
        x_m=float(x),
        y_m=float(y),
        surface=named[-1].name if named else None,
        material=sheet.material if sheet else None,
        illuminance_lx=lux,
        luminance_cd_m2=float(seen),
        luminance_dark_cd_m2=float(scene.night[row, column] @ LUMINANCE),
    )


def facade(scene: Scene, light: np.ndarray) -> Facade:
    """Mean luminance of the façade [cd/m²] by the installation alone, and the area it is over [m²].

    What the walls reflect and what the pixels themselves send to the viewer, without the veil in
    the viewer's eye and without the night's own light.
    """
    wall = [s.facing == WALL and s.texture in FACADE for s in scene.sheets]
    on = np.append(wall, False)[scene.sheet]
    area = float(np.count_nonzero(on)) * scene.view.pixel_m**2
    if area == 0:
        return Facade(0.0, 0.0, 0.0)
    dark = np.zeros_like(light)
    without_dots = luminance(scene, light, direct=False) - luminance(scene, dark, direct=False)
    reflected = float((without_dots[on] @ LUMINANCE).mean())
    direct = float(_direct_cd(scene, light).sum()) / area
    return Facade(area, reflected + direct, reflected)


def obtrusive(scene: Scene, light: np.ndarray) -> Obtrusive:
    """What the neighbours get, beside the zone values of CIE 150 and ILP GN01.

    `window_lx` is the vertical illuminance by the pixels' direct light on a window opposite, at
    the viewer's place; what walls and lawn reflect towards it is left out, as the limits do.
    """
    eye = np.array(scene.view.eye_m)
    towards = eye - scene.sources.place_m
    square = np.einsum("nk,nk->n", towards, towards)
    cosine = np.clip(towards[:, 2] / np.sqrt(square), 0, None)
    window = float((_direct_cd(scene, light) * cosine / square).sum())
    face = facade(scene, light)
    return Obtrusive(
        viewer_m=float(eye[2]),
        window_lx=window,
        facade_mean_cd_m2=face.mean_cd_m2,
        facade_m2=face.area_m2,
        zones=tuple(
            ZoneLimits(
                zone=zone.name,
                meaning=zone.meaning,
                window_before_curfew_lx=zone.window_before_lx,
                window_after_curfew_lx=zone.window_after_lx,
                facade_cd_m2=zone.facade_cd_m2,
                window_before_curfew_ok=within(window, zone.window_before_lx),
                window_after_curfew_ok=within(window, zone.window_after_lx),
                facade_ok=bool(within(face.mean_cd_m2, zone.facade_cd_m2)),
                source=zone.source,
            )
            for zone in environmental_zones()
        ),
    )


def within(value: float, limit: float | None) -> bool | None:
    """Whether a value keeps a limit, which it may reach; None where there is no limit."""
    return None if limit is None else value <= limit
