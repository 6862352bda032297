"""One walk over the pixels of a layer: where in the palette each is → mixed with what is there.

Importing this imports numba; `sim.composed.laying` does so when many frames are asked for.
The functions carry no annotations because numba derives their types.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numpy as np

from effects.palette import STEPS
from sim.composed.fours import (
    add_found,
    add_given,
    lighten_found,
    lighten_given,
    multiply_found,
    multiply_given,
    over_found,
    over_given,
    raise_four,
    uncovered,
)
from sim.kernels import njit

OVER, ADD, LIGHTEN, MULTIPLY = range(4)
BLENDS = {"over": OVER, "add": ADD, "lighten": LIGHTEN, "multiply": MULTIPLY}
_HALF, _ONE, _ZERO = np.float32(0.5), np.float32(1.0), np.float32(0.0)
_STEPS = np.float32(STEPS)


@njit(cache=False, inline="always")
def _find_rows(position, colours, rows, row):
    """The ring's row nearest to each position."""
    inverse = _ONE / colours
    wrong = False
    for n in range(len(row)):
        here = position[n]
        step = np.floor(here * inverse) * -colours + here
        row[n] = np.int32(step * _STEPS + _HALF)
    for n in range(len(row)):
        wrong |= row[n] < 0 or row[n] >= rows
    if wrong:  # rounding can reach one row past the end, which is the start of the ring
        for n in range(len(row)):
            row[n] %= rows


@njit(cache=False, inline="always")
def _mix_one(below, colour, alpha, blend):
    if blend == OVER:
        return below + (colour - below) * alpha
    if blend == ADD:
        return below + colour * alpha
    if blend == LIGHTEN:
        colour *= alpha
        return below if below > colour else colour
    return below * ((colour - _ONE) * alpha + _ONE)


@njit(cache=True, nogil=True, error_model="numpy")
def lay_frames(out, frames, first, length, position, level, share, ring, colours, blend):
    """Lay M pixels of a layer on `out`, (T·N·3,) float32.

    They are those from `first[k]` on, `length[k]` of them, piece after piece. `position` and
    `level` (T or 1, M or 1) float32; `share` (T,) float32 of the level shows; `ring` (K, 4).
    """
    wide, rows, pixels = len(out) // frames, np.int32(len(ring)), 0
    for count in length:  # an array's own sum would have scipy imported wherever this is loaded
        pixels += count
    # An axis of length 1 stands for all frames, or for all pixels.
    many_p, many_l = position.shape[0] > 1, level.shape[0] > 1
    each_p, each_l = position.shape[1] > 1, level.shape[1] > 1
    given = not (many_p and each_p)  # colours are the same for all frames, or for all pixels
    row = np.empty(pixels if each_p else 1, dtype=np.int32)
    colour = np.empty(3 * pixels if given else 0, dtype=np.float32)
    alpha = np.empty(pixels, dtype=np.float32)
    for t in range(frames):
        if many_p or t == 0:
            _find_rows(position[t if many_p else 0], colours, rows, row)
            if given:
                for n in range(pixels):
                    of = row[n if each_p else 0]
                    for c in range(3):
                        colour[3 * n + c] = ring[of, c]
        at_l, seen = t if many_l else 0, share[t]
        if each_l:
            for n in range(pixels):
                alpha[n] = level[at_l, n] * seen
        else:
            for n in range(pixels):
                alpha[n] = level[at_l, 0] * seen
        n = 0
        for k in range(len(first)):
            at, end = t * wide + 3 * first[k], n + length[k]
            while n + 4 <= end:
                if uncovered(alpha, n):
                    if blend == LIGHTEN:
                        raise_four(out, at)
                elif given:
                    if blend == OVER:
                        over_given(out, at, alpha, n, colour)
                    elif blend == ADD:
                        add_given(out, at, alpha, n, colour)
                    elif blend == LIGHTEN:
                        lighten_given(out, at, alpha, n, colour)
                    else:
                        multiply_given(out, at, alpha, n, colour)
                elif blend == OVER:
                    over_found(out, at, alpha, n, ring, row)
                elif blend == ADD:
                    add_found(out, at, alpha, n, ring, row)
                elif blend == LIGHTEN:
                    lighten_found(out, at, alpha, n, ring, row)
                else:
                    multiply_found(out, at, alpha, n, ring, row)
                n += 4
                at += 12
            while n < end:
                for c in range(3):
                    new = colour[3 * n + c] if given else ring[row[n], c]
                    out[at + c] = _mix_one(out[at + c], new, alpha[n], blend)
                n += 1
                at += 3
