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

    volts: np.ndarray  # (VOLTS · M, LANES) [V] of several frames and rounds, one after the other
    current: np.ndarray  # [A] at what a round comes to
    base: np.ndarray  # [A] of the lines through the guess
    slope: np.ndarray  # [S]
    solved: np.ndarray  # between the two walks
    step: np.ndarray
    residual: np.ndarray
    taken_s: np.ndarray  # what earlier nodes leave to those of `joined`
    taken_a: np.ndarray
    full_a: np.ndarray
    common: np.ndarray  # [A] of kinds with one current; see `sim.circuit.law_table.common_of`
    entry: np.ndarray  # (Z, LANES)
    word: np.ndarray  # (W, M, LANES) the codes; see `sim.circuit.law_table.words_of`
    joined: np.ndarray  # (M,) bool: an earlier node that is not the one before leads here
    filled: np.ndarray  # (Z,) bool: elimination changes the entry before its turn


@njit(cache=True, nogil=True, error_model="numpy")
def room_for(net: Pattern, wide: int) -> Room:
    """Room for one part, with codes `wide` words a pixel."""
    size, column, rows = len(net.node), net.column, net.row
    solved, step, residual, taken_s, taken_a, common = np.empty((6, size, LANES))
    volts = np.zeros((VOLTS * size, LANES))
    # Rows of nodes that are no pixels stay 0 in what pixels draw.
    current, base, slope, full_a = np.zeros((4, size, LANES))
    entry = np.empty((len(rows), LANES))
    word = np.zeros((wide, size, LANES), dtype=np.uint32)
    joined = np.zeros(size, dtype=np.bool_)
    filled = np.zeros(len(rows), dtype=np.bool_)
    for k in range(size):
        for i in range(column[k], column[k + 1]):
            joined[rows[i]] |= rows[i] != k + 1
    for into in net.target:
        if into >= 0:
            filled[into] = True
    return Room(
        *(volts, current, base, slope, solved, step, residual, taken_s, taken_a, full_a),
        *(common, entry, word, joined, filled),
    )


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
def enough(net: Pattern, law: LawTable, v: Array) -> bool:
    """True where every pixel of every lane draws what more voltage would not change."""
    node, kind, flat_v = net.node, law.kind, law.flat_v
    short = every(0.0) > 0.0
    for k in range(len(node)):
        if node[k] < len(kind):
            short = either(short, row(v, k) < flat_v[kind[node[k]]])
    return not anywhere(short)
