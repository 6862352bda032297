"""The hot loop of mixing for kinds with two whites, beside that of `sim.colour.kernel`.

Apart, so that kinds of four channels and fewer keep a loop that knows no fifth. See
`sim.colour.two_whites` for where the tables come from. A block of pixels goes through the steps
together, as there.
"""
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.colour.kernel import MixLaw, mix_block, primaries, take_block, write_codes
from sim.colour.reduced_kernel import BLOCK, ROWS, SPARE, B, C, G, R, S, W, X, Y, Z, filled_up
from sim.kernels import njit

#: A duty this far outside 0..1 is rounding, and its piece the right one.
SLACK = 1e-9
#: Halvings of the level at which a share of white is held; 2^-24 is far below a 16-bit code.
HALVINGS = 24
#: Steps towards that level from piece to piece; hardly a colour passes through more.
STEPS = 6
#: Rows for the time of a step: how far duties are out of bounds; what the best piece costs; the
#: level held, the most it can be, and how far it went in a step; three rows for the colours to be
#: held, three for the same at that level, two each for the whites there.
OFF, COST, LEVEL, MOST, MOVED = range(SPARE, SPARE + 5 * BLOCK, BLOCK)
HELD, THERE, RISE, BEGIN = (SPARE + row * BLOCK for row in (5, 8, 11, 13))


class TwoWhites(NamedTuple):
    """How one kind with two whites mixes; duties are r, g, b, w, c."""

    base: MixLaw  # of r, g, b alone; with `halves` of r, g, b and one white
    halves: bool  # the one white of `base` is shared evenly, nothing else counts
    pieces: np.ndarray  # (P, 5, 4) duties as linear functions of the colour
    costs: np.ndarray  # (P, 4) what the duties of each piece cost, as a function of the colour
    faces: np.ndarray  # (F, 4) of all colours there can be
    content: np.ndarray  # (3, 2) duties of r, g, b whose light one full w, one full c has
    share: float  # of the whites that the pieces give


_compiled = njit(cache=True, nogil=True, error_model="numpy")


@_compiled
def fill_codes_two(asked, brightness, kind, which, law, table, frame, out):
    """Write uint8 codes (T, N, 5) of the pixels of one kind; dithered unless `frame` is empty."""
    work, at, piece = np.empty(ROWS * BLOCK), np.empty(BLOCK, np.intp), np.empty(BLOCK, np.intp)
    for t in range(asked.shape[0]):
        n = np.intp(0)
        while n < asked.shape[1]:
            count, n = take_block(asked, kind, which, t, n, frame.size == 0, out, work, at)
            if count == 0:
                continue
            _mix_two(work, count, brightness, law, table, piece)
            write_codes(work, count, 5, at, t, frame, out)


@_compiled
def fill_duty_two(asked, brightness, kind, which, law, table, out):
    """Write duties (T, N, 5) of the pixels of one kind; return how many are lit, held, reduced."""
    work, at, piece = np.empty(ROWS * BLOCK), np.empty(BLOCK, np.intp), np.empty(BLOCK, np.intp)
    unwritten = np.empty((0, 0, 0), np.uint8)
    lit = held = reduced = 0
    for t in range(asked.shape[0]):
        n = np.intp(0)
        while n < asked.shape[1]:
            count, n = take_block(asked, kind, which, t, n, False, unwritten, work, at)
            _mix_two(work, count, brightness, law, table, piece)
            for i in range(count):
                total = 0.0
                for c in range(5):
                    duty = work[R + c * BLOCK + i]
                    out[t, at[i], c] = duty
                    total += duty
                fate = int(work[S + i])
                lit += total > 0.0
                held += fate & 1
                reduced += fate >> 1
    return lit, held, reduced


