"""A drawn house made ready to be lit, and the pictures of it.

Light is followed from each pixel to the first thing it falls on, from there to the eye and, twice
more, to what else it falls on (`bounce`); wet paths mirror what is bright before them. Mirror
images in glass are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.records import Drawing, House
from sim.light.albedo import albedo_rgb
from sim.light.ambient import ambient_cd_m2, lamplight
from sim.light.bounce import Bounce, bounce_of, bounced
from sim.light.canvas import PHOTO, Canvas, Sheet, paint
from sim.light.compose import apart, display, display_bytes, planes, radiance, stretches
from sim.light.cover import covered, soaked
from sim.light.detail import Detail, detail_of, refine
from sim.light.finite import finite
from sim.light.glare import Glare, glare_of
from sim.light.lattice import NODES_ACROSS, Lattice, lattice_of
from sim.light.mirror import WetGround, mirror_of, reflect
from sim.light.night import HOURS, USUAL_HOUR, Hour
from sim.light.relief import Relief, relief_of
from sim.light.share import share
from sim.light.sky import sky_cd_m2
from sim.light.sources import Sources, sources_of, tree_of
from sim.light.tone import code_table, dither_tile, ev_of, scale_of
from sim.light.transport import Transport, trace
from sim.light.view import WALL, View, view_of

LIT_CD_M2 = 0.05  # walls darker than this do not count for the exposure
LIGHT_TONE = 0.42  # of the luminance of brightly lit walls is shown as middle grey


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything about a house, a size and an hour that does not change from frame to frame."""

    house: House
    hour: Hour
    view: View
    sources: Sources
    lattice: Lattice
    relief: Relief
    transport: Transport
    flux_lm: np.ndarray  # (kinds, C) luminous flux per channel
    glare: Glare
    sheets: tuple[Sheet, ...]  # in the order of their numbers
    seen: np.ndarray  # (N, C, 3) linear sRGB [cd] towards the viewer, per channel
    mirrored: np.ndarray  # (N, C, 3) the same towards the viewer's mirror image in the ground
    reflected: np.ndarray  # (kinds, sheets, C, 3) the same after one reflection
    bounce: Bounce | None  # of light thrown on; None where none is
    lamplight: np.ndarray  # (P, 3) [cd/m²], thrown on too
    night: np.ndarray  # (H, W, 3) [cd/m²] with every pixel dark
    sheet: np.ndarray  # (H, W) int16
    stretches: tuple[np.ndarray, np.ndarray]  # the same, as `compose` takes it
    tint: np.ndarray  # (H, W, 3) share × shade of that sheet
    detail: Detail  # picture pixels that need light finer than the lattice
    mirror: WetGround | None  # of wet ground
    edges: tuple  # row starts, columns, sheets, tints of the other sheet on edge pixels
    exposure_ev: float

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the picture."""
        return self.view.size_px


def build(
    house: House,
    size_px: tuple[int, int] = (1280, 720),
    *,
    emitted: Mapping[Any, np.ndarray],
    reflected: Mapping[tuple[Any, str], np.ndarray],
    hour: str = USUAL_HOUR,
    across: int = NODES_ACROSS,
) -> Scene:
    """Paint the house, trace its light, choose an exposure.

    emitted : kind -> (C, 3) linear sRGB per channel at full duty [lm]
    reflected : (kind, material name) -> (C, 3), the same after one reflection [lm]
    across : at how many places over the width light is computed
    Raises KeyError for an hour that is not in `HOURS` or a pair that `reflected` lacks, ValueError
    where one of the numbers is not finite.
    """
    when = HOURS[hour]
    view = view_of(house.drawing, size_px)
    drawing = covered(house.drawing)
    canvas, film = soaked(paint(drawing, view, when), house.drawing, view)
    albedo = albedo_of(canvas.sheets, drawing)
    lattice = lattice_of(canvas, view, across)
    relief = relief_of(house.drawing, view)
    night = ambient_cd_m2(canvas, view, when, sky_cd_m2(view, when), albedo)
    night += canvas.glow * np.float32(when.window_cd_m2)
    sheet = np.ascontiguousarray(canvas.sheet[0])
    tint = canvas.share[0][..., None] * canvas.shade[0]
    times = house.drawing.bounces
    bounce = bounce_of(lattice, canvas.sheets, view, relief, albedo, sheet, tint, times)
    scene = Scene(
        house=house,
        hour=when,
        view=view,
        lattice=lattice,
        relief=relief,
        sheets=canvas.sheets,
        **lights_of(house, view, lattice, relief, canvas.sheets, sheet, emitted, reflected),
        bounce=bounce,
        lamplight=bounced(bounce, lamplight(house, when, lattice, relief, albedo)),
        night=apart(finite("the night without pixels", night)),
        sheet=sheet,
        stretches=stretches(sheet),
        tint=apart(tint),
        mirror=mirror_of(film, view, lattice, sheet, tint, night) if film is not None else None,
        edges=_edges(canvas),
        exposure_ev=0.0,
    )
    return replace(scene, exposure_ev=_exposure(scene))


def albedo_of(sheets: tuple[Sheet, ...], drawing: Drawing) -> np.ndarray:
    """(S, 3) albedo of every sheet; what a photograph shows carries its own, on top of white."""
    materials = {s.material.name: s.material for s in drawing.surfaces}
    return np.array(
        [
            np.ones(3) if s.texture == PHOTO.texture else albedo_rgb(materials[s.material])
            for s in sheets
        ]
    ).reshape(-1, 3)


def lights_of(
    house: House,
    view: View,
    lattice: Lattice,
    relief: Relief,
    sheets: tuple[Sheet, ...],
    numbers: np.ndarray,
    emitted: Mapping[Any, np.ndarray],
    reflected: Mapping[tuple[Any, str], np.ndarray],
) -> dict[str, Any]:
    """What of a scene follows from the pixels of a house, by the names of its fields.

    numbers : (H, W) of the sheets that show in the picture
    """
    sources = sources_of(house, view.eye_m)
    tree = tree_of(sources)
    matrix = trace(
        tree,
        len(sources.kinds),
        lattice.place_m,
        lattice.facing,
        lattice.cell_m,
        relief,
        lattice.stretch,
    )
    back = np.array(
        [
            [
                emitted[kind] if s.texture == PHOTO.texture else reflected[kind, s.material]
                for s in sheets
            ]
            for kind in sources.kinds
        ]
    ).reshape(len(sources.kinds), len(sheets), len(house.channels), 3)
    made = np.array([emitted[kind] for kind in sources.kinds]).reshape(-1, len(house.channels), 3)
    finite("what a kind emits", made)
    finite("what a kind's light is after one reflection", back)
    seen = made[sources.kind] * sources.seen_per_sr[:, None, None]
    mirrored = made[sources.kind] * sources.mirrored_per_sr[:, None, None]
    back = (back / np.pi).astype(np.float32)
    detail = detail_of(
        sources, tree, _pitch_m(house), view, lattice, relief, numbers, sheets, matrix, back
    )
    return {
        "detail": detail,
        "mirrored": mirrored.astype(np.float32),
        "sources": sources,
        "transport": matrix,
        "flux_lm": made @ LUMINANCE,
        "glare": glare_of(sources, view),
        "seen": seen.astype(np.float32),
        "reflected": back,
    }


def _pitch_m(house: House) -> np.ndarray:
    """(N,) from pixel to pixel of each one's run [m]."""
    return np.array([run.pitch_m for run in house.runs] or [0.0])[house.pixels.run]


