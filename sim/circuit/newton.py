"""Newton's method on the content of a network, LANES frames side by side; compiled.

The second derivative is exact, and a step is cut back where it passes the minimum along its line:
that gets to the minimum from any start; and since the currents are piecewise linear it ends
exactly, once the pieces are known. A round is two walks over the nodes: towards the end of the
elimination order factors are made and used at once, and on the way back each step is taken as it
is found.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern, factor, substitute
from .lanes import (
    anywhere,
    both,
    chosen,
    either,
    every,
    least,
    most,
    put,
    row,
    size_of,
    words,
)
from .law_table import LawTable, drawn_of, full_of, kind_of

#: [A] a node counts as balanced below this: 1 pA through 10 Ω is 10 pV.
BALANCED_A = 1e-12
_ROUNDS = 100
_CUTS = 60
#: A step may pass the minimum along its line a little: the content must not rise at its end by
#: more than this share of its fall at the start. Easy for some rounds, which is quicker; strict
#: after them, which is what makes sure of the end.
_EASY, _STRICT, _EASY_ROUNDS = 0.2, 1e-3, 8


class Room(NamedTuple):
    """What one block of frames is worked out in; arrays over (positions, LANES)."""

    v: np.ndarray
    current: np.ndarray
    slope: np.ndarray
    residual: np.ndarray
    step: np.ndarray
    trial: np.ndarray
    drawn: np.ndarray
    bent: np.ndarray
    tangent: np.ndarray
    diagonal: np.ndarray
    full_a: np.ndarray
    entry: np.ndarray  # (Z, LANES)
    word: np.ndarray  # (W, M, LANES) the codes; see `sim.circuit.law_table.words_of`


@njit(cache=True, nogil=True, error_model="numpy")
def room_for(net: Pattern, wide: int) -> Room:
    """Room for one part, with codes `wide` words a pixel."""
    size = len(net.node)
    v, residual, step, trial, bent, diagonal = np.empty((6, size, LANES))
    # Rows of nodes that are no pixels stay 0 in what pixels draw.
    current, slope, drawn, tangent, full_a = np.zeros((5, size, LANES))
    entry = np.empty((len(net.row), LANES))
    word = np.zeros((wide, size, LANES), dtype=np.uint32)
    return Room(
        *(v, current, slope, residual, step, trial, drawn, bent, tangent, diagonal, full_a),
        *(entry, word),
    )


@njit(cache=True, nogil=True, error_model="numpy")
def _draw(net: Pattern, law: LawTable, word: Array, v: Array, current: Array, slope: Array) -> None:
    """The pixels' currents at v, and how they rise with it."""
    node, kind, each = net.node, law.kind, law.each
    more = (len(word) - 1) * len(node)
    for k in range(len(node)):
        if node[k] < len(kind):
            of = kind_of(each, kind[node[k]])
            now, rise = drawn_of(of, words(word, k), words(word, more + k), row(v, k))
            put(current, k, now)
            put(slope, k, rise)


@njit(cache=True, nogil=True, error_model="numpy")
def fill_full(net: Pattern, law: LawTable, room: Room) -> None:
    """What every pixel draws with enough voltage."""
    node, kind, each, word, full_a = net.node, law.kind, law.each, room.word, room.full_a
    more = (len(word) - 1) * len(node)
    for k in range(len(node)):
        if node[k] < len(kind):
            of = kind_of(each, kind[node[k]])
            put(full_a, k, full_of(of, words(word, k), words(word, more + k)))


