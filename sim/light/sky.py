"""The sky behind the house: gradient, afterglow, thin cloud, stars."""

from __future__ import annotations

import numpy as np

from sim.kernels import njit
from sim.light.materials.noise import clouds, hash01
from sim.light.night import Hour
from sim.light.share import share
from sim.light.view import View

STARS = 420
_SEED = 20  # one sky for every house: it is the same evening


def _west(across_deg: np.ndarray) -> np.ndarray:
    """Where along the horizon the sun went down: behind the house, to the right."""
    return np.exp(-(((across_deg - 24) / 34) ** 2))


def _colours(hour: Hour) -> np.ndarray:
    """(3, 3) float32 zenith, horizon and afterglow as linear sRGB [cd/m²]."""
    colours = np.array([hour.zenith_colour, hour.horizon_colour, hour.glow_colour], np.float32)
    strengths = np.array([hour.zenith_cd_m2, hour.horizon_cd_m2, hour.glow_cd_m2], np.float32)
    return colours * strengths[:, None]


def clear_cd_m2(hour: Hour, up_deg: np.ndarray, across_deg: np.ndarray) -> np.ndarray:
    """(..., 3) cloudless sky at heights above the horizon and directions right of straight on.

    Linear sRGB whose luminance is in cd/m².
    """
    zenith, horizon, glow = _colours(hour)
    low = np.exp(-1.15 * up_deg / 11.0)[..., None]
    after = np.exp(-((up_deg / 5.5) ** 1.3)) * (0.3 + 0.7 * _west(across_deg))
    return zenith + low * (horizon - zenith) + after[..., None] * glow


def sky_lx(hour: Hour, *, wall: bool = True) -> np.ndarray:
    """(3,) linear sRGB whose luminance is the illuminance by the whole sky [lx].

    On an open upright wall that faces the viewer, and so away from the sky that is drawn; without
    `wall`, on open level ground. E = ∫ L·cos over the half space, by midpoints of one degree.
    """
    up = np.radians(np.arange(90) + 0.5)[:, None]
    across = np.radians(np.arange(-180, 180) + 0.5)[None, :]
    sky = clear_cd_m2(hour, *np.broadcast_arrays(np.degrees(up), np.degrees(across)))
    cosine = np.cos(up) * np.clip(-np.cos(across), 0, None) if wall else np.sin(up)
    return np.einsum("ua,uac->c", cosine * np.cos(up), sky) * np.radians(1.0) ** 2


def sky_cd_m2(view: View, hour: Hour) -> np.ndarray:
    """(H, W, 3) linear sRGB whose luminance is in cd/m²."""
    width, height = view.size_px
    x_px, y_px = np.arange(width) + 0.5, np.arange(height) + 0.5
    x, y = (
        view.to_m(np.stack(np.broadcast_arrays(x_px[:, None], 0.0), -1))[:, 0, 0],
        (view.top_m - y_px * view.pixel_m),
    )
    eye_x, eye_y, eye_z = view.eye_m
    # the sky is far away: its height above the horizon, stretched as a wide lens shows it
    up = np.clip(np.degrees(np.arctan2(y - eye_y, eye_z)), 0, None)[:, None].astype(np.float32)
    across = np.degrees(np.arctan2(x - eye_x, eye_z))[None, :].astype(np.float32)
    # cloudless, as `clear_cd_m2`, apart by height and direction
    zenith, horizon, glow = _colours(hour)
    clear = zenith + np.exp(-1.15 * up / 11.0) * (horizon - zenith)
    after = np.exp(-((up / 5.5) ** 1.3))[:, 0]
    west = _west(across)[0]
    bands = clouds(across / 16, up / 2.4, _SEED, 4)
    share(
        _overcast,
        clear.astype(np.float32),
        after.astype(np.float32),
        west.astype(np.float32),
        np.exp(-up[:, 0] / 8.0).astype(np.float32),
        np.exp(-(((up[:, 0] - 11) / 9) ** 2)).astype(np.float32),
        horizon,
        glow,
        bands,
        out := np.empty((height, width, 3), dtype=np.float32),
    )
    out += _stars(view, hour, up[:, 0])
    return out


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _overcast(
    first: int,
    stride: int,
    clear: np.ndarray,
    after: np.ndarray,
    west: np.ndarray,
    low: np.ndarray,
    thin: np.ndarray,
    horizon: np.ndarray,
    glow: np.ndarray,
    bands: np.ndarray,
    out: np.ndarray,
) -> None:
    """Every row: the clear sky, and thin cloud before it in the light of horizon and afterglow."""
    for y in range(first, out.shape[0], stride):
        for x in range(out.shape[1]):
            veil = min(max((bands[y, x] - np.float32(0.52)) / np.float32(0.33), 0.0), 1.0) * thin[y]
            for c in range(3):
                shine = after[y] * (np.float32(0.3) + np.float32(0.7) * west[x])
                sky = clear[y, c] + shine * glow[c]
                lit = np.float32(0.75) * horizon[c] + np.float32(0.55) * low[y] * west[x] * glow[c]
                out[y, x, c] = sky + np.float32(0.6) * veil * (lit - np.float32(0.6) * sky)


def _stars(view: View, hour: Hour, up_deg: np.ndarray) -> np.ndarray:
    """Points with the magnitudes of a real sky: each magnitude down, about three times as many."""
    width, height = view.size_px
    field = np.zeros((height, width, 3), dtype=np.float32)
    n = np.arange(STARS)
    x = hash01(n, 1, _SEED) * width
    y = hash01(n, 2, _SEED) * height
    faint = np.log10(1 + hash01(n, 3, _SEED) * 999) / 3  # 0 the brightest … 1
    tint = hash01(n, 4, _SEED)
    peak = 6.0 * hour.stars * 10 ** (-1.7 * faint)
    reach = 3
    spread = 0.62 * max(1.0, width / 1280)
    for sx, sy, light, warm in zip(x, y, peak, tint, strict=True):
        row, column = int(sy), int(sx)
        rows = np.arange(max(row - reach, 0), min(row + reach + 1, height))
        columns = np.arange(max(column - reach, 0), min(column + reach + 1, width))
        dot = np.exp(
            -((rows[:, None] + 0.5 - sy) ** 2 + (columns + 0.5 - sx) ** 2) / (2 * spread**2)
        )
        haze = 1 - np.exp(-up_deg[rows] / 9.0)
        colour = np.array([0.86 + 0.3 * warm, 0.95, 1.25 - 0.4 * warm], dtype=np.float32)
        at = np.ix_(rows, columns)
        field[at] += (light * dot * haze[:, None])[..., None] * colour
    return field