def _edges(canvas: Canvas) -> tuple[np.ndarray, ...]:
    """The other sheet of every edge pixel, row by row."""
    rows, columns = np.nonzero((canvas.sheet[1] >= 0) & (canvas.share[1] > 0))
    start = np.searchsorted(rows, np.arange(canvas.front_m.shape[0] + 1))
    sheet = canvas.sheet[1][rows, columns].astype(np.int64)
    tint = canvas.share[1][rows, columns][:, None] * canvas.shade[1][rows, columns]
    return start, np.ascontiguousarray(columns), sheet, np.ascontiguousarray(tint)


def _exposure(scene: Scene) -> float:
    """Start value: with every channel at 0.3, the brighter parts of the lit walls come out light.

    A house with next to nothing lit is exposed for walls of 1 cd/m².
    """
    light = np.full(scene.seen.shape[:2], 0.3, dtype=np.float32)
    walls = node_radiance(scene, light)[scene.lattice.facing == WALL] @ LUMINANCE
    lit = walls[walls > LIT_CD_M2]
    bright = float(np.percentile(lit, 80)) if len(lit) > 20 else 1.0
    return ev_of(LIGHT_TONE * max(bright, 0.4))


def node_radiance(scene: Scene, light: np.ndarray) -> np.ndarray:
    """(N, C) duty × dim -> (P, 3) radiance [cd/m²] of a plain surface at each lattice node."""
    return _node_light(scene, light)[0]


