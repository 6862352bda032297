"""The hot loop of mixing, compiled: asked colour of every pixel of every frame → duty or code.

Kept scalar and flat on purpose; `sim.colour.mixing` says what the rules mean. A kind's law is a
tuple of plain numbers so that they stay in registers: arrays here cost three times the time.
The functions carry no annotations because numba derives their types.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from effects.colour_spaces import LMS_TO_LAB
from sim.kernels import njit

# Rules of the white channel, after `economy` has been settled for the kind.
MOST = 0  # a share of the largest w; share 0 is `off`
LEAST = 1  # the smallest w that keeps r, g, b within full duty
BALANCE = 2  # the w that makes the largest duty smallest: dies in series share one current

#: A duty this far below zero, relative to the largest, is rounding and not a foreign colour.
EDGE = 1e-5
#: Halvings of the chroma interval; 2^-16 of it is far below one 8-bit code.
HALVINGS = 16
#: The golden ratio's fraction: its multiples fill 0..1 more evenly than any other step's.
GOLDEN = 0.6180339887498949
#: Row of OKLab's second matrix that gives L.
OKLAB_L = tuple(LMS_TO_LAB[0].tolist())


class MixLaw(NamedTuple):
    """How one kind mixes; matrices are flat, row by row."""

    raw: bool
    matrix: tuple[float, ...]  # 9: asked → duty of r, g, b without w
    to_lms: tuple[float, ...]  # 9: asked → OKLab cone response
    from_lms: tuple[float, ...]  # 9: OKLab cone response → duty of r, g, b
    content: tuple[float, ...]  # 3: duty of r, g, b that one full w replaces
    per_content: tuple[float, ...]  # 3: its reciprocal, 0 where there is none
    unbound: tuple[float, ...]  # 3: 0, or infinity where there is none
    rule: int
    share: float  # of the largest w, for the rule MOST


_compiled = njit(cache=True, nogil=True, error_model="numpy")


@_compiled
def fill_codes(asked, brightness, kind, which, law, table, frame, out):
    """Write uint8 codes (T, N, 4) of the pixels of one kind; dithered unless `frame` is empty."""
    for t in range(asked.shape[0]):
        for n in range(asked.shape[1]):
            if kind[n] != which:
                continue
            # Much light stands still from one frame to the next.
            if t > 0 and not frame.size and _same(asked, t, n):
                for c in range(4):
                    out[t, n, c] = out[t - 1, n, c]
                continue
            r, g, b, w, _ = _pixel(
                asked[t, n, 0], asked[t, n, 1], asked[t, n, 2], brightness, law, table
            )
            up = 0.5
            if frame.size:
                up = (_scatter(n) + frame[t] * GOLDEN) % 1.0
            out[t, n, 0] = np.uint8(r * 255.0 + up)
            out[t, n, 1] = np.uint8(g * 255.0 + up)
            out[t, n, 2] = np.uint8(b * 255.0 + up)
            out[t, n, 3] = np.uint8(w * 255.0 + up)


@_compiled
def _same(asked, t, n):
    """Whether a pixel is asked for the colour of the frame before."""
    return (
        asked[t, n, 0] == asked[t - 1, n, 0]
        and asked[t, n, 1] == asked[t - 1, n, 1]
        and asked[t, n, 2] == asked[t - 1, n, 2]
    )


@_compiled
def fill_duty(asked, brightness, kind, which, law, table, out):
    """Write duties (T, N, 4) of the pixels of one kind; return how many are lit, held, reduced."""
    lit = held = reduced = 0
    for t in range(asked.shape[0]):
        for n in range(asked.shape[1]):
            if kind[n] != which:
                continue
            r, g, b, w, fate = _pixel(
                asked[t, n, 0], asked[t, n, 1], asked[t, n, 2], brightness, law, table
            )
            out[t, n, 0] = r
            out[t, n, 1] = g
            out[t, n, 2] = b
            out[t, n, 3] = w
            lit += r + g + b + w > 0.0
            held += fate & 1
            reduced += fate >> 1
    return lit, held, reduced


@_compiled
def _pixel(red, green, blue, brightness, law, table):
    """Duties r, g, b, w of one pixel and its fate: 1 held, 2 reduced, 3 both."""
    fate = 0
    if law.raw:
        r = table[_code(red)] * brightness
        g = table[_code(green)] * brightness
        b = table[_code(blue)] * brightness
    else:
        m = law.matrix
        r = (m[0] * red + m[1] * green + m[2] * blue) * brightness
        g = (m[3] * red + m[4] * green + m[5] * blue) * brightness
        b = (m[6] * red + m[7] * green + m[8] * blue) * brightness
        most = max(r, max(g, b))
        if most <= 0.0:
            return 0.0, 0.0, 0.0, 0.0, 0
        if min(r, min(g, b)) < -EDGE * most:
            r, g, b = _reduced(red, green, blue, brightness, law)
            fate = 2
        r, g, b = max(r, 0.0), max(g, 0.0), max(b, 0.0)
        if max(r, max(g, b)) > 1.0:
            factor = room(r, g, b, law)
            if factor < 1.0:
                r, g, b = r * factor, g * factor, b * factor
                fate += 1
    w = _white(r, g, b, law)
    r = min(max(r - w * law.content[0], 0.0), 1.0)
    g = min(max(g - w * law.content[1], 0.0), 1.0)
    b = min(max(b - w * law.content[2], 0.0), 1.0)
    return r, g, b, w, fate


@_compiled
def _code(value):
    return int(min(max(value, 0.0), 1.0) * 255.0 + 0.5)


@_compiled
def _contained(r, g, b, law):
    """The w, without upper bound, whose light the colour contains."""
    per, unbound = law.per_content, law.unbound
    return min(r * per[0] + unbound[0], min(g * per[1] + unbound[1], b * per[2] + unbound[2]))


@_compiled
def _white(r, g, b, law):
    """The white duty under the kind's rule."""
    largest = min(_contained(r, g, b, law), 1.0)
    if law.rule == MOST:
        return law.share * largest
    w = 0.0
    for duty, part in ((r, law.content[0]), (g, law.content[1]), (b, law.content[2])):
        if law.rule == BALANCE:
            w = max(w, duty / (1.0 + part))
        elif part > 0.0:
            w = max(w, (duty - 1.0) / part)
    return min(w, largest)