@njit(cache=True, nogil=True, error_model="numpy")
def start(net: Pattern, law: LawTable, room: Room, found: Array) -> None:
    """Begin with each pixel as the resistor that draws its full current at full voltage.

    `room.v` holds what is pushed into each node [A], and the voltages then; the last row of
    `found` (4, LANES) the largest residual.
    """
    node, kind, each, diagonal_s = net.node, law.kind, law.each, net.diagonal_s
    v, current, slope, residual = room.v, room.current, room.slope, room.residual
    full_a, diagonal, word = room.full_a, room.diagonal, room.word
    more = (len(word) - 1) * len(node)
    for k in range(len(node)):
        rise = 0.0
        if node[k] < len(kind):
            rise = 1.0 / kind_of(each, kind[node[k]]).flat_v
        put(slope, k, row(full_a, k) * rise)
        put(diagonal, k, diagonal_s[k] + row(slope, k))
    factor(net, diagonal, room.entry)
    substitute(net, diagonal, room.entry, v)
    worst = every(0.0)
    for k in range(len(node)):
        left = 0.0 - row(slope, k) * row(v, k)
        if node[k] < len(kind):
            of = kind_of(each, kind[node[k]])
            now, rises = drawn_of(of, words(word, k), words(word, more + k), row(v, k))
            put(current, k, now)
            put(slope, k, rises)
            left += now
        put(residual, k, left)
        worst = most(worst, size_of(left))
    put(found, 3, worst)


@njit(cache=True, nogil=True, error_model="numpy")
def _forward(net: Pattern, room: Room) -> None:
    """Factor the network with the slopes, and begin to solve it for the step from the residual."""
    diagonal, entry, x = room.diagonal, room.entry, room.step
    slope, residual = room.slope, room.residual
    column, rows, product, target = net.column, net.row, net.product, net.target
    diagonal_s, entry_s = net.diagonal_s, net.entry_s
    for e in range(len(entry_s)):
        put(entry, e, every(entry_s[e]))
    for k in range(len(diagonal_s)):
        put(diagonal, k, diagonal_s[k] + row(slope, k))
        put(x, k, 0.0 - row(residual, k))
    # As `factor_lanes` and the first half of `substitute`, in one walk over the nodes.
    ahead_d, ahead_x = every(0.0), every(0.0)
    for k in range(len(diagonal_s)):
        inverse = 1.0 / (row(diagonal, k) - ahead_d)
        this = row(x, k) - ahead_x
        put(diagonal, k, inverse)
        put(x, k, this)
        ahead_d, ahead_x = every(0.0), every(0.0)
        p = product[k]
        end = column[k + 1]
        for i in range(column[k], end):
            held = row(entry, i)
            scaled = held * inverse
            for j in range(i + 1, end):
                into = target[p + j - i]
                put(entry, into, row(entry, into) - scaled * row(entry, j))
            p += end - i
            at = rows[i]
            if at == k + 1:
                ahead_d, ahead_x = held * scaled, scaled * this
            else:
                put(diagonal, at, row(diagonal, at) - held * scaled)
                put(x, at, row(x, at) - scaled * this)
            put(entry, i, scaled)


@njit(cache=True, nogil=True, error_model="numpy")
def _back(net: Pattern, law: LawTable, now: Room, found: Array) -> None:
    """The rest of the solve, and what the pixels draw after the whole step, in one walk back.

    The first rows of `found` (4, LANES): how steeply the content falls along the step at its
    start, how steeply it rises at its end, and the largest residual there.
    """
    node, kind, each, word = net.node, law.kind, law.each, now.word
    column, rows = net.column, net.row
    diagonal, entry, x, residual = now.diagonal, now.entry, now.step, now.residual
    v, current, slope = now.v, now.current, now.slope
    tried, drawn, tangent, bent = now.trial, now.drawn, now.tangent, now.bent
    more = (len(word) - 1) * len(node)
    before, after, worst = every(0.0), every(0.0), every(0.0)
    step = every(0.0)
    for k in range(len(node) - 1, -1, -1):
        behind = step
        step = row(x, k) * row(diagonal, k)
        for i in range(column[k], column[k + 1]):
            if rows[i] == k + 1:
                step -= row(entry, i) * behind
            else:
                step -= row(entry, i) * row(x, rows[i])
        put(x, k, step)
        before += step * row(residual, k)
        trial = row(v, k) + step
        put(tried, k, trial)
        bend = every(0.0)
        if node[k] < len(kind):
            of = kind_of(each, kind[node[k]])
            then, rise = drawn_of(of, words(word, k), words(word, more + k), trial)
            put(drawn, k, then)
            put(tangent, k, rise)
            # The step takes the residual away, and what the pixels' currents bend away from
            # their tangents is added.
            bend = then - row(current, k) - row(slope, k) * step
            after += step * bend
            worst = most(worst, size_of(bend))
        put(bent, k, bend)
    put(found, 0, before)
    put(found, 1, after)
    put(found, 2, worst)


