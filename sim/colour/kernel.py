"""The hot loop of mixing, compiled: asked colour of every pixel of every frame → duty or code.

Kept scalar and flat on purpose; `sim.colour.mixing` says what the rules mean. The functions
carry no annotations because numba derives their types.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

# Rules of the white channel, after `economy` has been resolved for the kind.
MOST = 0  # a share of the largest w; share 0 is `off`
LEAST = 1  # the smallest w that keeps r, g, b within full duty
BALANCE = 2  # the w that makes the largest duty smallest: dies in series share one current

#: A duty this far below zero, relative to the largest, is rounding and not a foreign colour.
EDGE = 1e-5
#: Halvings of the chroma interval; 2^-20 of it is far below one 8-bit code.
HALVINGS = 20
#: The golden ratio's fraction: its multiples fill 0..1 more evenly than any other step's.
GOLDEN = 0.6180339887498949
#: Row of OKLab's second matrix that gives L (B. Ottosson, 2020).
OKLAB_L = (0.2104542553, 0.7936177850, -0.0040720468)


class Laws(NamedTuple):
    """What mixing needs of Q kinds and N pixels, as arrays."""

    kind: np.ndarray  # (N,) int32 index of the pixel's kind; -1: stays dark
    raw: bool
    table: np.ndarray  # (256,) duty of a raw code
    matrix: np.ndarray  # (Q, 3, 3) asked → duty of r, g, b without w
    to_lms: np.ndarray  # (3, 3) asked → OKLab cone response
    from_lms: np.ndarray  # (Q, 3, 3) OKLab cone response → duty of r, g, b
    content: np.ndarray  # (Q, 3) duty of r, g, b that one full w replaces
    rule: np.ndarray  # (Q,) int64
    share: np.ndarray  # (Q,) of the largest w, for the rule MOST


@njit(cache=True, nogil=True)
def fill_codes(asked, brightness, laws, frame, out):
    """Write uint8 codes (T, N, 4); dithered when `frame` (T,) int64 is not empty."""
    for t in range(asked.shape[0]):
        for n in range(asked.shape[1]):
            r, g, b, w, _ = _pixel(
                asked[t, n, 0], asked[t, n, 1], asked[t, n, 2], brightness, n, laws
            )
            up = 0.5
            if frame.size:
                up = (_scatter(n) + frame[t] * GOLDEN) % 1.0
            out[t, n, 0] = np.uint8(r * 255.0 + up)
            out[t, n, 1] = np.uint8(g * 255.0 + up)
            out[t, n, 2] = np.uint8(b * 255.0 + up)
            out[t, n, 3] = np.uint8(w * 255.0 + up)


@njit(cache=True, nogil=True)
def fill_duty(asked, brightness, laws, out):
    """Write duties (T, N, 4); return how many pixels were lit, held and reduced."""
    lit = held = reduced = 0
    for t in range(asked.shape[0]):
        for n in range(asked.shape[1]):
            r, g, b, w, fate = _pixel(
                asked[t, n, 0], asked[t, n, 1], asked[t, n, 2], brightness, n, laws
            )
            out[t, n, 0] = r
            out[t, n, 1] = g
            out[t, n, 2] = b
            out[t, n, 3] = w
            lit += r + g + b + w > 0.0
            held += fate & 1
            reduced += fate >> 1
    return lit, held, reduced


@njit(cache=True, nogil=True)
def _pixel(red, green, blue, brightness, n, laws):
    """Duties r, g, b, w of one pixel and its fate: 1 held, 2 reduced, 3 both."""
    k = laws.kind[n]
    if k < 0:
        return 0.0, 0.0, 0.0, 0.0, 0
    fate = 0
    if laws.raw:
        r = laws.table[_code(red)] * brightness
        g = laws.table[_code(green)] * brightness
        b = laws.table[_code(blue)] * brightness
    else:
        m = laws.matrix
        r = (m[k, 0, 0] * red + m[k, 0, 1] * green + m[k, 0, 2] * blue) * brightness
        g = (m[k, 1, 0] * red + m[k, 1, 1] * green + m[k, 1, 2] * blue) * brightness
        b = (m[k, 2, 0] * red + m[k, 2, 1] * green + m[k, 2, 2] * blue) * brightness
        most = max(r, g, b)
        if most <= 0.0:
            return 0.0, 0.0, 0.0, 0.0, 0
        if min(r, g, b) < -EDGE * most:
            r, g, b = _reduced(red, green, blue, brightness, k, laws)
            fate = 2
        r, g, b = max(r, 0.0), max(g, 0.0), max(b, 0.0)
        if max(r, g, b) > 1.0:
            room = _room(r, g, b, k, laws)
            if room < 1.0:
                r, g, b = r * room, g * room, b * room
                fate += 1
    w = _white(r, g, b, k, laws)
    c = laws.content
    r = min(max(r - w * c[k, 0], 0.0), 1.0)
    g = min(max(g - w * c[k, 1], 0.0), 1.0)
    b = min(max(b - w * c[k, 2], 0.0), 1.0)
    return r, g, b, w, fate


@njit(cache=True, nogil=True)
def _code(value):
    return int(min(max(value, 0.0), 1.0) * 255.0 + 0.5)


@njit(cache=True, nogil=True)
def _contained(r, g, b, k, content):
    """The w, without upper bound, whose light the colour contains."""
    w = np.inf
    if content[k, 0] > 0.0:
        w = min(w, r / content[k, 0])
    if content[k, 1] > 0.0:
        w = min(w, g / content[k, 1])
    if content[k, 2] > 0.0:
        w = min(w, b / content[k, 2])
    return w


@njit(cache=True, nogil=True)
def _white(r, g, b, k, laws):
    """The white duty under the kind's rule."""
    share, rule, c = laws.share[k], laws.rule[k], laws.content
    if share == 0.0:
        return 0.0
    largest = min(_contained(r, g, b, k, c), 1.0)
    if rule == MOST:
        return share * largest
    w = 0.0
    for duty, part in ((r, c[k, 0]), (g, c[k, 1]), (b, c[k, 2])):
        if rule == LEAST and part > 0.0:
            w = max(w, (duty - 1.0) / part)
        elif rule == BALANCE and part > -1.0:
            w = max(w, duty / (1.0 + part))
    return min(w, largest)


