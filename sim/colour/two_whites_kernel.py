"""The hot loop of mixing for kinds with two whites, beside that of `sim.colour.kernel`.

Apart, so that kinds of four channels and fewer keep a loop that knows no fifth. See
`sim.colour.two_whites` for where the tables come from.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.colour.kernel import EDGE, GOLDEN, MixLaw, _pixel, _reduced, _same, _scatter
from sim.kernels import njit

#: A duty this far outside 0..1 is rounding, and its piece the right one.
SLACK = 1e-9
#: Halvings of the level at which a share of white is held; 2^-24 is far below a 16-bit code.
HALVINGS = 24


class TwoWhites(NamedTuple):
    """How one kind with two whites mixes; duties are r, g, b, w, c."""

    base: MixLaw  # of r, g, b alone; with `halves` of r, g, b and one white
    halves: bool  # the one white of `base` is shared evenly, nothing else counts
    pieces: np.ndarray  # (P, 5, 4) duties as linear functions of the colour
    faces: np.ndarray  # (F, 4) of all colours there can be
    content: np.ndarray  # (3, 2) duties of r, g, b whose light one full w, one full c has
    share: float  # of the whites that the pieces give


_compiled = njit(cache=True, nogil=True, error_model="numpy")


@_compiled
def fill_codes_two(asked, brightness, kind, which, law, table, frame, out):
    """Write uint8 codes (T, N, 5) of the pixels of one kind; dithered unless `frame` is empty."""
    for t in range(asked.shape[0]):
        for n in range(asked.shape[1]):
            if kind[n] != which:
                continue
            if t > 0 and not frame.size and _same(asked, t, n):
                for c in range(5):
                    out[t, n, c] = out[t - 1, n, c]
                continue
            r, g, b, w, c, _ = _mixed(
                asked[t, n, 0], asked[t, n, 1], asked[t, n, 2], brightness, law, table
            )
            up = 0.5
            if frame.size:
                up = (_scatter(n) + frame[t] * GOLDEN) % 1.0
            out[t, n, 0] = np.uint8(r * 255.0 + up)
            out[t, n, 1] = np.uint8(g * 255.0 + up)
            out[t, n, 2] = np.uint8(b * 255.0 + up)
            out[t, n, 3] = np.uint8(w * 255.0 + up)
            out[t, n, 4] = np.uint8(c * 255.0 + up)


@_compiled
def fill_duty_two(asked, brightness, kind, which, law, table, out):
    """Write duties (T, N, 5) of the pixels of one kind; return how many are lit, held, reduced."""
    lit = held = reduced = 0
    for t in range(asked.shape[0]):
        for n in range(asked.shape[1]):
            if kind[n] != which:
                continue
            r, g, b, w, c, fate = _mixed(
                asked[t, n, 0], asked[t, n, 1], asked[t, n, 2], brightness, law, table
            )
            out[t, n, 0] = r
            out[t, n, 1] = g
            out[t, n, 2] = b
            out[t, n, 3] = w
            out[t, n, 4] = c
            lit += r + g + b + w + c > 0.0
            held += fate & 1
            reduced += fate >> 1
    return lit, held, reduced


@_compiled
def _mixed(red, green, blue, brightness, law, table):
    """Duties r, g, b, w, c of one pixel and its fate: 1 held, 2 reduced, 3 both."""
    if law.halves:
        r, g, b, w, fate = _pixel(red, green, blue, brightness, law.base, table)
        return r, g, b, w / 2.0, w / 2.0, fate
    fate = 0
    m = law.base.matrix
    r = (m[0] * red + m[1] * green + m[2] * blue) * brightness
    g = (m[3] * red + m[4] * green + m[5] * blue) * brightness
    b = (m[6] * red + m[7] * green + m[8] * blue) * brightness
    most = max(r, max(g, b))
    if most <= 0.0:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0
    if min(r, min(g, b)) < -EDGE * most:
        r, g, b = _reduced(red, green, blue, brightness, law.base)
        fate = 2
    r, g, b = max(r, 0.0), max(g, 0.0), max(b, 0.0)
    d0, d1, d2, d3, d4, off = _duties(r, g, b, law)
    if off > SLACK:  # where no piece keeps the duties in bounds there is less of the colour
        part = most_share(r, g, b, 1.0, law)
        if part < 1.0:
            fate += 1
            d0, d1, d2, d3, d4, off = _duties(r * part, g * part, b * part, law)
    d0, d1, d2 = _within(d0), _within(d1), _within(d2)
    return d0, d1, d2, _within(d3), _within(d4), fate


@_compiled
def _within(duty):
    return min(max(duty, 0.0), 1.0)


@_compiled
def most_share(r, g, b, limit, law):
    """The largest factor, `limit` at most, at which there is so much of a colour under the rule."""
    part = limit
    for f in range(len(law.faces)):
        along = law.faces[f, 0] * r + law.faces[f, 1] * g + law.faces[f, 2] * b
        if along > 0.0 and along * part > law.faces[f, 3]:
            part = law.faces[f, 3] / along
    if law.share == 1.0 or _duties(r * part, g * part, b * part, law)[5] <= SLACK:
        return part
    low, high = 0.0, part
    for _ in range(HALVINGS):
        part = (low + high) / 2.0
        if _duties(r * part, g * part, b * part, law)[5] <= SLACK:
            low = part
        else:
            high = part
    return low


@_compiled
def _duties(r, g, b, law):
    """Duties of a colour by the piece that keeps them in bounds best, and by how much it fails."""
    k, all_bounded = law.pieces, law.share == 1.0
    d0 = d1 = d2 = d3 = d4 = 0.0
    least = np.inf
    for p in range(len(k)):
        e0 = k[p, 0, 0] * r + k[p, 0, 1] * g + k[p, 0, 2] * b + k[p, 0, 3]
        e1 = k[p, 1, 0] * r + k[p, 1, 1] * g + k[p, 1, 2] * b + k[p, 1, 3]
        e2 = k[p, 2, 0] * r + k[p, 2, 1] * g + k[p, 2, 2] * b + k[p, 2, 3]
        e3 = k[p, 3, 0] * r + k[p, 3, 1] * g + k[p, 3, 2] * b + k[p, 3, 3]
        e4 = k[p, 4, 0] * r + k[p, 4, 1] * g + k[p, 4, 2] * b + k[p, 4, 3]
        off = max(max(e3, e4) - 1.0, -min(min(e0, e1), min(e2, min(e3, e4))))
        if all_bounded:
            off = max(off, max(e0, max(e1, e2)) - 1.0)
        if off < least:
            d0, d1, d2, d3, d4, least = e0, e1, e2, e3, e4, off
            if off <= SLACK:
                break
    if not all_bounded:
        d3, d4 = d3 * law.share, d4 * law.share
        d0 = r - law.content[0, 0] * d3 - law.content[0, 1] * d4
        d1 = g - law.content[1, 0] * d3 - law.content[1, 1] * d4
        d2 = b - law.content[2, 0] * d3 - law.content[2, 1] * d4
        least = max(least, max(d0, max(d1, d2)) - 1.0)
    return d0, d1, d2, d3, d4, least
