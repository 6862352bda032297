"""Foreign colours brought to the edge of the primaries, compiled: a block of pixels at a time.

The edge is looked for between a colour and the grey of equal OKLab lightness, by halving; all
pixels of a block take a halving together. Along that way the duty of each primary is a polynomial
of third degree in the chroma, found once for a colour.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numpy as np

from effects.colour_spaces import LMS_TO_LAB
from sim.kernels import njit

#: Pixels worked on together; what they need stays in the nearest cache. Rows of 2^n numbers would
#: stand in each other's way there.
BLOCK = 112
#: Pixels that the processor takes in one go, or a multiple of it; BLOCK is a multiple of it.
LANES = 16
#: Where rows of a block begin: what is asked (X, Y, Z), duties (R, G, B, W, and C of a second
#: white), what became of a pixel (S), and rows for the time of one step.
X, Y, Z, R, G, B, W, C, S, SPARE = range(0, 10 * BLOCK, BLOCK)
#: The rows of this step: cone responses, then their cube roots; grey, chroma, polynomials.
LONG, MID, SHORT, GREY, CHROMA, POLY = range(SPARE, SPARE + 6 * BLOCK, BLOCK)
#: How many rows there are.
ROWS = POLY // BLOCK + 12

#: Halvings of the chroma interval; 2^-16 of it is far below one 8-bit code.
HALVINGS = 16
#: Row of OKLab's second matrix that gives L.
OKLAB_L = tuple(LMS_TO_LAB[0].tolist())
#: Of a float32 x with the bits i, the float32 of the bits ROOT − i/3 is x^(−1/3) within 4 %: the
#: number that makes the largest error of 1 − x·y³ least, 0.102 [calc].
ROOT = 0x54A1F5BD

_compiled = njit(cache=True, nogil=True, error_model="numpy")
_inner = njit(inner=True, cache=True, nogil=True, error_model="numpy")


@_inner
def reduce_block(work, count, brightness, to_lms, from_lms):
    """Give R, G, B of pixels whose S is 2 the duties at the edge of the primaries."""
    those = np.empty(BLOCK, np.intp)
    m = to_lms
    foreign = np.intp(0)  # a plain 0 is a type of its own, and `filled_up` compiled twice
    for i in range(count):
        those[foreign] = i
        foreign += work[S + i] == 2.0
    for k in range(foreign):
        i = those[k]
        red, green, blue = work[X + i], work[Y + i], work[Z + i]
        work[LONG + k] = m[0] * red + m[1] * green + m[2] * blue
        work[MID + k] = m[3] * red + m[4] * green + m[5] * blue
        work[SHORT + k] = m[6] * red + m[7] * green + m[8] * blue
    full = filled_up(foreign)
    for row in (LONG, MID, SHORT):
        for k in range(foreign, full):
            work[row + k] = 0.0
        cube_roots(work[row : row + full])
    _polynomials(work, full, from_lms)
    step = 1.0
    for _ in range(HALVINGS):
        step /= 2.0
        _halve(work, full, step)
    p = from_lms
    for k in range(full):
        grey, chroma = work[GREY + k], work[CHROMA + k]
        x = (grey + chroma * (work[LONG + k] - grey)) ** 3
        y = (grey + chroma * (work[MID + k] - grey)) ** 3
        z = (grey + chroma * (work[SHORT + k] - grey)) ** 3
        # Light that cannot be is dark; without any chroma none was found to be within.
        shown = brightness if grey > 0.0 and chroma > 0.0 else 0.0
        work[POLY + k] = max(p[0] * x + p[1] * y + p[2] * z, 0.0) * shown
        work[POLY + BLOCK + k] = max(p[3] * x + p[4] * y + p[5] * z, 0.0) * shown
        work[POLY + 2 * BLOCK + k] = max(p[6] * x + p[7] * y + p[8] * z, 0.0) * shown
    for k in range(foreign):
        i = those[k]
        work[R + i] = work[POLY + k]
        work[G + i] = work[POLY + BLOCK + k]
        work[B + i] = work[POLY + 2 * BLOCK + k]


@_inner
def filled_up(count):
    """As many pixels or a few more, so that none is left to be worked on alone."""
    return (count + LANES - 1) // LANES * LANES


@_compiled
def cube_roots(x):
    """Replace numbers (n,) by their cube roots, as near as float64 can tell.

    Newton's steps for x^(−1/3), which need no division, from a guess by the bits of the number.
    Below 1e-38 the guess has no bits to go by, and less than the root comes out.
    """
    for i in range(len(x)):
        size = abs(x[i])
        bits = np.int32(ROOT - np.float32(size).view(np.int32) * (1.0 / 3.0))
        y = np.float64(bits.view(np.float32))
        off = 1.0 - size * (y * y * y)
        y += y * off * (1.0 / 3.0 + off * (2.0 / 9.0 + off * (14.0 / 81.0)))
        off = 1.0 - size * (y * y * y)
        y += y * off * (1.0 / 3.0 + off * (2.0 / 9.0))
        root = size * (y * y)
        root -= (root * root * root - size) * (y * y * (1.0 / 3.0))
        x[i] = root if x[i] > 0.0 else -root


@_inner
def _polynomials(work, count, from_lms):
    """Grey to GREY, no chroma to CHROMA; to POLY coefficients of the duties, from 1 to chroma³."""
    p = from_lms
    for k in range(count):
        long, mid, short = work[LONG + k], work[MID + k], work[SHORT + k]
        grey = OKLAB_L[0] * long + OKLAB_L[1] * mid + OKLAB_L[2] * short
        work[GREY + k] = grey
        work[CHROMA + k] = 0.0
        u, v, w = long - grey, mid - grey, short - grey
        for c in range(3):
            a0, a1, a2 = p[3 * c], p[3 * c + 1], p[3 * c + 2]
            row = POLY + 4 * c * BLOCK + k
            work[row] = (a0 + a1 + a2) * (grey * grey * grey)
            work[row + BLOCK] = (a0 * u + a1 * v + a2 * w) * (3.0 * grey * grey)
            work[row + 2 * BLOCK] = (a0 * u * u + a1 * v * v + a2 * w * w) * (3.0 * grey)
            work[row + 3 * BLOCK] = a0 * u * u * u + a1 * v * v * v + a2 * w * w * w


@njit(inner=True, cache=True, nogil=True, error_model="numpy", fastmath={"contract"})
def _halve(work, count, step):
    """Add `step` to CHROMA where no duty is below 0 there; a product may be added unrounded."""
    for k in range(count):
        t = work[CHROMA + k] + step
        q = POLY + k
        least = work[q] + t * (
            work[q + BLOCK] + t * (work[q + 2 * BLOCK] + t * work[q + 3 * BLOCK])
        )
        q += 4 * BLOCK
        other = work[q] + t * (
            work[q + BLOCK] + t * (work[q + 2 * BLOCK] + t * work[q + 3 * BLOCK])
        )
        least = min(least, other)
        q += 4 * BLOCK
        other = work[q] + t * (
            work[q + BLOCK] + t * (work[q + 2 * BLOCK] + t * work[q + 3 * BLOCK])
        )
        work[CHROMA + k] = t if min(least, other) >= 0.0 else work[CHROMA + k]
