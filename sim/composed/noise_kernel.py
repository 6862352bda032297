"""Fields of chance, compiled: each does what its field in `effects.fields` does, bit for bit.

Times are (T,) float64; what the M pixels keep for good is made by the field's own module. Written
are `position` and `level`, (T, M) float32. Counts of turns must be whole numbers of 32 bits.
The functions carry no annotations because numba derives their types.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numpy as np

from sim.composed.inline import (
    HALF,
    KEPT,
    ONE,
    clamp,
    colour_of,
    hashed,
    hump,
    ripple,
    share,
    smooth,
)
from sim.kernels import njit

_compiled = njit(cache=True, nogil=True, error_model="numpy")
_DUCK, _UNSTEADY = np.float32(0.45), np.float32(0.15)
_SLOWEST, _FASTER = np.float32(0.7), np.float32(0.6)
_TWO = np.float32(2)


@_compiled
def glint(time_s, key, per_s, offset, length, quicker, colours, position, level):
    """`quicker`: one part of a flash in which it rises, inverted."""
    for t in range(len(time_s)):
        now = time_s[t]
        for n in range(len(key)):
            phase = now * per_s[n] + offset[n]
            slot = np.floor(phase)
            drawn = hashed(key[n], np.int32(slot))
            start = share(drawn) * (ONE - length[n])
            since = clamp((np.float32(phase - slot) - start) / length[n])
            left = ONE - since
            level[t, n] = smooth(since * quicker) * (left * left)
            position[t, n] = colour_of(drawn, colours)


@_compiled
def twinkle(time_s, key, pace, offset, lit, colours, position, level):
    """`lit`: the part of a turn in which a pixel is."""
    for t in range(len(time_s)):
        now = time_s[t]
        for n in range(len(key)):
            phase = now * pace[n] + offset[n]
            turn = np.floor(phase)
            drawn = hashed(key[n], np.int32(turn))
            shape = hump(np.float32(phase - turn) / lit)
            level[t, n] = shape * (HALF + HALF * share(drawn))
            position[t, n] = colour_of(drawn, colours)


@_compiled
def thaw(time_s, columns, heights, speed, tail_m, colours, position, level):
    """`columns`: key, slot [s], offset, spare part of it [s]; `heights`: down, head [m], left."""
    (key, slot_s, offset, spare_s), (down, head_m, kept) = columns, heights
    for t in range(len(time_s)):
        now = time_s[t]
        for n in range(len(key)):
            phase = now / slot_s[n] + offset[n]
            slot = np.floor(phase)
            drawn = hashed(key[n], np.int32(slot))
            run = np.float32((phase - slot) * slot_s[n]) - share(drawn) * spare_s[n]
            behind = run * speed - down[n]
            lit = clamp(behind / head_m[n]) * clamp(ONE - behind / tail_m)
            level[t, n] = lit * kept[n]
            position[t, n] = colour_of(drawn, colours)


@_compiled
def flurry(time_s, drift_m, seed, x_m, y_m, size_m, gap_m, speed, half, colours, position, level):
    """`drift_m` (T,): how far the air has moved; `half` of a flake, as part of a gap."""
    room = ONE - half - half
    for t in range(len(time_s)):
        now, moved = time_s[t], drift_m[t]
        for n in range(len(x_m)):
            across = (np.float64(x_m[n]) - moved) / size_m
            column = np.floor(across)
            key = hashed(seed, np.int32(column))
            falls = np.float64(speed * (_SLOWEST + _FASTER * share(key)))
            fallen = (np.float64(y_m[n]) + now * falls) / gap_m
            fallen += np.float64(share(hashed(key, KEPT)))
            flake = np.floor(fallen)
            drawn = hashed(key, np.int32(flake))
            above = (np.float32(fallen - flake) - (half + share(drawn) * room)) / half
            aside = np.float32(across - column) * _TWO - ONE
            level[t, n] = clamp(ONE - above * above) * (ONE - aside * aside)
            position[t, n] = colour_of(drawn, colours)


@_compiled
def wick(duck, unsteady, ducking, moving, flame, away, last, position, level):
    """`duck` and `unsteady` (T,): phases; `ducking` and `moving`: keys and offsets of the flames;
    `flame` and `away` (M,): which, and how far from its middle."""
    height = np.empty(len(ducking[0]), np.float32)
    for t in range(len(duck)):
        for f in range(len(height)):
            down = ripple(duck[t], ducking[0][f], ducking[1][f])
            other = ripple(unsteady[t], moving[0][f], moving[1][f])
            height[f] = ONE - _DUCK * down * down - _UNSTEADY * other
        for n in range(len(flame)):
            high = height[flame[n]]
            body = clamp(ONE - away[n] * away[n] / (HALF + HALF * high)) * high
            position[t, n] = (ONE - body) * last
            level[t, n] = body


@_compiled
def patches(phase, key, offset, corners, right, up, scale, moved, noise):
    """`noise` (T, M): patches between `corners`, times `scale`, plus `moved` (T,)."""
    low_left, low_right, high_left, high_right = corners
    value = np.empty(len(key), np.float32)
    for t in range(len(phase)):
        for f in range(len(key)):
            value[f] = ripple(phase[t], key[f], offset[f])
        for n in range(len(right)):
            a, b = value[low_left[n]], value[low_right[n]]
            c, d = value[high_left[n]], value[high_right[n]]
            low = a + (b - a) * right[n]
            high = c + (d - c) * right[n]
            noise[t, n] = (low + (high - low) * up[n]) * scale + moved[t]
