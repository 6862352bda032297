"""The frame itself: light of the lattice, dots and veils over the night, row by row.

One pass over the picture on all cores; each row stays in the fast memory of its core.
"""

from __future__ import annotations

import numpy as np

from effects.colour_spaces import LUMINANCE
from sim.kernels import njit
from sim.light.tone import KNEE, LUT_SIZE

_RED, _GREEN, _BLUE = (np.float32(weight) for weight in LUMINANCE)


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _row(
    y: int,
    row: np.ndarray,
    base: np.ndarray,
    sheet: np.ndarray,
    tint: np.ndarray,
    node: np.ndarray,
    step: int,
    lit: np.ndarray,
    edge_start: np.ndarray,
    edge_column: np.ndarray,
    edge_sheet: np.ndarray,
    edge_tint: np.ndarray,
    sprite: np.ndarray,
    first_row: np.ndarray,
    first_column: np.ndarray,
    choice: np.ndarray,
    order: np.ndarray,
    row_start: np.ndarray,
    direct: np.ndarray,
    veil: np.ndarray,
    veil_step: int,
) -> None:
    """Luminance-weighted linear sRGB [cd/m²] of one picture row, into `row` (W, 3)."""
    width = base.shape[1]
    one = np.float32(1)
    half = np.float32(0.5)
    # the veil is smooth: straight between the rows of its own, wider grid
    jy = y // veil_step
    fy = (y - jy * veil_step + half) / np.float32(veil_step)
    flat, night = row.reshape(-1), base[y].reshape(-1)
    above, below = veil[jy].reshape(-1), veil[jy + 1].reshape(-1)
    for i in range(3 * width):
        flat[i] = night[i] + above[i] * (one - fy) + below[i] * fy
    jy = y // step
    fy = (y - jy * step + half) / np.float32(step)
    fx = np.float32(1.0 / step)
    last_sheet = -2
    r0 = g0 = b0 = r1 = g1 = b1 = np.float32(0)
    x = 0
    for jx in range(node.shape[2] - 1):
        last_sheet = -2
        for k in range(min(step, width - x)):
            s = sheet[y, x]
            if s >= 0:
                if s != last_sheet:
                    last_sheet = s
                    a = node[s, jy, jx]
                    p = node[s, jy + 1, jx]
                    q = node[s, jy, jx + 1]
                    o = node[s, jy + 1, jx + 1]
                    r0 = lit[a, 0] * (one - fy) + lit[p, 0] * fy
                    g0 = lit[a, 1] * (one - fy) + lit[p, 1] * fy
                    b0 = lit[a, 2] * (one - fy) + lit[p, 2] * fy
                    r1 = (lit[q, 0] * (one - fy) + lit[o, 0] * fy - r0) * fx
                    g1 = (lit[q, 1] * (one - fy) + lit[o, 1] * fy - g0) * fx
                    b1 = (lit[q, 2] * (one - fy) + lit[o, 2] * fy - b0) * fx
                t = k + half
                row[x, 0] += tint[y, x, 0] * (r0 + r1 * t)
                row[x, 1] += tint[y, x, 1] * (g0 + g1 * t)
                row[x, 2] += tint[y, x, 2] * (b0 + b1 * t)
            x += 1
    for e in range(edge_start[y], edge_start[y + 1]):
        x = edge_column[e]
        s = edge_sheet[e]
        jx = x // step
        fx = (x - jx * step + half) / np.float32(step)
        a = node[s, jy, jx]
        p = node[s, jy + 1, jx]
        q = node[s, jy, jx + 1]
        o = node[s, jy + 1, jx + 1]
        for c in range(3):
            near = lit[a, c] * (one - fy) + lit[p, c] * fy
            far = lit[q, c] * (one - fy) + lit[o, c] * fy
            row[x, c] += edge_tint[e, c] * (near * (one - fx) + far * fx)
    size = sprite.shape[3]
    for n in range(row_start[y + 1], row_start[y + 1 + size]):
        i = order[n]
        r, g, b = direct[i, 0], direct[i, 1], direct[i, 2]
        if r == 0 and g == 0 and b == 0:
            continue
        line = sprite[choice[i, 0], choice[i, 1], choice[i, 2], y - first_row[i]]
        x0 = first_column[i]
        for k in range(max(0, -x0), min(size, width - x0)):
            row[x0 + k, 0] += line[k] * r
            row[x0 + k, 1] += line[k] * g
            row[x0 + k, 2] += line[k] * b


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def radiance(first: int, stride: int, out: np.ndarray, args: tuple) -> None:
    """(H, W, 3) float32 [cd/m²], before exposure: every `stride`-th row."""
    for y in range(first, out.shape[0], stride):
        _row(y, out[y], *args)


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def display(
    first: int,
    stride: int,
    out: np.ndarray,
    args: tuple,
    scale: float,
    codes: np.ndarray,
    dither: np.ndarray,
) -> None:
    """(H, W, 3) uint8 sRGB: the same radiance exposed, rolled off, brought into gamut, encoded."""
    height, width = out.shape[:2]
    exposure = np.float32(scale)
    knee = np.float32(KNEE)
    rest = np.float32(1) - knee
    one, zero = np.float32(1), np.float32(0)
    top = np.float32(LUT_SIZE)
    row = np.empty((width, 3), dtype=np.float32)
    for y in range(first, height, stride):
        _row(y, row, *args)
        for x in range(width):
            r, g, b = row[x, 0] * exposure, row[x, 1] * exposure, row[x, 2] * exposure
            low = min(r, min(g, b))
            if low < zero:  # outside the display's gamut: towards the grey of the same luminance
                grey = _RED * r + _GREEN * g + _BLUE * b
                if grey <= zero:
                    r = g = b = zero
                else:
                    t = grey / (grey - low)
                    r, g, b = grey + t * (r - grey), grey + t * (g - grey), grey + t * (b - grey)
            peak = max(r, max(g, b))
            if peak > knee:  # hue and purity stay; only far above white does purity give way
                over = (peak - knee) / rest
                shown = knee + rest * over / (one + over)
                ratio = shown / peak
                bleach = np.float32(0.82) * over / (over + np.float32(40))
                r = r * ratio + bleach * (shown - r * ratio)
                g = g * ratio + bleach * (shown - g * ratio)
                b = b * ratio + bleach * (shown - b * ratio)
            d = dither[y & 63, x & 63]
            out[y, x, 0] = np.uint8(codes[int(max(r, zero) * top)] * np.float32(0.99999) + d)
            out[y, x, 1] = np.uint8(codes[int(max(g, zero) * top)] * np.float32(0.99999) + d)
            out[y, x, 2] = np.uint8(codes[int(max(b, zero) * top)] * np.float32(0.99999) + d)