@_compiled
def room(r, g, b, law):
    """The largest factor at which the colour stays within full duty under the rule.

    With the factor t the white duty is share·min(1, t·contained). Until it reaches its bound a
    channel rises with the slope d − share·contained·c, afterwards with d; the first channel to
    reach 1 sets t.
    """
    share = law.share
    contained = _contained(r, g, b, law) if share > 0.0 else 0.0
    factor = np.inf
    for duty, part in ((r, law.content[0]), (g, law.content[1]), (b, law.content[2])):
        slope = duty - share * contained * part
        if slope > 0.0 and slope >= contained:
            factor = min(factor, 1.0 / slope)
        elif duty > 0.0:
            factor = min(factor, (1.0 + share * part) / duty)
    return factor


@_compiled
def _reduced(red, green, blue, brightness, law):
    """Duties at the edge of the primaries, towards the grey of equal OKLab hue and lightness."""
    m, p = law.to_lms, law.from_lms
    long = np.cbrt(m[0] * red + m[1] * green + m[2] * blue)
    mid = np.cbrt(m[3] * red + m[4] * green + m[5] * blue)
    short = np.cbrt(m[6] * red + m[7] * green + m[8] * blue)
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
        d0 = p[0] * x + p[1] * y + p[2] * z
        d1 = p[3] * x + p[4] * y + p[5] * z
        d2 = p[6] * x + p[7] * y + p[8] * z
        if min(d0, min(d1, d2)) >= 0.0:
            inside, r, g, b = chroma, d0, d1, d2
        else:
            outside = chroma
    return r * brightness, g * brightness, b * brightness


@_compiled
def _scatter(n):
    """A number 0..1 hashed from the pixel's own (the finaliser of MurmurHash3)."""
    h = np.uint32(n)
    h = np.uint32((h ^ (h >> np.uint32(16))) * np.uint32(0x85EBCA6B))
    h = np.uint32((h ^ (h >> np.uint32(13))) * np.uint32(0xC2B2AE35))
    return (h ^ (h >> np.uint32(16))) / 4294967296.0
