"""Steps of Newton's method that pass the minimum along their line are cut short; compiled."""

from __future__ import annotations

from sim.kernels import njit

from .elimination import Array, Pattern
from .lanes import anywhere, both, chosen, every, least, most, put, row, size_of, words
from .law_table import LawTable, drawn_of, kind_of
from .newton_room import BALANCED_A, Room

_CUTS = 60


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _unbalanced(net: Pattern, room: Room, v: int, eased: Array) -> None:
    """`room.residual` [A] = G·v − push + what the pixels draw, at the guess."""
    volts, residual, base, slope = room.volts, room.residual, room.base, room.slope
    for k in range(len(net.node)):
        here = row(volts, v + k)
        left = net.diagonal_s[k] * here - net.push_a[k]
        if len(eased) > 0:
            left -= row(eased, k)
        put(residual, k, left + (row(base, k) + row(slope, k) * here))
    for k in range(len(net.node)):
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            put(residual, k, row(residual, k) + net.entry_s[i] * row(volts, v + at))
            put(residual, at, row(residual, at) + net.entry_s[i] * row(volts, v + k))


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def cut(
    net: Pattern, law: LawTable, room: Room, v: int, trial: int, eased: Array, slack: float
) -> None:
    """Cut the step from `v` to `trial` short in lanes in which it passes the minimum on its line.

    Both are where the volts begin.
    """
    node, kind, each, word = net.node, law.kind, law.each, room.word
    volts, current, base, slope = room.volts, room.current, room.base, room.slope
    step, residual, common = room.step, room.residual, room.common
    size = len(node)
    more = (len(word) - 1) * size
    unbalanced = row(room.off, 0) >= BALANCED_A
    # How steeply the content rises at the end of the step: what is off the lines is left there.
    after = every(0.0)
    for k in range(size):
        if node[k] < len(kind):
            then = row(volts, trial + k)
            left = row(current, k) - (row(base, k) + row(slope, k) * then)
            after += (then - row(volts, v + k)) * left
    if not anywhere(both(unbalanced, after > 0.0)):
        return
    _unbalanced(net, room, v, eased)
    before = every(0.0)
    for k in range(size):
        along = row(volts, trial + k) - row(volts, v + k)
        put(step, k, along)
        before += along * row(residual, k)
    before = size_of(before)
    share = every(1.0)
    for _ in range(_CUTS):
        passed = both(unbalanced, after > slack * before)
        if not anywhere(passed):
            return
        # Past the minimum the secant says where to try again.
        ratio = least(most(before / (before + after), every(0.1)), every(0.9))
        share = chosen(passed, share * ratio, share)
        after = every(0.0)
        for k in range(size):
            then = row(volts, v + k) + share * row(step, k)
            put(volts, trial + k, then)
            left = (1.0 - share) * row(residual, k)
            if node[k] < len(kind):
                of = kind_of(each, kind[node[k]])
                four, fifth = words(word, k), words(word, more + k)
                now = drawn_of(of, four, fifth, row(common, k), then)[0]
                left += now - (row(base, k) + row(slope, k) * then)
            after += row(step, k) * left
