"""The frame itself: light of the lattice, dots and veils over the night, row by row.

One pass over the picture on all cores; each row stays in the fast memory of its core, its red,
green and blue apart, so that a core does several pixels with one instruction.
"""

from __future__ import annotations

import numpy as np

from effects.colour_spaces import LUMINANCE
from sim.kernels import njit
from sim.light.tone import KNEE, LUT_SIZE

_RED, _GREEN, _BLUE = (np.float32(weight) for weight in LUMINANCE)
_LAST = np.uint32(LUT_SIZE)
TILE = 64  # side of the dither's tile
_at = np.uint64  # of a place known not to be negative: numba then looks for no places from behind


def planes(picture: np.ndarray) -> np.ndarray:
    """(H, W, 3) -> (H, 3, W) float32, red, green and blue of a row apart; no copy of what lies so
    in memory (`apart`)."""
    return np.ascontiguousarray(np.swapaxes(picture, 1, 2), dtype=np.float32)


def stretches(sheet: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(H, W) sheet numbers -> (H + 1,) where each row begins among the stretches of one sheet, and
    (K, 3) of these first column, column after the last, and sheet. The sky (-1) is left out."""
    height, width = sheet.shape
    new = np.ones((height, width), dtype=bool)
    new[:, 1:] = sheet[:, 1:] != sheet[:, :-1]
    row, first = np.nonzero(new)
    end = np.append(first[1:], 0)
    end[end == 0] = width  # the next one begins a row
    number = sheet[row, first]
    there = number >= 0
    start = np.searchsorted(row[there], np.arange(height + 1))
    return start, np.column_stack([first, end, number])[there].astype(np.int64)


def apart(picture: np.ndarray) -> np.ndarray:
    """The same picture (H, W, 3), lying in memory as the kernels take it."""
    return np.swapaxes(planes(picture), 1, 2)


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _shine(
    y: int,
    row: np.ndarray,
    stretch_start: np.ndarray,
    stretch: np.ndarray,
    tint: np.ndarray,
    node: np.ndarray,
    step: int,
    lit: np.ndarray,
) -> None:
    """Add the light of the lattice to a row, from one stretch of a sheet to the next."""
    one, half = np.float32(1), np.float32(0.5)
    jy = y // step
    fy = np.float32((y - jy * step + half) / step)
    gy = one - fy
    fx = np.float32(1.0 / step)
    for k in range(stretch_start[y], stretch_start[y + 1]):
        begin, end, s = stretch[k, 0], stretch[k, 1], stretch[k, 2]
        first = begin // step
        a, p = node[s, jy, first], node[s, jy + 1, first]
        r0 = lit[a, 0] * gy + lit[p, 0] * fy
        g0 = lit[a, 1] * gy + lit[p, 1] * fy
        b0 = lit[a, 2] * gy + lit[p, 2] * fy
        for jx in range(first, (end - 1) // step + 1):
            a, p = node[s, jy, jx + 1], node[s, jy + 1, jx + 1]
            r1 = lit[a, 0] * gy + lit[p, 0] * fy
            g1 = lit[a, 1] * gy + lit[p, 1] * fy
            b1 = lit[a, 2] * gy + lit[p, 2] * fy
            dr, dg, db = (r1 - r0) * fx, (g1 - g0) * fx, (b1 - b0) * fx
            x0 = jx * step
            t = np.float32(max(begin - x0, 0)) + half
            for x in range(_at(max(x0, begin)), _at(min(x0 + step, end))):
                row[0, x] += tint[y, 0, x] * (r0 + dr * t)
                row[1, x] += tint[y, 1, x] * (g0 + dg * t)
                row[2, x] += tint[y, 2, x] * (b0 + db * t)
                t += one
            r0, g0, b0 = r1, g1, b1


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _row(
    y: int,
    row: np.ndarray,
    base: np.ndarray,
    stretch_start: np.ndarray,
    stretch: np.ndarray,
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
    """Luminance-weighted linear sRGB [cd/m²] of one picture row, into `row` (3, W)."""
    width = base.shape[2]
    one = np.float32(1)
    half = np.float32(0.5)
    # the veil is smooth: straight between the rows of its own, wider grid
    jy = y // veil_step
    fy = np.float32((y - jy * veil_step + half) / veil_step)
    for c in range(3):
        onto, night, above, below = row[c], base[y, c], veil[jy, c], veil[jy + 1, c]
        for x in range(width):
            onto[x] = night[x] + above[x] * (one - fy) + below[x] * fy
    _shine(y, row, stretch_start, stretch, tint, node, step, lit)
    jy = y // step
    fy = np.float32((y - jy * step + half) / step)
    for e in range(edge_start[y], edge_start[y + 1]):
        x = edge_column[e]
        s = edge_sheet[e]
        jx = x // step
        fx = np.float32((x - jx * step + half) / step)
        a = node[s, jy, jx]
        p = node[s, jy + 1, jx]
        q = node[s, jy, jx + 1]
        o = node[s, jy + 1, jx + 1]
        for c in range(3):
            near = lit[a, c] * (one - fy) + lit[p, c] * fy
            far = lit[q, c] * (one - fy) + lit[o, c] * fy
            row[c, x] += edge_tint[e, c] * (near * (one - fx) + far * fx)
    size = sprite.shape[3]
    for n in range(row_start[y + 1], row_start[y + 1 + size]):
        i = order[n]
        if direct[i, 0] == 0 and direct[i, 1] == 0 and direct[i, 2] == 0:
            continue
        spot, v, u, down = choice[i, 0], choice[i, 1], choice[i, 2], y - first_row[i]
        begin = max(0, -first_column[i])
        count = min(size, width - first_column[i]) - begin
        if count <= 0:
            continue
        x0, k0 = _at(first_column[i] + begin), _at(begin)
        for c in range(3):
            much = direct[i, c]
            for k in range(_at(count)):
                row[c, x0 + k] += sprite[spot, v, u, down, k0 + k] * much


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def radiance(first: int, stride: int, out: np.ndarray, args: tuple) -> None:
    """(H, 3, W) float32 [cd/m²], before exposure: every `stride`-th row."""
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
    """(H, W) uint32 0xffRRGGBB sRGB: the same radiance exposed, rolled off, brought into gamut,
    encoded."""
    row = np.empty((3, out.shape[1]), dtype=np.float32)
    for y in range(first, out.shape[0], stride):
        _row(y, row, *args)
        _encode(row, scale, codes, dither, y % TILE, out[y])


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def display_bytes(
    first: int,
    stride: int,
    out: np.ndarray,
    args: tuple,
    scale: float,
    codes: np.ndarray,
    dither: np.ndarray,
) -> None:
    """(H, W, 3) uint8: the same, red, green and blue side by side."""
    height, width = out.shape[0], out.shape[1]
    row, word = np.empty((3, width), dtype=np.float32), np.empty(width, dtype=np.uint32)
    for y in range(first, height, stride):
        _row(y, row, *args)
        _encode(row, scale, codes, dither, y % TILE, word)
        onto = out[y]
        for x in range(width):
            onto[x, 0] = word[x] >> np.uint32(16)
            onto[x, 1] = word[x] >> np.uint32(8)
            onto[x, 2] = word[x]


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _encode(
    row: np.ndarray, scale: float, codes: np.ndarray, dither: np.ndarray, v: int, out: np.ndarray
) -> None:
    """A row [cd/m²] becomes (W,) words, tile by tile; row `v` of the dither's tile."""
    width, exposure, top = len(out), np.float32(scale), np.float32(LUT_SIZE)
    for begin in range(0, width, TILE):
        end = min(begin + TILE, width)
        _tone(row, begin, end, exposure, top)
        _pack(row, begin, end, codes, dither, v, out)


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _tone(row: np.ndarray, begin: int, end: int, exposure: np.float32, top: np.float32) -> None:
    """A part of a row [cd/m²] becomes linear 0..`top`, without a branch: several pixels are done
    at once, and where all is dim and in gamut there is little to do."""
    knee = np.float32(KNEE)
    rest = np.float32(1) - knee
    one, zero, tiny = np.float32(1), np.float32(0), np.float32(1e-30)
    bend, hard = knee / exposure, np.int32(0)
    for c in range(3):
        for x in range(_at(begin), _at(end)):
            hard += np.int32(row[c, x] > bend) + np.int32(row[c, x] < zero)
    if hard == 0:
        much = exposure * top
        for c in range(3):
            for x in range(_at(begin), _at(end)):
                row[c, x] *= much
        return
    for x in range(_at(begin), _at(end)):
        r, g, b = row[0, x] * exposure, row[1, x] * exposure, row[2, x] * exposure
        # outside the display's gamut: towards the grey of the same luminance
        low = min(r, min(g, b))
        grey = max(_RED * r + _GREEN * g + _BLUE * b, zero)
        t = grey / max(grey - low, tiny)
        outside = low < zero
        r = grey + t * (r - grey) if outside else r
        g = grey + t * (g - grey) if outside else g
        b = grey + t * (b - grey) if outside else b
        # hue and purity stay; only far above white does purity give way
        peak = max(r, max(g, b))
        over = max(peak - knee, zero) / rest
        shown = knee + rest * over / (one + over)
        ratio = shown / peak if peak > knee else one
        bleach = np.float32(0.82) * over / (over + np.float32(40))
        grown = bleach * shown
        left = (one - bleach) * ratio
        row[0, x] = max(r * left + grown, zero) * top
        row[1, x] = max(g * left + grown, zero) * top
        row[2, x] = max(b * left + grown, zero) * top


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _pack(
    row: np.ndarray,
    begin: int,
    end: int,
    codes: np.ndarray,
    dither: np.ndarray,
    v: int,
    out: np.ndarray,
) -> None:
    """The same part as words of four bytes; what stands in the row is used up."""
    most = np.float32(0.99999)
    for c in range(3):
        for x in range(_at(begin), _at(end)):
            # no number at all would point anywhere in memory
            row[c, x] = codes[min(np.uint32(row[c, x]), _LAST)]
    x0 = _at(begin)
    for k in range(_at(end - begin)):
        d = dither[v, k]
        hue = np.uint32(row[0, x0 + k] * most + d) << np.uint32(16)
        hue |= np.uint32(row[1, x0 + k] * most + d) << np.uint32(8)
        hue |= np.uint32(row[2, x0 + k] * most + d)
        out[x0 + k] = hue | np.uint32(0xFF000000)