@_compiled
def _mix_two(work, count, brightness, law, table, piece):
    """Duties of a block to R, G, B, W, C; to S the fate of each: 1 held, 2 reduced, 3 both."""
    if law.halves:
        mix_block(work, count, brightness, law.base, table)
        for i in range(count):
            half = work[W + i] / 2.0
            work[W + i] = half
            work[C + i] = half
        return
    primaries(work, count, brightness, law.base)
    for i in range(count):
        work[X + i], work[Y + i], work[Z + i] = work[R + i], work[G + i], work[B + i]
    _find_pieces(work, X, count, law.costs, piece)
    if _fill_pieces(work, X, R, count, law, piece):  # where they are out of bounds there is less
        _hold_two(work, count, law, piece)
    for i in range(count):
        for row in (R, G, B, W, C):
            work[row + i] = min(max(work[row + i], 0.0), 1.0)


@njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract"})
def _find_pieces(work, row, count, costs, piece):
    """The piece of every colour of the rows from `row` on.

    The least cost of a colour is the largest of what the pieces would cost, since each is a bound
    to it from below: the duality of linear programmes.
    """
    for i in range(count):
        work[COST + i] = -np.inf
        piece[i] = 0
    for p in range(0, len(costs), 2):  # two in one go: half as much is written and read again
        a, b, c, d = costs[p, 0], costs[p, 1], costs[p, 2], costs[p, 3]
        o = min(p + 1, len(costs) - 1)
        a_o, b_o, c_o, d_o = costs[o, 0], costs[o, 1], costs[o, 2], costs[o, 3]
        for i in range(count):
            x, y, z = work[row + i], work[row + BLOCK + i], work[row + 2 * BLOCK + i]
            cost, other = a * x + b * y + c * z + d, a_o * x + b_o * y + c_o * z + d_o
            number = o if other > cost else p
            cost = max(cost, other)
            dearer = cost > work[COST + i]
            piece[i] = number if dearer else piece[i]
            work[COST + i] = cost if dearer else work[COST + i]


@_compiled
def _fill_pieces(work, colour, duty, count, law, piece):
    """Duties by the pieces, of the colours of three rows to five rows from `duty` on.

    To OFF goes how far they are out of bounds; returns of how many they are.
    """
    k, share, of = law.pieces, law.share, law.content
    of_r, of_g, of_b = of[0, 0], of[1, 0], of[2, 0]
    of_rc, of_gc, of_bc = of[0, 1], of[1, 1], of[2, 1]
    d1, d2, d3, d4 = duty + BLOCK, duty + 2 * BLOCK, duty + 3 * BLOCK, duty + 4 * BLOCK
    for i in range(count):
        p, q = piece[i], colour + i
        r, g, b = work[q], work[q + BLOCK], work[q + 2 * BLOCK]
        work[duty + i] = k[p, 0, 0] * r + k[p, 0, 1] * g + k[p, 0, 2] * b + k[p, 0, 3]
        work[d1 + i] = k[p, 1, 0] * r + k[p, 1, 1] * g + k[p, 1, 2] * b + k[p, 1, 3]
        work[d2 + i] = k[p, 2, 0] * r + k[p, 2, 1] * g + k[p, 2, 2] * b + k[p, 2, 3]
        work[d3 + i] = k[p, 3, 0] * r + k[p, 3, 1] * g + k[p, 3, 2] * b + k[p, 3, 3]
        work[d4 + i] = k[p, 4, 0] * r + k[p, 4, 1] * g + k[p, 4, 2] * b + k[p, 4, 3]
    outside = 0
    for i in range(count):
        r, g, b, w, c = work[duty + i], work[d1 + i], work[d2 + i], work[d3 + i], work[d4 + i]
        off = max(max(w, c) - 1.0, -min(min(r, g), min(b, min(w, c))))
        if share != 1.0:
            q = colour + i
            w, c = w * share, c * share
            r = work[q] - of_r * w - of_rc * c
            g = work[q + BLOCK] - of_g * w - of_gc * c
            b = work[q + 2 * BLOCK] - of_b * w - of_bc * c
            work[duty + i], work[d1 + i], work[d2 + i], work[d3 + i], work[d4 + i] = r, g, b, w, c
        off = max(off, max(r, max(g, b)) - 1.0)
        work[OFF + i] = off
        outside += off > SLACK
    return outside