def _node_light(scene: Scene, light: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(P, 3) radiance of the nodes, and how much of it is the direct light of pixels."""
    pixels = scene.transport.shine(light, scene.reflected, scene.lattice.sheet)
    lit = pixels + scene.lamplight
    if scene.bounce is not None:
        scene.bounce.add(pixels, lit)
    return lit, pixels


def _arguments(scene: Scene, light: np.ndarray, direct: bool = True) -> tuple:
    """What the compose kernels take, for one frame."""
    given = finite("light", np.ascontiguousarray(light, dtype=np.float32))
    candela = np.einsum("nc,ncr->nr", given, scene.seen)
    if not direct:
        candela = np.zeros_like(candela)
    glare = scene.glare
    lit, pixels = _node_light(scene, given)
    return (
        planes(_base(scene, given, lit, pixels, direct)),
        *scene.stretches,
        planes(scene.tint),
        scene.lattice.node,
        scene.lattice.step_px,
        lit,
        *scene.edges,
        glare.sprite,
        glare.first_row,
        glare.first_column,
        glare.choice,
        glare.order,
        glare.row_start,
        candela,
        glare.veil(candela),
        glare.step_px,
    )


def _base(
    scene: Scene, light: np.ndarray, lit: np.ndarray, pixels: np.ndarray, direct: bool
) -> np.ndarray:
    """(H, W, 3) [cd/m²] what the frame is laid over: the night, and what is no part of the lattice.

    lit, pixels : (P, 3) of the lattice nodes, all of it and the direct light of pixels. A house of
    dense runs on dry ground has its night as it is.
    """
    if scene.mirror is None and not len(scene.detail):
        return scene.night
    base = scene.night.copy(order="K")  # it lies in memory as the kernels take it
    refine(scene.detail, light, scene.reflected, scene.lattice, pixels, scene.tint, base)
    if scene.mirror is not None:
        candela = np.einsum("nc,ncr->nr", light, scene.mirrored) if direct else None
        reflect(scene.mirror, lit, candela, scene.sources.place_m, scene.view, base)
    return base


_CODES = code_table()
_DITHER = dither_tile()


def picture(scene: Scene, light: np.ndarray, *, exposure_ev: float | None = None) -> np.ndarray:
    """(N, C) light = duty × dim -> (H, W, 3) uint8 sRGB; the scene's exposure unless given.

    Raises ValueError for light or an exposure that is not finite.
    """
    width, height = scene.size_px
    return _displayed(
        display_bytes, np.empty((height, width, 3), np.uint8), scene, light, exposure_ev
    )


def screen_picture(
    scene: Scene, light: np.ndarray, *, exposure_ev: float | None = None
) -> np.ndarray:
    """The same picture, seen through what a screen takes: one word 0xffRRGGBB a pixel."""
    width, height = scene.size_px
    out = _displayed(display, np.empty((height, width), "<u4"), scene, light, exposure_ev)
    return out.view(np.uint8).reshape(height, width, 4)[..., 2::-1]


def _displayed(
    kernel: Callable[..., None],
    out: np.ndarray,
    scene: Scene,
    light: np.ndarray,
    exposure_ev: float | None,
) -> np.ndarray:
    """`out`, filled by one of the kernels that encode."""
    ev = scene.exposure_ev if exposure_ev is None else exposure_ev
    finite("exposure", np.array(ev))
    share(kernel, out, _arguments(scene, light), scale_of(ev), _CODES, _DITHER)
    return out


def luminance(scene: Scene, light: np.ndarray, *, direct: bool = True) -> np.ndarray:
    """(N, C) light -> (H, W, 3) float32 linear sRGB whose luminance is in cd/m²; not clipped.

    Without `direct` the pixels themselves and the veil they lay over the eye are left out.
    """
    width, height = scene.size_px
    out = np.empty((height, 3, width), dtype=np.float32)
    share(radiance, out, _arguments(scene, light, direct))
    return np.ascontiguousarray(np.swapaxes(out, 1, 2))


def to_px(scene: Scene, xy_m: np.ndarray) -> np.ndarray:
    """(..., 2) house coordinates [m] -> (..., 2) picture coordinates [px], y downwards."""
    return scene.view.to_px(xy_m)


def to_m(scene: Scene, xy_px: np.ndarray) -> np.ndarray:
    """(..., 2) picture coordinates [px] -> (..., 2) house coordinates [m]."""
    return scene.view.to_m(xy_px)
