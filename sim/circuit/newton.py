"""Newton's method on the content of a network, LANES frames side by side; compiled.

The second derivative is exact, and a step is cut back where it passes the minimum along its line:
that gets to the minimum from any start; and since the currents are piecewise linear it ends
exactly, once the pieces are known. So a guess is as good as the pieces that it lies in, and a round
is a solve with every pixel as the straight line of its piece: i = base + slope·v. It is two walks
over the nodes: towards the end of the elimination order pixels are drawn at the guess, factors made
and used at once; on the way back each voltage is found, and whether it lies on its pixel's line.
"""

from __future__ import annotations

from sim.kernels import njit

from .elimination import LANES, Array, Pattern
from .lanes import anywhere, either, every, most, put, row, size_of, words
from .law_table import LawTable, common_of, drawn_of, flat_of, kind_of
from .newton_cut import cut
from .newton_room import BALANCED_A, Room

_ROUNDS = 100
#: A step may pass the minimum along its line a little: the content must not rise at its end by
#: more than this share of its fall at the start. Easy for some rounds, which is quicker; strict
#: after them, which is what makes sure of the end.
_EASY, _STRICT, _EASY_ROUNDS = 0.2, 1e-3, 8


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _forward(
    net: Pattern, law: LawTable, room: Room, v: int, eased: Array, resisting: bool, fresh: bool
) -> None:
    """Lines through the guess, or through 0 as `newton` says, and the first half of the solve.

    The guess begins at row `v` of the volts; `fresh`: of these codes for the first time.
    """
    node, column, rows, product, target = net.node, net.column, net.row, net.product, net.target
    diagonal_s, entry_s, push_a = net.diagonal_s, net.entry_s, net.push_a
    kind, each, word, full_a, volts = law.kind, law.each, room.word, room.full_a, room.volts
    base, slope, solved, entry = room.base, room.slope, room.solved, room.entry
    taken_s, taken_a, joined, filled = room.taken_s, room.taken_a, room.joined, room.filled
    more, common = (len(word) - 1) * len(node), room.common
    for e in range(len(entry_s)):
        if filled[e] > 0:
            put(entry, e, every(entry_s[e]))
    for k in range(len(node)):
        if joined[k] > 0:
            put(taken_s, k, every(0.0))
            put(taken_a, k, every(0.0))
    # What the next node gets from this one goes there in registers: most nodes lie in a line.
    ahead_s, ahead_a = every(0.0), every(0.0)
    for k in range(len(node)):
        pivot, this = every(diagonal_s[k]), every(push_a[k])
        if len(eased) > 0:
            this += row(eased, k)
        if joined[k] > 0:
            pivot -= row(taken_s, k)
            this -= row(taken_a, k)
        if node[k] < len(kind):
            of = kind_of(each, kind[node[k]])
            if resisting:
                at_none, rise = every(0.0), row(full_a, k) * (1.0 / of.flat_v)
            else:
                guess = row(volts, v + k)
                four, fifth = words(word, k), words(word, more + k)
                if of.one_current != 0.0 and fresh:
                    put(common, k, common_of(of, four))
                if anywhere(guess < of.flat_v):
                    now, rise = drawn_of(of, four, fifth, row(common, k), guess)
                    at_none = now - rise * guess
                else:
                    at_none, rise = flat_of(of, four, fifth, row(common, k)), every(0.0)
            put(base, k, at_none)
            put(slope, k, rise)
            pivot += rise
            this -= at_none
        inverse = 1.0 / (pivot - ahead_s)
        this -= ahead_a
        put(solved, k, this * inverse)
        ahead_s, ahead_a = every(0.0), every(0.0)
        p = product[k]
        end = column[k + 1]
        for i in range(column[k], end):
            held = every(entry_s[i])
            if filled[i] > 0:
                held = row(entry, i)
            scaled = held * inverse
            # Later entries of the column are still undivided when the products are made.
            for j in range(i + 1, end):
                into = target[p + j - i]
                later = every(entry_s[j])
                if filled[j] > 0:
                    later = row(entry, j)
                put(entry, into, row(entry, into) - scaled * later)
            p += end - i
            at = rows[i]
            if at == k + 1:
                ahead_s, ahead_a = held * scaled, scaled * this
            else:
                put(taken_s, at, row(taken_s, at) + held * scaled)
                put(taken_a, at, row(taken_a, at) + scaled * this)
            put(entry, i, scaled)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _back(net: Pattern, law: LawTable, room: Room, trial: int) -> bool:
    """The rest of the solve, and what the pixels draw there; whether any of them is starved.

    It goes to the volts from row `trial` on, and how far they are off their lines to `room.off`.
    """
    node, column, rows, kind, each = net.node, net.column, net.row, law.kind, law.each
    solved, entry, volts, word = room.solved, room.entry, room.volts, room.word
    current, base, slope = room.current, room.base, room.slope
    more, common = (len(word) - 1) * len(node), room.common
    worst, v = every(0.0), every(0.0)
    short = v > 0.0
    for k in range(len(node) - 1, -1, -1):
        behind = v
        v = row(solved, k)
        for i in range(column[k], column[k + 1]):
            if rows[i] == k + 1:
                v -= row(entry, i) * behind
            else:
                v -= row(entry, i) * row(volts, trial + rows[i])
        put(volts, trial + k, v)
        if node[k] < len(kind):
            of = kind_of(each, kind[node[k]])
            four, fifth, low = words(word, k), words(word, more + k), v < of.flat_v
            if anywhere(low):
                short = either(short, low)
                now = drawn_of(of, four, fifth, row(common, k), v)[0]
            else:
                now = flat_of(of, four, fifth, row(common, k))
            put(current, k, now)
            worst = most(worst, size_of(now - (row(base, k) + row(slope, k) * v)))
    put(room.off, 0, worst)
    return anywhere(short)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def newton(
    net: Pattern, law: LawTable, room: Room, v: int, trial: int, eased: Array, begin: bool
) -> tuple[int, int, int, bool]:
    """Balance the network from the guess at row `v` of the volts; those from `trial` on are free.

    `eased` (M, LANES) or (0, LANES) is pushed in too. `begin` without a guess: each pixel is first
    the resistor that draws its full current at full voltage. Returns (−1, −1), or (lane, position)
    of the worst node if it does not converge; at which of the two rows the voltages then are that
    were found, as the currents are in `room.current`; and whether any pixel is starved there.
    """
    off = room.off
    short, first = True, 1 if begin else 0
    for turn in range(_ROUNDS):
        resisting = turn < first
        _forward(net, law, room, v, eased, resisting, turn == first)
        short = _back(net, law, room, trial)
        if not resisting:
            if not anywhere(row(off, 0) >= BALANCED_A):
                return -1, -1, trial, short
            cut(net, law, room, v, trial, eased, _EASY if turn < _EASY_ROUNDS else _STRICT)
        v, trial = trial, v
    lane, where, worst, size = 0, 0, 0.0, len(net.node)
    for b in range(LANES):
        if off[0, b] > off[0, lane]:
            lane = b
    for k in range(size):
        changed = abs(room.volts[v // size, k, lane] - room.volts[trial // size, k, lane])
        if changed > worst:
            where, worst = k, changed
    return lane, where, v, short