@_compiled
def _piece_duties(r, g, b, k, p, all_bounded, share, content):
    """Duties of a colour by a piece, how far it is from the right one, and they out of bounds."""
    e0 = k[p, 0, 0] * r + k[p, 0, 1] * g + k[p, 0, 2] * b + k[p, 0, 3]
    e1 = k[p, 1, 0] * r + k[p, 1, 1] * g + k[p, 1, 2] * b + k[p, 1, 3]
    e2 = k[p, 2, 0] * r + k[p, 2, 1] * g + k[p, 2, 2] * b + k[p, 2, 3]
    e3 = k[p, 3, 0] * r + k[p, 3, 1] * g + k[p, 3, 2] * b + k[p, 3, 3]
    e4 = k[p, 4, 0] * r + k[p, 4, 1] * g + k[p, 4, 2] * b + k[p, 4, 3]
    off = max(max(e3, e4) - 1.0, -min(min(e0, e1), min(e2, min(e3, e4))))
    if not all_bounded:
        e3, e4 = e3 * share, e4 * share
        e0 = r - content[0, 0] * e3 - content[0, 1] * e4
        e1 = g - content[1, 0] * e3 - content[1, 1] * e4
        e2 = b - content[2, 0] * e3 - content[2, 1] * e4
    full = max(off, max(e0, max(e1, e2)) - 1.0)
    return e0, e1, e2, e3, e4, full if all_bounded else off, full


@_compiled
def _hold_two(work, count, law, piece):
    """Dim colours X, Y, Z whose duties are out of bounds to what there is; S one more for each."""
    those = np.empty(BLOCK, np.intp)
    held = 0
    for i in range(count):
        those[held] = i
        held += work[OFF + i] > SLACK
    for j in range(held):
        i = those[j]
        work[HELD + j] = work[X + i]
        work[HELD + BLOCK + j] = work[Y + i]
        work[HELD + 2 * BLOCK + j] = work[Z + i]
    full = filled_up(held)
    for j in range(held, full):
        work[HELD + j] = work[HELD + BLOCK + j] = work[HELD + 2 * BLOCK + j] = 0.0
    for j in range(full):
        work[LEVEL + j] = 1.0
    for f in range(len(law.faces)):
        height = law.faces[f, 3]
        a, b, c = law.faces[f, 0] / height, law.faces[f, 1] / height, law.faces[f, 2] / height
        for j in range(full):
            r, g, b_j = work[HELD + j], work[HELD + BLOCK + j], work[HELD + 2 * BLOCK + j]
            work[LEVEL + j] = max(work[LEVEL + j], a * r + b * g + c * b_j)
    for j in range(full):
        work[LEVEL + j] = 1.0 / work[LEVEL + j]
        work[MOST + j] = work[LEVEL + j]
    if law.share != 1.0:
        _hold_share(work, full, law, piece)
    for j in range(full):
        level = work[LEVEL + j]
        work[HELD + j] *= level
        work[HELD + BLOCK + j] *= level
        work[HELD + 2 * BLOCK + j] *= level
    _find_pieces(work, HELD, full, law.costs, piece)
    if _fill_pieces(work, HELD, THERE, full, law, piece):
        _search(work, held, law)
    for j in range(held):
        i = those[j]
        work[S + i] += work[LEVEL + j] < 1.0
        work[R + i] = work[THERE + j]
        work[G + i] = work[THERE + BLOCK + j]
        work[B + i] = work[THERE + 2 * BLOCK + j]
        work[W + i] = work[THERE + 3 * BLOCK + j]
        work[C + i] = work[THERE + 4 * BLOCK + j]


@_compiled
def _hold_share(work, count, law, piece):
    """Lower LEVEL to where the first of r, g, b is full beside a share of the whites.

    Along a colour's own line the duties are straight from piece to piece: each step goes to where
    one would be full if the piece went on for ever, until it is the right one.
    """
    for _ in range(STEPS):
        if _next_level(work, count, law, piece) == 0:
            return
    for j in range(count):
        if work[MOVED + j] > SLACK:
            r, g, b = work[HELD + j], work[HELD + BLOCK + j], work[HELD + 2 * BLOCK + j]
            work[LEVEL + j] = most_share(r, g, b, 1.0, law)


