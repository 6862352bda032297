"""What the compiled fields are made of: `effects.noise` and `effects.shape` for one number.

Each does in the same order what the array function of its name does, on words of 32 bits and
floats of 32; they become part of the kernels that call them. The functions carry no annotations
because numba derives their types.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numpy as np

from sim.kernels import njit

ZERO, HALF, ONE, THREE = np.float32(0), np.float32(0.5), np.float32(1), np.float32(3)
FOUR = np.float32(4)
#: Of what a pixel keeps for good: −1, as a word.
KEPT = np.uint32(0xFFFFFFFF)

_STEP = np.uint32(0x9E3779B9)
_FIRST, _SECOND = np.uint32(0x85EBCA6B), np.uint32(0xC2B2AE35)
_EIGHT, _THIRTEEN, _SIXTEEN = np.uint32(8), np.uint32(13), np.uint32(16)
_FINEST = np.float32(2.0**-24)

inlined = njit(cache=False, inline="always")


@inlined
def hashed(h, part):
    """A word from a hash and a whole number of 32 bits."""
    # numba reckons with words of 64 bits; each step is cut to 32 again.
    h = np.uint32(np.uint32(h + _STEP) ^ np.uint32(np.uint32(part) * _STEP))
    h = np.uint32(h ^ np.uint32(h >> _SIXTEEN))
    h = np.uint32(h * _FIRST)
    h = np.uint32(h ^ np.uint32(h >> _THIRTEEN))
    h = np.uint32(h * _SECOND)
    return np.uint32(h ^ np.uint32(h >> _SIXTEEN))


@inlined
def share(h):
    """A hash as a float in 0..1."""
    return np.float32(np.uint32(h >> _EIGHT)) * _FINEST


@inlined
def colour_of(drawn, colours):
    """The remainder of a hash by a number of colours, a float of 64 bits, as one of 32.

    No vector divides whole numbers. In floats of 64 bits the half keeps the quotient further from
    the next whole number than rounding can move it; all else is exact.
    """
    of = np.float64(drawn)
    return np.float32(of - np.floor((of + 0.5) * (1.0 / colours)) * colours)


@inlined
def clamp(x):
    """x held within 0..1."""
    x = x if x > ZERO else ZERO
    return x if x < ONE else ONE


@inlined
def smooth(x):
    """0 below 0, 1 above 1, 3x² − 2x³ between."""
    x = clamp(x)
    return x * x * (THREE - (x + x))


@inlined
def hump(x):
    """0 at 0 and 1, 1 at ½."""
    x = clamp(x)
    rise = FOUR * x * (ONE - x)
    return rise * rise


@inlined
def ripple(phase, key, offset):
    """Smooth noise in time, where `offset` is the key's share as a float of 64 bits."""
    phase = phase + offset
    step = np.floor(phase)
    part = np.float32(phase - step)
    whole = np.int32(step)
    here, there = share(hashed(key, whole)), share(hashed(key, whole + np.int32(1)))
    part = part * part * (THREE - (part + part))
    return (there - here) * part + here
