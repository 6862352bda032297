"""Layers laid over each other, compiled: where in its palette each pixel is → the colour asked.

It is what `effects.engine` does in plain arrays, bit for bit, in one walk over the pixels: for many
frames at once, as a scan asks for them, that is several times quicker.
"""

from __future__ import annotations

import numpy as np

from effects.palette import STEPS
from effects.show import BoundLayer, ShownPart
from sim.kernels import njit

_HALF, _ONE, _STEPS = np.float32(0.5), np.float32(1.0), np.float32(STEPS)
_OVER, _ADD, _LIGHTEN, _MULTIPLY = range(4)
_BLENDS = {"over": _OVER, "add": _ADD, "lighten": _LIGHTEN}
_NOWHERE = np.empty(0, dtype=np.intp)


def lay(
    out: np.ndarray, bound: BoundLayer, part: ShownPart, position: np.ndarray, cover: np.ndarray
) -> None:
    """Lay some pixels of a layer on what is there, `out` (T, N, 3) float32.

    `position` in the palette's ring and `cover` 0..1 have shapes that broadcast to (T, M).
    """
    place, share = _rows(position), _rows(cover)
    if isinstance(part.at, slice):
        first, where, pixels = part.at.start, _NOWHERE, part.at.stop - part.at.start
    else:
        first, where, pixels = 0, part.at, len(part.at)
    blend = _BLENDS.get(bound.layer.blend, _MULTIPLY)
    _lay(out, first, where, pixels, place, share, bound.ring, np.float32(bound.colours), blend)


def _rows(values: np.ndarray) -> np.ndarray:
    """As float32 with two axes, each of its full length or 1."""
    return np.ascontiguousarray(np.atleast_2d(np.asarray(values, np.float32)))


@njit(cache=True, nogil=True, error_model="numpy")
def _lay(  # type: ignore[no-untyped-def]
    out, first, where, pixels, position, cover, ring, colours, blend
):
    frames, rows = out.shape[0], len(ring)
    # An axis of length 1 stands for all frames, or for all pixels.
    many_p, many_c = position.shape[0] > 1, cover.shape[0] > 1
    step_p, step_c = int(position.shape[1] > 1), int(cover.shape[1] > 1)
    inverse = _ONE / colours
    still = not many_p
    row = np.empty(pixels if step_p else 1, dtype=np.int64)
    for t in range(frames):
        at_p, at_c = t if many_p else 0, t if many_c else 0
        if t == 0 or not still:
            for n in range(len(row)):
                here = position[at_p, n]
                step = np.floor(here * inverse) * -colours + here
                row[n] = np.int64(step * _STEPS + _HALF)
            for n in range(len(row)):
                # Rounding can reach one row past the end, which is the start of the ring.
                if row[n] < 0 or row[n] >= rows:
                    row[n] %= rows
        for n in range(pixels):
            alpha = cover[at_c, n * step_c]
            at = where[n] if len(where) else first + n
            of = row[n * step_p]
            for c in range(3):
                below, colour = out[t, at, c], ring[of, c]
                if blend == _OVER:
                    below += (colour - below) * alpha
                elif blend == _ADD:
                    below += colour * alpha
                elif blend == _LIGHTEN:
                    below = max(below, colour * alpha)
                else:
                    below *= (colour - _ONE) * alpha + _ONE
                out[t, at, c] = below