@njit(cache=True, nogil=True, error_model="numpy")
def _cut(net: Pattern, law: LawTable, now: Room, slack: float, found: Array) -> None:
    """Cut the step of `_back` short in lanes in which it passes the minimum along its line."""
    v, step, residual, current, slope = now.v, now.step, now.residual, now.current, now.slope
    trial, drawn, bent = now.trial, now.drawn, now.bent
    before, after = size_of(row(found, 0)), row(found, 1)
    unbalanced = row(found, 3) >= BALANCED_A
    share = every(1.0)
    for _ in range(_CUTS):
        passed = both(unbalanced, after > slack * before)
        if not anywhere(passed):
            return
        # Past the minimum the secant says where to try again.
        ratio = least(most(before / (before + after), every(0.1)), every(0.9))
        share = chosen(passed, share * ratio, share)
        for k in range(len(v)):
            put(trial, k, row(v, k) + share * row(step, k))
        _draw(net, law, now.word, trial, drawn, now.tangent)
        after, worst = every(0.0), every(0.0)
        for k in range(len(v)):
            # (1 − share) of the residual is left, and the bend is added.
            bend = row(drawn, k) - row(current, k) - share * row(slope, k) * row(step, k)
            left = (1.0 - share) * row(residual, k) + bend
            put(bent, k, left)
            after += row(step, k) * left
            worst = most(worst, size_of(left))
        put(found, 2, worst)


@njit(cache=True, nogil=True, error_model="numpy")
def _swapped(room: Room) -> Room:
    """The room with what was tried in the place of what was."""
    return Room(
        *(room.trial, room.drawn, room.tangent, room.bent, room.step),
        *(room.v, room.current, room.residual, room.slope),
        *(room.diagonal, room.full_a, room.entry, room.word),
    )


@njit(cache=True, nogil=True, error_model="numpy")
def newton(net: Pattern, law: LawTable, room: Room, found: Array) -> tuple[int, int, Room]:
    """Balance the network, from what `start` leaves, or a better first guess.

    Returns (−1, −1), or (lane, position) of the worst node if it does not converge; and the room
    in which v and current then are what was found.
    """
    now = room
    for turn in range(_ROUNDS):
        worst = row(found, 3)
        if not anywhere(worst >= BALANCED_A):
            return -1, -1, now
        _forward(net, now)
        _back(net, law, now, found)
        _cut(net, law, now, _EASY if turn < _EASY_ROUNDS else _STRICT, found)
        put(found, 3, row(found, 2))
        now = _swapped(now)
    where, lane = 0, 0
    for k in range(len(net.node)):
        for b in range(LANES):
            if abs(now.residual[k, b]) > abs(now.residual[where, lane]):
                where, lane = k, b
    return lane, where, now


@njit(cache=True, nogil=True, error_model="numpy")
def enough(net: Pattern, law: LawTable, v: Array) -> bool:
    """True where every pixel of every lane draws what more voltage would not change."""
    node, kind, flat_v = net.node, law.kind, law.flat_v
    short = every(0.0) > 0.0
    for k in range(len(node)):
        if node[k] < len(kind):
            short = either(short, row(v, k) < flat_v[kind[node[k]]])
    return not anywhere(short)
