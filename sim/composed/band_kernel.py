"""Fields of bands and steps, compiled: `effects.bands` and `effects.shape.stairs`, bit for bit.

Written are `position` and `level`, (T, M) float32.
The functions carry no annotations because numba derives their types.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numpy as np

from sim.composed.inline import HALF, ONE, ZERO, clamp, inlined
from sim.kernels import njit

_compiled = njit(cache=True, nogil=True, error_model="numpy")
_TWO, _NOTHING = np.float32(2), np.float32(1e-6)


@inlined
def _band(off, flat, steep, pixels, shift):
    """Position and level of a pixel `off` steps from the first band's middle."""
    number = np.floor(off + HALF)
    off -= number
    away = abs(off)
    level = clamp(flat - away * steep)
    away = away * pixels + shift
    away = away if away > ZERO else ZERO
    return number + np.copysign(away, off), level


@_compiled
def chase(moved, kept, position, level):
    """`moved` (T,) steps; `kept` (M,) each, as `effects.bands` keeps them."""
    first, flat, steep, pixels, shift = kept
    for t in range(len(moved)):
        for n in range(len(first)):
            at, lit = _band(first[n] - moved[t], flat[n], steep[n], pixels[n], shift[n])
            position[t, n] = at
            level[t, n] = lit


@_compiled
def crossing(there, back, kept, colours, position, level):
    """Two chases, moved by `there` and `back` (T,) steps, in `colours` float32."""
    first, flat, steep, pixels, shift = kept
    inverse = np.float32(1.0 / colours)
    for t in range(len(there)):
        for n in range(len(first)):
            one, lit = _band(first[n] - there[t], flat[n], steep[n], pixels[n], shift[n])
            two, other = _band(first[n] - back[t], flat[n], steep[n], pixels[n], shift[n])
            apart = (one - two) * _TWO - ONE
            apart -= colours * np.rint(apart * inverse)
            both = lit + other
            both = both if both > _NOTHING else _NOTHING
            position[t, n] = two * _TWO + ONE + apart * (lit / both)
            level[t, n] = lit if lit > other else other


@_compiled
def stairs(first, moved, scale, ramp, position):
    """Whole steps of (first (M,) − moved (T,)) · scale, with a `ramp` (M,) to the next."""
    for t in range(len(moved)):
        for n in range(len(first)):
            x = (first[n] - moved[t]) * scale
            whole = np.floor(x)
            part = (x - whole - ONE) / ramp[n] + ONE
            position[t, n] = (part if part > ZERO else ZERO) + whole


@_compiled
def edge(front_m, along_m, width_m, times, plus, out):
    """How far a soft edge at `front_m` (T,) has passed pixels at `along_m` (M,), 0..1 over
    `width_m` (M,), `times` and `plus` (T,)."""
    for t in range(len(front_m)):
        for n in range(len(along_m)):
            passed = clamp((front_m[t] - along_m[n]) / width_m[n])
            out[t, n] = passed * times[t] + plus[t]


@_compiled
def dart(front_m, along_m, head_m, tail_m, level):
    """A head at `front_m` (T,), lit over `head_m` (M,), with a tail."""
    for t in range(len(front_m)):
        for n in range(len(along_m)):
            behind = front_m[t] - along_m[n]
            left = clamp(ONE - behind / tail_m)
            level[t, n] = left * left * clamp(behind / head_m[n])
