"""The hot loop of mixing, compiled: asked colour of every pixel of every frame → duty or code.

`sim.colour.mixing` says what the rules mean. Pixels are worked on in blocks, one step of the rules
for all of a block before the next: a step is then a plain loop without exceptions, of which the
processor takes several pixels in one go. What the steps hand on lies in one array, a row of
`BLOCK` numbers after another, because the compiler sees of one array alone that its rows do not
overlap. A kind's law is a tuple of plain numbers so that they stay in registers.
The functions carry no annotations because numba derives their types.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.colour.reduced_kernel import BLOCK, ROWS, B, C, G, R, S, W, X, Y, Z, reduce_block
from sim.kernels import njit

# Rules of the white channel, after `economy` has been settled for the kind.
MOST = 0  # a share of the largest w; share 0 is `off`
LEAST = 1  # the smallest w that keeps r, g, b within full duty
BALANCE = 2  # the w that makes the largest duty smallest: dies in series share one current

#: A duty this far below zero, relative to the largest, is rounding and not a foreign colour.
EDGE = 1e-5
#: The golden ratio's fraction: its multiples fill 0..1 more evenly than any other step's.
GOLDEN = 0.6180339887498949


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
_inner = njit(inner=True, cache=True, nogil=True, error_model="numpy")


@_compiled
def fill_codes(asked, brightness, kind, which, law, table, frame, out):
    """Write uint8 codes (T, N, 4) of the pixels of one kind; dithered unless `frame` is empty."""
    work, at = np.empty(ROWS * BLOCK), np.empty(BLOCK, np.intp)
    for t in range(asked.shape[0]):
        n = np.intp(0)  # a plain 0 is a type of its own, and what it is passed to compiled twice
        while n < asked.shape[1]:
            count, n = take_block(asked, kind, which, t, n, frame.size == 0, out, work, at)
            if count == 0:
                continue
            mix_block(work, count, brightness, law, table)
            write_codes(work, count, 4, at, t, frame, out)


@_compiled
def fill_duty(asked, brightness, kind, which, law, table, out):
    """Write duties (T, N, 4) of the pixels of one kind; return how many are lit, held, reduced."""
    work, at = np.empty(ROWS * BLOCK), np.empty(BLOCK, np.intp)
    unwritten = np.empty((0, 0, 0), np.uint8)
    lit = held = reduced = 0
    for t in range(asked.shape[0]):
        n = np.intp(0)
        while n < asked.shape[1]:
            count, n = take_block(asked, kind, which, t, n, False, unwritten, work, at)
            mix_block(work, count, brightness, law, table)
            for i in range(count):
                r, g, b, w = work[R + i], work[G + i], work[B + i], work[W + i]
                out[t, at[i], 0] = r
                out[t, at[i], 1] = g
                out[t, at[i], 2] = b
                out[t, at[i], 3] = w
                lit += r + g + b + w > 0.0
                fate = int(work[S + i])
                held += fate & 1
                reduced += fate >> 1
    return lit, held, reduced


@_inner
def take_block(asked, kind, which, t, n, still, out, work, at):
    """The next pixels of a kind from `n` on: how many, and where those after them begin.

    Their colours come to X, Y and Z, their numbers to `at`. Much light stands still from one frame
    to the next: where `still`, the codes of the frame before are copied.
    """
    count = 0
    while n < asked.shape[1] and count < BLOCK:
        if kind[n] == which:
            red, green, blue = asked[t, n, 0], asked[t, n, 1], asked[t, n, 2]
            if (
                still
                and t > 0
                and red == asked[t - 1, n, 0]
                and green == asked[t - 1, n, 1]
                and blue == asked[t - 1, n, 2]
            ):
                # one word of four octets; a loop over the channels would take them one by one
                r, g, b, w = out[t - 1, n, 0], out[t - 1, n, 1], out[t - 1, n, 2], out[t - 1, n, 3]
                out[t, n, 0] = r
                out[t, n, 1] = g
                out[t, n, 2] = b
                out[t, n, 3] = w
                for c in range(4, out.shape[2]):
                    out[t, n, c] = out[t - 1, n, c]
            else:
                at[count] = n
                work[X + count] = red
                work[Y + count] = green
                work[Z + count] = blue
                count += 1
        n += 1
    return count, n


@_inner
def mix_block(work, count, brightness, law, table):
    """Duties of a block to R, G, B, W; to S the fate of each: 1 held, 2 reduced, 3 both."""
    if law.raw:
        for i in range(count):
            work[R + i] = table[_code(work[X + i])] * brightness
            work[G + i] = table[_code(work[Y + i])] * brightness
            work[B + i] = table[_code(work[Z + i])] * brightness
            work[S + i] = 0.0
    else:
        primaries(work, count, brightness, law)
        over = 0
        for i in range(count):
            over += max(work[R + i], max(work[G + i], work[B + i])) > 1.0
        if over:
            _hold(work, count, law)
    _whiten(work, count, law)


@_inner
def primaries(work, count, brightness, law):
    """Duties, not below 0, of r, g and b alone, within their gamut; S is 2 where reduced."""
    m = law.matrix
    foreign = 0
    for i in range(count):
        red, green, blue = work[X + i], work[Y + i], work[Z + i]
        r = (m[0] * red + m[1] * green + m[2] * blue) * brightness
        g = (m[3] * red + m[4] * green + m[5] * blue) * brightness
        b = (m[6] * red + m[7] * green + m[8] * blue) * brightness
        most = max(r, max(g, b))
        outside = most > 0.0 and min(r, min(g, b)) < -EDGE * most
        foreign += outside
        work[S + i] = 2.0 if outside else 0.0
        work[R + i] = max(r, 0.0)
        work[G + i] = max(g, 0.0)
        work[B + i] = max(b, 0.0)
    if foreign:
        reduce_block(work, count, brightness, law.to_lms, law.from_lms)


@_inner
def write_codes(work, count, channels, at, t, frame, out):
    """Write the duties of a block, rounded to codes: to the nearest, or dithered by `frame`."""
    for i in range(count):
        work[S + i] = 0.5
    if frame.size:
        for i in range(count):
            work[S + i] = (_scatter(at[i]) + frame[t] * GOLDEN) % 1.0
    for i in range(count):
        n, up = at[i], work[S + i]
        out[t, n, 0] = np.uint8(work[R + i] * 255.0 + up)
        out[t, n, 1] = np.uint8(work[G + i] * 255.0 + up)
        out[t, n, 2] = np.uint8(work[B + i] * 255.0 + up)
        out[t, n, 3] = np.uint8(work[W + i] * 255.0 + up)
        if channels == 5:
            out[t, n, 4] = np.uint8(work[C + i] * 255.0 + up)


@_inner
def _code(value):
    return int(min(max(value, 0.0), 1.0) * 255.0 + 0.5)


@_inner
def _contained(r, g, b, law):
    """The w, without upper bound, whose light the colour contains."""
    per, unbound = law.per_content, law.unbound
    return min(r * per[0] + unbound[0], min(g * per[1] + unbound[1], b * per[2] + unbound[2]))


@_inner
def _whiten(work, count, law):
    """White duties under the kind's rule to W, and what is left to r, g and b."""
    content = law.content
    for i in range(count):
        r, g, b = work[R + i], work[G + i], work[B + i]
        w = min(_contained(r, g, b, law), 1.0)
        if law.rule == MOST:
            w = law.share * w
        elif law.rule == BALANCE:
            balance = max(r / (1.0 + content[0]), g / (1.0 + content[1]))
            w = min(max(balance, max(b / (1.0 + content[2]), 0.0)), w)
        else:
            least = 0.0
            least = max(least, (r - 1.0) / content[0]) if content[0] > 0.0 else least
            least = max(least, (g - 1.0) / content[1]) if content[1] > 0.0 else least
            least = max(least, (b - 1.0) / content[2]) if content[2] > 0.0 else least
            w = min(least, w)
        work[W + i] = w
        work[R + i] = min(max(r - w * content[0], 0.0), 1.0)
        work[G + i] = min(max(g - w * content[1], 0.0), 1.0)
        work[B + i] = min(max(b - w * content[2], 0.0), 1.0)


