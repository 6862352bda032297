"""What the eye adds around a point of light.

Scattering in the eye lays a veil L = E · (10/θ³ + 5/θ²) cd/m² around a source that gives E lux at
the eye, θ in degrees from 0.1 to 100 (CIE 146:2002, simplified disability glare for young eyes,
from memory). The veil is fitted by a sum of Gaussians: the narrow ones are part of the dot drawn
for each pixel, the wide ones are spread on coarse grids, so that all dots cost little.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sim.kernels import njit
from sim.light.sources import Sources
from sim.light.view import View

SPRITE_PX = 21  # side of the dot drawn for each pixel, at a picture 1280 wide
PHASES = 4  # positions within a picture pixel, each way
_LEAST = 1e-4  # of a Gaussian's middle: less is nothing
_FALLS = float(np.sqrt(-2 * np.log(_LEAST)))  # widths after which no more than that is left
_at = np.uint64  # of a place known not to be negative: numba then looks for no places from behind


def veil_cd_m2(theta_deg: np.ndarray) -> np.ndarray:
    """Veiling luminance per lux at the eye."""
    theta = np.maximum(theta_deg, 1e-3)
    return 10 / theta**3 + 5 / theta**2


@dataclass(frozen=True, eq=False)
class Spread:
    """One wide Gaussian: from a grid about as coarse as it is wide to the grid of the veil."""

    cell: np.ndarray  # (N, 2) row and column of the coarse grid
    part: np.ndarray  # (N, 2) float32 0..1, place within that cell
    down: np.ndarray  # (rows of the veil, coarse rows) float32
    across: np.ndarray  # (columns of the veil, coarse columns) float32


@dataclass(frozen=True, eq=False)
class Glare:
    """Dots and veils ready for the N pixels of a house."""

    sprite: np.ndarray  # (spots, PHASES, PHASES, S, S) cd/m² per cd
    first_row: np.ndarray  # (N,) picture row of the sprite's top
    first_column: np.ndarray  # (N,)
    choice: np.ndarray  # (N, 3) spot, phase y, phase x
    order: np.ndarray  # (N,) by first row
    row_start: np.ndarray  # into order, per picture row
    step_px: int  # between the nodes of the veil
    spread: tuple[Spread, ...]
    shape: tuple[int, int]  # of the veil, in nodes
    width_px: int  # of the picture

    def veil(self, intensity_cd: np.ndarray) -> np.ndarray:
        """(N, 3) [cd] -> (rows of the veil, 3, width of the picture) float32 [cd/m²]."""
        total = np.zeros((self.shape[0], 3, self.shape[1]), dtype=np.float32)
        for wide in self.spread:
            _lay(total, intensity_cd, wide.cell, wide.part, wide.down, wide.across)
        out = np.empty((self.shape[0], 3, self.width_px), dtype=np.float32)
        _widen(total, self.step_px, out)
        return out


def glare_of(sources: Sources, view: View) -> Glare:
    """Everything about glare that does not change while a scheme plays."""
    pixel, distance = view.pixel_m, view.eye_m[2]
    width, height = view.size_px
    larger = max(1.0, width / 1280)
    size_px = int(SPRITE_PX * larger) // 2 * 2 + 1
    step_px = max(4, round(8 * larger))
    shape = (-(-height // step_px) + 1, -(-width // step_px) + 1)
    narrow = pixel * larger * np.array([1.0, 2.0, 4.0])
    wide = step_px * pixel * np.array([1.0, 2.0, 4.5, 10.0, 26.0])
    strength = _strengths(tuple(narrow.tolist()), tuple(wide.tolist()), distance)
    at = view.to_px(sources.place_m[:, :2])
    spots, spot = np.unique(np.round(sources.spot_m, 4), return_inverse=True)
    sprite = np.zeros((len(spots), PHASES, PHASES, size_px, size_px), dtype=np.float32)
    for index, spot_m in enumerate(spots):
        sprite[index] = _sprites(spot_m, pixel, size_px, strength[:3], narrow)
    corner = at - 0.5 - size_px // 2
    whole = np.floor(corner + 0.5 / PHASES).astype(np.int64)
    phase = np.clip(np.floor((corner - whole) * PHASES + 0.5), 0, PHASES - 1).astype(np.int64)
    order = np.argsort(whole[:, 1], kind="stable")
    row_start = np.searchsorted(whole[order, 1], np.arange(height + 1 + size_px) - size_px)
    choice = np.column_stack([spot, phase[:, 1], phase[:, 0]]).astype(np.int64)
    spread = tuple(
        _spread(at, shape, step_px, s / pixel, a)
        for s, a in zip(wide, strength[3:], strict=True)
        if a > 0
    )
    return Glare(
        sprite=sprite,
        first_row=whole[:, 1],
        first_column=whole[:, 0],
        choice=choice,
        order=order,
        row_start=row_start,
        step_px=step_px,
        spread=spread,
        shape=shape,
        width_px=width,
    )


@lru_cache(maxsize=16)
def _strengths(narrow: tuple[float, ...], wide: tuple[float, ...], distance: float) -> np.ndarray:
    """How strong each Gaussian of these widths [m] is, seen from a distance [m]; one view, once."""
    radius = np.geomspace(0.7 * narrow[0], 2.5 * wide[-1], 240)
    want = veil_cd_m2(np.degrees(radius / distance)) / distance**2
    sigma = np.array([*narrow, *wide])
    return _fitted(np.exp(-0.5 * (radius[:, None] / sigma) ** 2) / want[:, None])


def _fitted(shares: np.ndarray) -> np.ndarray:
    """The amounts, none negative, whose weighted sum of columns comes closest to 1 everywhere.

    Multiplicative updates of least squares (Lee and Seung 2001, from memory).
    """
    square, right = shares.T @ shares, shares.sum(axis=0)
    amounts = right / square.sum(axis=1)
    for _ in range(3000):
        amounts = amounts * right / (square @ amounts)
    return amounts


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
) -> Spread:
    coarse = max(1, int(sigma_px / step_px / 1.1))
    pitch = coarse * step_px
    # Pixels beyond the picture's edge send their veil into it from where they are; the coarse grid
    # goes on around the picture until nothing is left of it, and what is farther lies on its rim.
    around = int(np.ceil(_FALLS * sigma_px / pitch)) + 1
    size = tuple(-(-count // coarse) + 2 + 2 * around for count in shape)
    place = np.clip(at_px[:, ::-1] / pitch + around, 0, np.array(size) - 1.001)
    cell = np.floor(place).astype(np.int64)
    weights = []
    for nodes, cells in zip(shape, size, strict=True):
        at_cell = (np.arange(cells) - around) * pitch
        offset = np.arange(nodes)[:, None] * step_px - at_cell[None, :]
        fall = np.exp(-0.5 * (offset / sigma_px) ** 2)
        weights.append(np.where(fall < _LEAST, 0, fall).astype(np.float32))
    down, across = weights
    return Spread(cell, (place - cell).astype(np.float32), down * np.float32(strength), across)


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _lay(
    total: np.ndarray,
    intensity: np.ndarray,
    cell: np.ndarray,
    part: np.ndarray,
    down: np.ndarray,
    across: np.ndarray,
) -> None:
    """Add one Gaussian of every source to the veil: onto the coarse grid, out axis by axis."""
    rows, columns = down.shape[1], across.shape[1]
    field = np.empty((rows, 3, columns), dtype=np.float32)
    field[:] = 0
    one = np.float32(1)
    for n in range(len(cell)):
        i, j = cell[n, 0], cell[n, 1]
        u, v = part[n, 0], part[n, 1]
        for c in range(3):
            light = intensity[n, c]
            field[i, c, j] += (one - u) * (one - v) * light
            field[i, c, j + 1] += (one - u) * v * light
            field[i + 1, c, j] += u * (one - v) * light
            field[i + 1, c, j + 1] += u * v * light
    bands = np.empty((across.shape[0], 2), dtype=np.int64)  # where each column's weights are
    for k in range(across.shape[0]):
        first = 0
        while first < columns and across[k, first] == 0:
            first += 1
        last = columns
        while last > first and across[k, last - 1] == 0:
            last -= 1
        bands[k, 0], bands[k, 1] = first, last
    line = np.empty((3, columns), dtype=np.float32)
    flat = line.reshape(-1)
    for row in range(down.shape[0]):
        flat[:] = 0
        for i in range(rows):
            w = down[row, i]
            if w > 0:
                lit = field[i].reshape(-1)
                for j in range(3 * columns):
                    flat[j] += w * lit[j]
        for c in range(3):
            onto, light = total[row, c], line[c]
            for k in range(across.shape[0]):
                weights, much = across[k], np.float32(0)
                for j in range(_at(bands[k, 0]), _at(bands[k, 1])):
                    much += weights[j] * light[j]
                onto[k] += much


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _widen(coarse: np.ndarray, step: int, out: np.ndarray) -> None:
    """Straight between the nodes of every row, at the middle of every picture pixel."""
    width = out.shape[2]
    for row in range(out.shape[0]):
        for c in range(3):
            nodes, onto = coarse[row, c], out[row, c]
            for j in range(-(-width // step)):
                here, rise = nodes[j], (nodes[j + 1] - nodes[j]) / np.float32(step)
                at = np.float32(0.5)
                for x in range(_at(j * step), _at(min((j + 1) * step, width))):
                    onto[x] = here + rise * at
                    at += np.float32(1)