@njit(cache=True, nogil=True)
def _room(r, g, b, k, laws):
    """The largest factor at which the colour stays within full duty under the rule.

    With the factor t the white duty is share·min(1, t·contained). Until it reaches its bound a
    channel rises with the slope d − share·contained·c, afterwards with d; the first channel to
    reach 1 sets t.
    """
    share, c = laws.share[k], laws.content
    contained = _contained(r, g, b, k, c) if share > 0.0 else 0.0
    room = np.inf
    for duty, part in ((r, c[k, 0]), (g, c[k, 1]), (b, c[k, 2])):
        slope = duty - share * contained * part
        if slope >= max(contained, 1e-12):
            room = min(room, 1.0 / slope)
        elif duty > 0.0:
            room = min(room, (1.0 + share * part) / duty)
    return room


@njit(cache=True, nogil=True)
def _reduced(red, green, blue, brightness, k, laws):
    """Duties at the edge of the primaries, towards the grey of equal OKLab hue and lightness."""
    m, p = laws.to_lms, laws.from_lms
    long = np.cbrt(m[0, 0] * red + m[0, 1] * green + m[0, 2] * blue)
    mid = np.cbrt(m[1, 0] * red + m[1, 1] * green + m[1, 2] * blue)
    short = np.cbrt(m[2, 0] * red + m[2, 1] * green + m[2, 2] * blue)
    grey = OKLAB_L[0] * long + OKLAB_L[1] * mid + OKLAB_L[2] * short
    if grey <= 0.0:
        return 0.0, 0.0, 0.0
    r = g = b = 0.0
    inside, outside = 0.0, 1.0
    for _ in range(HALVINGS):
        chroma = (inside + outside) / 2.0
        x = (grey + chroma * (long - grey)) ** 3
        y = (grey + chroma * (mid - grey)) ** 3
        z = (grey + chroma * (short - grey)) ** 3
        d0 = p[k, 0, 0] * x + p[k, 0, 1] * y + p[k, 0, 2] * z
        d1 = p[k, 1, 0] * x + p[k, 1, 1] * y + p[k, 1, 2] * z
        d2 = p[k, 2, 0] * x + p[k, 2, 1] * y + p[k, 2, 2] * z
        if min(d0, d1, d2) >= 0.0:
            inside, r, g, b = chroma, d0, d1, d2
        else:
            outside = chroma
    return r * brightness, g * brightness, b * brightness


@njit(cache=True, nogil=True)
def _scatter(n):
    """A number 0..1 hashed from the pixel's own (the finaliser of MurmurHash3)."""
    h = np.uint32(n)
    h = np.uint32((h ^ (h >> np.uint32(16))) * np.uint32(0x85EBCA6B))
    h = np.uint32((h ^ (h >> np.uint32(13))) * np.uint32(0xC2B2AE35))
    return (h ^ (h >> np.uint32(16))) / 4294967296.0
