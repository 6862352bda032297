"""What the eye adds around a point of light.

Scattering in the eye lays a veil L = E · (10/θ³ + 5/θ²) cd/m² around a source that gives E lux at
the eye, θ in degrees from 0.1 to 100 (CIE 146:2002, simplified disability glare for young eyes,
from memory). The veil is fitted by a sum of Gaussians: the narrow ones are part of the dot drawn
for each pixel, the wide ones are spread on coarse grids, so that all dots cost little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import nnls
from scipy.sparse import csr_matrix

from sim.light.sources import Sources
from sim.light.view import View

SPRITE_PX = 21  # side of the dot drawn for each pixel, at a picture 1280 wide
PHASES = 4  # positions within a picture pixel, each way


def veil_cd_m2(theta_deg: np.ndarray) -> np.ndarray:
    """Veiling luminance per lux at the eye."""
    theta = np.maximum(theta_deg, 1e-3)
    return 10 / theta**3 + 5 / theta**2


@dataclass(frozen=True, eq=False)
class Glare:
    """Dots and veils ready for the N pixels of a house."""

    sprite: np.ndarray  # (spots, PHASES, PHASES, S, S) cd/m² per cd
    first_row: np.ndarray  # (N,) picture row of the sprite's top
    first_column: np.ndarray  # (N,)
    choice: np.ndarray  # (N, 3) spot, phase y, phase x
    order: np.ndarray  # (N,) by first row
    row_start: np.ndarray  # (H + 1,) into order: first dot whose top is at or below a row
    spread: tuple[tuple[csr_matrix, np.ndarray, np.ndarray], ...]  # scatter, rows, columns

    def veil(self, intensity_cd: np.ndarray) -> np.ndarray:
        """(N, 3) [cd] -> (rows, columns, 3) [cd/m²] on the light lattice."""
        total = None
        for scatter, down, across in self.spread:
            coarse = (scatter @ intensity_cd).reshape(down.shape[1], across.shape[1], 3)
            tall = np.tensordot(down, coarse, axes=(1, 0))
            part = np.tensordot(tall, across, axes=(1, 1)).transpose(0, 2, 1)
            total = part if total is None else total + part
        return np.ascontiguousarray(total, dtype=np.float32)


def glare_of(sources: Sources, view: View, lattice_shape: tuple[int, int], step_px: int) -> Glare:
    """Everything about glare that does not change while a scheme plays."""
    pixel, distance = view.pixel_m, view.eye_m[2]
    size = SPRITE_PX * max(1.0, view.size_px[0] / 1280)
    size_px = int(size) // 2 * 2 + 1
    narrow = pixel * size_px / SPRITE_PX * np.array([1.0, 2.0, 4.0])
    wide = step_px * pixel * np.array([1.2, 3.2, 9.0, 26.0])
    radius = np.geomspace(0.7 * narrow[0], 2.5 * wide[-1], 240)
    want = veil_cd_m2(np.degrees(radius / distance)) / distance**2
    sigma = np.concatenate([narrow, wide])
    shape = np.exp(-0.5 * (radius[:, None] / sigma) ** 2)
    strength, _ = nnls(shape / want[:, None], np.ones(len(radius)))
    at = view.to_px(sources.place_m[:, :2])
    spots, spot = np.unique(np.round(sources.spot_m, 4), return_inverse=True)
    sprite = np.zeros((len(spots), PHASES, PHASES, size_px, size_px), dtype=np.float32)
    for index, spot_m in enumerate(spots):
        sprite[index] = _sprites(spot_m, pixel, size_px, strength[:3], narrow)
    corner = at - 0.5 - size_px // 2
    whole = np.floor(corner + 0.5 / PHASES).astype(np.int64)
    phase = np.clip(np.floor((corner - whole) * PHASES + 0.5), 0, PHASES - 1).astype(np.int64)
    order = np.argsort(whole[:, 1], kind="stable")
    row_start = np.searchsorted(whole[order, 1], np.arange(view.size_px[1] + 1 + size_px) - size_px)
    choice = np.column_stack([spot, phase[:, 1], phase[:, 0]]).astype(np.int64)
    spread = tuple(
        _spread(at, lattice_shape, step_px, s / pixel, a)
        for s, a in zip(wide, strength[3:], strict=True)
        if a > 0
    )
    return Glare(sprite, whole[:, 1], whole[:, 0], choice, order, row_start, spread)


def _sprites(
    spot_m: float, pixel_m: float, size_px: int, strength: np.ndarray, sigma_m: np.ndarray
) -> np.ndarray:
    """(PHASES, PHASES, S, S): the lit patch as large as it is, and the veil close around it."""
    out = np.zeros((PHASES, PHASES, size_px, size_px), dtype=np.float32)
    steps = np.arange(size_px) - size_px // 2
    core_m = np.hypot(spot_m / 4, 0.42 * pixel_m)  # a patch of that size on pixels of that size
    for i in range(PHASES):
        for j in range(PHASES):
            y = (steps - i / PHASES)[:, None] * pixel_m
            x = (steps - j / PHASES)[None, :] * pixel_m
            square = x * x + y * y
            core = np.exp(-0.5 * square / core_m**2)
            out[i, j] = core / (core.sum() * pixel_m**2)
            for a, s in zip(strength, sigma_m, strict=True):
                out[i, j] += a * np.exp(-0.5 * square / s**2)
    edge = np.hypot(*np.meshgrid(steps, steps)) / (size_px / 2)
    return out * np.clip((1 - edge) / 0.25, 0, 1).astype(np.float32)


def _spread(
    at_px: np.ndarray, shape: tuple[int, int], step_px: int, sigma_px: float, strength: float
) -> tuple[csr_matrix, np.ndarray, np.ndarray]:
    """Scatter to a grid about as coarse as the Gaussian is wide, and the way back out."""
    coarse = max(1, int(sigma_px / step_px / 1.1))
    rows, columns = -(-shape[0] // coarse) + 2, -(-shape[1] // coarse) + 2
    pitch = coarse * step_px
    place = np.clip(at_px / pitch, 0, (columns - 1.001, rows - 1.001))
    cell = np.floor(place).astype(int)
    part = place - cell
    number = np.arange(len(at_px))
    entries, slots = [], []
    for dy in (0, 1):
        for dx in (0, 1):
            share = np.abs(1 - dx - part[:, 0]) * np.abs(1 - dy - part[:, 1])
            entries.append(share)
            slots.append((cell[:, 1] + dy) * columns + cell[:, 0] + dx)
    scatter = csr_matrix(
        (np.concatenate(entries), (np.concatenate(slots), np.tile(number, 4))),
        shape=(rows * columns, len(at_px)),
        dtype=np.float32,
    )
    down = np.exp(
        -0.5
        * ((np.arange(shape[0])[:, None] * step_px - np.arange(rows)[None, :] * pitch) / sigma_px)
        ** 2
    )
    across = np.exp(
        -0.5
        * (
            (np.arange(shape[1])[:, None] * step_px - np.arange(columns)[None, :] * pitch)
            / sigma_px
        )
        ** 2
    )
    return scatter, (strength * down).astype(np.float32), across.astype(np.float32)