@_inner
def _hold(work, count, law):
    """Dim what would need more than full duty; S one more where there is any."""
    for i in range(count):
        r, g, b = work[R + i], work[G + i], work[B + i]
        factor = room(r, g, b, law) if max(r, max(g, b)) > 1.0 else 1.0
        factor = min(factor, 1.0)
        work[S + i] += 1.0 if factor < 1.0 else 0.0
        work[R + i] = r * factor
        work[G + i] = g * factor
        work[B + i] = b * factor


@_inner
def room(r, g, b, law):
    """The largest factor at which the colour stays within full duty under the rule.

    With the factor t the white duty is share·min(1, t·contained). Until it reaches its bound a
    channel rises with the slope d − share·contained·c, afterwards with d; the first channel to
    reach 1 sets t.
    """
    contained = _contained(r, g, b, law) if law.share > 0.0 else 0.0
    return min(
        _channel_room(r, law.content[0], law.share, contained),
        min(
            _channel_room(g, law.content[1], law.share, contained),
            _channel_room(b, law.content[2], law.share, contained),
        ),
    )


@_inner
def _channel_room(duty, part, share, contained):
    slope = duty - share * contained * part
    rising = slope > 0.0 and slope >= contained
    over = 1.0 if rising else 1.0 + share * part
    under = slope if rising else duty
    return over / under if under > 0.0 else np.inf


@_inner
def _scatter(n):
    """A number 0..1 hashed from the pixel's own (the finaliser of MurmurHash3)."""
    h = np.uint32(n)
    h = np.uint32((h ^ (h >> np.uint32(16))) * np.uint32(0x85EBCA6B))
    h = np.uint32((h ^ (h >> np.uint32(13))) * np.uint32(0xC2B2AE35))
    return (h ^ (h >> np.uint32(16))) / 4294967296.0
