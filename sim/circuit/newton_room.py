"""What blocks of frames are worked out in, LANES frames side by side; compiled."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern
from .lanes import anywhere, either, every, put, row, words
from .law_table import LawTable, full_of, kind_of

#: So many sets of voltages are held: guess, result of a round, and three frames before.
VOLTS = 5
#: [A] a node counts as balanced below this: 1 pA through 10 Ω is 10 pV.
BALANCED_A = 1e-12


class Room(NamedTuple):
    """What one block of frames is worked out in; arrays over (positions, LANES) unless said."""

    volts: np.ndarray  # (VOLTS, M, LANES) [V] of several frames and rounds; told by first rows
    current: np.ndarray  # [A] at what a round comes to
    base: np.ndarray  # [A] of the lines through the guess
    slope: np.ndarray  # [S]
    full_a: np.ndarray  # [A] with enough voltage
    solved: np.ndarray  # between the two walks
    step: np.ndarray
    residual: np.ndarray
    taken_s: np.ndarray  # what earlier nodes leave to those of `joined`
    taken_a: np.ndarray
    common: np.ndarray  # [A] of kinds with one current; see `sim.circuit.law_table.common_of`
    off: np.ndarray  # (1, LANES) [A] the most that one of them is off its line
    entry: np.ndarray  # (Z, LANES)
    word: np.ndarray  # (W, M, LANES) the codes; see `sim.circuit.law_table.words_of`
    joined: np.ndarray  # (M,) 0 or 1: an earlier node that is not the one before leads here
    filled: np.ndarray  # (Z,) 0 or 1: elimination changes the entry before its turn


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def room_for(net: Pattern, wide: int) -> Room:
    """Room for one part, with codes `wide` words a pixel."""
    # Each way to make an array is compiled for itself: so all are made alike.
    size, entries, column, rows = len(net.node), len(net.row), net.column, net.row
    volts = np.empty((VOLTS, size, LANES))
    current, base, slope, full_a = np.empty((4, size, LANES))
    solved, step, residual, taken_s, taken_a, common = np.empty((6, size, LANES))
    entry, off = np.empty((1, entries, LANES))[0], np.empty((1, 1, LANES))[0]
    word = np.empty((wide, size, LANES), dtype=np.uint32)
    joined, filled = np.empty(size, dtype=np.int64), np.empty(entries, dtype=np.int64)
    for k in range(size):
        joined[k] = 0
        # Rows of nodes that are no pixels stay 0 in what pixels draw.
        put(current, k, every(0.0))
        put(base, k, every(0.0))
        put(slope, k, every(0.0))
        put(full_a, k, every(0.0))
    for i in range(entries):
        filled[i] = 0
    for k in range(size):
        for i in range(column[k], column[k + 1]):
            if rows[i] != k + 1:
                joined[rows[i]] = 1
    for into in net.target:
        if into >= 0:
            filled[into] = 1
    return Room(
        *(volts, current, base, slope, full_a, solved, step, residual, taken_s, taken_a, common),
        *(off, entry, word, joined, filled),
    )


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def fill_full(net: Pattern, law: LawTable, room: Room) -> None:
    """What every pixel draws with enough voltage."""
    node, kind, each, word, full_a = net.node, law.kind, law.each, room.word, room.full_a
    more = (len(word) - 1) * len(node)
    for k in range(len(node)):
        if node[k] < len(kind):
            of = kind_of(each, kind[node[k]])
            put(full_a, k, full_of(of, words(word, k), words(word, more + k)))


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def enough(net: Pattern, law: LawTable, v: Array) -> bool:
    """True where every pixel of every lane draws what more voltage would not change."""
    node, kind, flat_v = net.node, law.kind, law.flat_v
    short = every(0.0) > 0.0
    for k in range(len(node)):
        if node[k] < len(kind):
            short = either(short, row(v, k) < flat_v[kind[node[k]]])
    return not anywhere(short)