@_compiled
def _next_level(work, held, law, piece):
    """One step of LEVEL; to MOVED goes how far it went; returns how many went on."""
    k, share, of = law.pieces, law.share, law.content
    of_r, of_g, of_b = of[0, 0], of[1, 0], of[2, 0]
    of_rc, of_gc, of_bc = of[0, 1], of[1, 1], of[2, 1]
    for j in range(held):
        level = work[LEVEL + j]
        work[THERE + j] = work[HELD + j] * level
        work[THERE + BLOCK + j] = work[HELD + BLOCK + j] * level
        work[THERE + 2 * BLOCK + j] = work[HELD + 2 * BLOCK + j] * level
    _find_pieces(work, THERE, held, law.costs, piece)
    for j in range(held):  # what the whites rise by with the level, and what they begin with
        r, g, b = work[HELD + j], work[HELD + BLOCK + j], work[HELD + 2 * BLOCK + j]
        p = piece[j]
        work[RISE + j] = k[p, 3, 0] * r + k[p, 3, 1] * g + k[p, 3, 2] * b
        work[RISE + BLOCK + j] = k[p, 4, 0] * r + k[p, 4, 1] * g + k[p, 4, 2] * b
        work[BEGIN + j] = k[p, 3, 3]
        work[BEGIN + BLOCK + j] = k[p, 4, 3]
    moved = 0
    for j in range(held):
        w, c = share * work[RISE + j], share * work[RISE + BLOCK + j]
        w0, c0 = share * work[BEGIN + j], share * work[BEGIN + BLOCK + j]
        full, slope = _full_at(work[HELD + j], of_r, of_rc, w, c, w0, c0)
        other, rise = _full_at(work[HELD + BLOCK + j], of_g, of_gc, w, c, w0, c0)
        sooner = other * slope < full * rise
        full, slope = other if sooner else full, rise if sooner else slope
        other, rise = _full_at(work[HELD + 2 * BLOCK + j], of_b, of_bc, w, c, w0, c0)
        sooner = other * slope < full * rise
        full, slope = other if sooner else full, rise if sooner else slope
        level = max(min(full / slope, work[MOST + j]), 0.0)
        work[MOVED + j] = abs(level - work[LEVEL + j])
        moved += work[MOVED + j] > SLACK
        work[LEVEL + j] = level
    return moved


@_compiled
def _full_at(duty, of_w, of_c, w, c, w0, c0):
    """What is left of a channel and how fast it is used, whose whites take w·level + w0 and so on.

    Their quotient is the level at which it is full: far away where the whites take it all.
    """
    left = 1.0 + SLACK / 2.0 + of_w * w0 + of_c * c0
    return left, max(duty - of_w * w - of_c * c, 1e-99)


@_compiled
def _search(work, held, law):
    """Look among all pieces where the best one does not keep the duties in bounds.

    A kind whose channels are worth the same in some mixture has several best ones.
    """
    for j in range(held):
        if work[OFF + j] > SLACK:
            r, g, b = work[HELD + j], work[HELD + BLOCK + j], work[HELD + 2 * BLOCK + j]
            part = 1.0
            if _duties(r, g, b, law)[5] > SLACK:
                part = most_share(r, g, b, 1.0, law)
            found = _duties(r * part, g * part, b * part, law)
            work[LEVEL + j] *= part
            work[THERE + j], work[THERE + BLOCK + j] = found[0], found[1]
            work[THERE + 2 * BLOCK + j], work[THERE + 3 * BLOCK + j] = found[2], found[3]
            work[THERE + 4 * BLOCK + j] = found[4]


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
    d0 = d1 = d2 = d3 = d4 = off = 0.0
    least = np.inf
    for p in range(len(law.pieces)):
        e0, e1, e2, e3, e4, wrong, out = _piece_duties(
            r, g, b, law.pieces, p, law.share == 1.0, law.share, law.content
        )
        if wrong < least:
            d0, d1, d2, d3, d4, least, off = e0, e1, e2, e3, e4, wrong, out
            if wrong <= SLACK:
                break
    return d0, d1, d2, d3, d4, off
