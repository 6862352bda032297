"""The view from the street as cells of solid angle, for what is judged by area and not by eye.

A cell is one step of the light's lattice, half a degree wide or less from where the viewer stands:
what shows there of walls and ground, and the pixels in it. Its light is linear in that of the
pixels, so many frames are one sparse product. Glare, the night's own light and what bounces add, a
few hundredths of the direct light, are left out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from effects.colour_spaces import LUMINANCE
from sim.light.scene import Scene
from sim.light.sources import Tree

#: Cells whose full white is dimmer than this share of the brightest are measured against that
#: share; those that could then never change by a tenth are left out. [common practice, no source;
#: ITU-R BT.1702-3 (2nd hand) counts no difference below 20 cd/m² at all]
FAINT = 0.05
_VISIBLE = 0.1
_LUMINANCE = LUMINANCE.astype(np.float32)
_FRAMES_AT_ONCE = 64


@dataclass(frozen=True, eq=False)
class Cells:
    """C cells of a scene with N pixels of K kinds."""

    solid_angle_sr: np.ndarray  # (C,)
    at_deg: np.ndarray  # (C, 2) right and up of straight ahead
    xy_m: np.ndarray  # (C, 2) house coordinates
    white_cd_m2: np.ndarray  # (C,) what counts as 1: every channel of every pixel full, or FAINT
    tree: Tree
    walls: Any  # (C·K, M) sparse: lx per lm of the tree's members
    colour: np.ndarray  # (C, K, channels, 3) linear sRGB after reflection [1/sr]
    pixels: Any  # (C, N) sparse: 1 / area of the cell [1/m²]
    seen: np.ndarray  # (N, channels, 3) towards the viewer [cd]

    def rgb(self, light: np.ndarray) -> np.ndarray:
        """(T, N, channels) duty × dim -> (T, C, 3) float32 linear sRGB.

        1 is the cell's `white_cd_m2`.
        """
        out = np.empty((len(light), len(self.white_cd_m2), 3), np.float32)
        for first in range(0, len(light), _FRAMES_AT_ONCE):
            frames = slice(first, first + _FRAMES_AT_ONCE)
            out[frames] = self.cd_m2(light[frames]) / self.white_cd_m2[:, None]
        return out

    def cd_m2(self, light: np.ndarray) -> np.ndarray:
        """(T, N, channels) duty × dim -> (T, C, 3) linear sRGB [cd/m²]."""
        frames, count, wide = light.shape
        by_pixel = np.ascontiguousarray(light.transpose(1, 0, 2), np.float32)
        members = self.tree.gather(by_pixel.reshape(count, frames * wide))
        lux = (self.walls @ members).reshape(*self.colour.shape[:2], frames, wide)
        walls = np.einsum("cktn,cknr->tcr", lux, self.colour, optimize=True)
        candela = (by_pixel @ self.seen).reshape(count, frames * 3)
        return walls + (self.pixels @ candela).reshape(len(self.colour), frames, 3).transpose(
            1, 0, 2
        )

    def only(self, which: np.ndarray) -> Cells:
        """The cells `which` (indices), otherwise unchanged."""
        kinds = self.colour.shape[1]
        rows = (np.asarray(which)[:, None] * kinds + np.arange(kinds)).ravel()
        return replace(
            self,
            solid_angle_sr=self.solid_angle_sr[which],
            at_deg=self.at_deg[which],
            xy_m=self.xy_m[which],
            white_cd_m2=self.white_cd_m2[which],
            walls=self.walls[rows],
            colour=self.colour[which],
            pixels=self.pixels[which],
        )


def cells_of(scene: Scene) -> Cells:
    """The cells of a scene that its pixels light."""
    from scipy.sparse import csr_array

    step, view = scene.lattice.step_px, scene.view
    sheet = scene.sheet[step // 2 :: step, step // 2 :: step].astype(np.int64)
    across, cells = sheet.shape[1], sheet.size
    row, column = np.indices(sheet.shape).reshape(2, -1)
    xy_m = view.to_m((np.column_stack([column, row]) + 0.5) * float(step))
    cell_m = step * view.pixel_m
    kinds, count = scene.transport.kinds, len(scene.seen)

    shown = np.flatnonzero(sheet.ravel() >= 0)  # the sky reflects nothing
    node = scene.lattice.node[sheet.ravel()[shown], row[shown], column[shown]]
    each = np.arange(kinds)
    places = csr_array(
        (
            np.ones(len(shown) * kinds, np.float32),
            ((shown[:, None] * kinds + each).ravel(), (node[:, None] * kinds + each).ravel()),
        ),
        shape=(cells * kinds, len(scene.lattice.sheet) * kinds),
    )
    lux = csr_array(
        (scene.transport.weight, scene.transport.column, scene.transport.start),
        shape=(places.shape[1], len(scene.transport.tree.power)),
    )
    colour = np.zeros((cells, kinds, *scene.reflected.shape[2:]), np.float32)
    colour[shown] = scene.reflected[:, scene.lattice.sheet[node]].transpose(1, 0, 2, 3)

    at = np.floor(view.to_px(scene.sources.place_m[:, :2]) / step).astype(np.int64)
    inside = ((at >= 0) & (at < sheet.shape[::-1])).all(axis=1)
    pixels = csr_array(
        (
            np.full(np.count_nonzero(inside), 1 / cell_m**2, np.float32),
            (at[inside, 1] * across + at[inside, 0], np.flatnonzero(inside)),
        ),
        shape=(cells, count),
    )

    solid_angle_sr, at_deg = directions(xy_m, cell_m, view.eye_m)
    seen = Cells(
        solid_angle_sr=solid_angle_sr,
        at_deg=at_deg,
        xy_m=xy_m,
        white_cd_m2=np.ones(cells),
        tree=scene.transport.tree,
        walls=places @ lux,
        colour=colour,
        pixels=pixels,
        seen=scene.seen,
    )
    white = seen.cd_m2(np.ones((1, *scene.seen.shape[:2]), np.float32))[0] @ _LUMINANCE
    scale = np.maximum(white, FAINT * white.max(initial=1e-9)).astype(np.float32)
    return replace(seen, white_cd_m2=scale).only(np.flatnonzero(white >= _VISIBLE * scale))


def directions(
    xy_m: np.ndarray, cell_m: float, eye_m: tuple[float, float, float]
) -> tuple[np.ndarray, np.ndarray]:
    """Places (C, 2) of square cells in the plane z = 0 -> (C,) [sr], (C, 2) right and up [deg].

    A small area A at distance d, turned by θ from the line of sight, fills A·cos θ / d².
    """
    x, y, z = (np.column_stack([xy_m, np.zeros(len(xy_m))]) - eye_m).T
    distance_m = np.sqrt(x * x + y * y + z * z)
    across = np.arctan2(x, -z)
    up = np.arctan2(y, np.hypot(x, z))
    return cell_m**2 * -z / distance_m**3, np.degrees(np.column_stack([across, up]))
