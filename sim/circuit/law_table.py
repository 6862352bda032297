"""The pixel law as the compiled core reads it: what pixels draw by it, LANES frames side by side.

Codes come as words of four channels each (`code_words`). The first four are written out, which is
quickest; the fifth of a kind with two whites stands in a second word and is added after them, so
that kinds of four and fewer are summed as if there were none.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba.core import types
from numba.extending import intrinsic

from sim.kernels import njit

from .elimination import Array, Pattern
from .lanes import chosen, every, gathered, least, most, octet, put


class OneKind(NamedTuple):
    """The law of one kind as plain numbers, which stay in registers; a, v, r, m of each channel
    are [A] a step of the code, the forward voltage, 1 / headroom and the most."""

    idle_a: float
    idle_v: float
    idle_rise: float
    idle_most: float
    flat_v: float
    one_current: float
    together_a: float  # the most that one current through all dies comes to
    a0: float
    v0: float
    r0: float
    m0: float
    a1: float
    v1: float
    r1: float
    m1: float
    a2: float
    v2: float
    r2: float
    m2: float
    a3: float
    v3: float
    r3: float
    m3: float
    a4: float
    v4: float
    r4: float
    m4: float


class LawTable(NamedTuple):
    """The pixel law as arrays; see `sim.circuit.law.Law`."""

    kind: np.ndarray  # (N,) int64
    idle_a: np.ndarray  # (K,)
    idle_v: np.ndarray  # (K, 3)
    flat_v: np.ndarray  # (K,)
    code_a: np.ndarray  # (K, C) [A] a step of the code
    vf_v: np.ndarray  # (K, C)
    headroom_v: np.ndarray  # (K, C)
    most: np.ndarray  # (K, C)
    channels: np.ndarray  # (K,) int64 how many there are to look at
    one_current: np.ndarray  # (K,) int64: 0 no, 1 the longest channel's, 2 all channels' together
    each: np.ndarray  # (K, numbers of a OneKind)


def each_kind(
    idle_a: np.ndarray,
    idle_v: np.ndarray,
    flat_v: np.ndarray,
    one_current: np.ndarray,
    code_a: np.ndarray,
    vf_v: np.ndarray,
    headroom_v: np.ndarray,
    most: np.ndarray,
) -> np.ndarray:
    """(K, numbers of a OneKind): the table's columns side by side; a channel more draws nothing."""
    channels = np.zeros((len(idle_a), 5, 4))
    channels[:, :, 2] = 1.0
    wide = code_a.shape[1]
    channels[:, :wide] = np.stack([code_a, vf_v, 1.0 / headroom_v, most], axis=2)
    idle = [idle_a, idle_v[:, 0], 1.0 / idle_v[:, 1], idle_v[:, 2]]
    shared = np.column_stack([*idle, flat_v, one_current, 255.0 * code_a.max(axis=1)])
    return np.concatenate([shared, channels.reshape(len(idle_a), -1)], axis=1)


def code_words(codes: np.ndarray) -> np.ndarray:
    """(T, N, C) uint8 codes as (T, N, W) words, channel c in octet c mod 4 of word c // 4.

    W is 1 for four channels, of which nothing is copied, and 2 for more.
    """
    rest = -codes.shape[-1] % 4
    if rest:
        codes = np.concatenate([codes, np.zeros((*codes.shape[:-1], rest), np.uint8)], axis=-1)
    return np.ascontiguousarray(codes, dtype=np.uint8).view("<u4")


@njit(cache=True, nogil=True, error_model="numpy")
def words_of(net: Pattern, law: LawTable, code: Array, shown: Array, word: Array) -> None:
    """The codes `code` (T, N, W) of the frames `shown` (LANES,) by position: `word` (W, M, LANES).

    Where no pixel is nothing is written.
    """
    node, pixels = net.node, len(law.kind)
    size, wide = len(node), code.shape[2]
    flat, first = code.reshape(-1), shown * (code.shape[1] * wide)
    for k in range(size):
        if node[k] < pixels:
            for w in range(wide):
                put(word, w * size + k, gathered(flat, first, node[k] * wide + w))


#: What it makes has no signature that a type checker could read.
_built: Any = intrinsic


@_built
def kind_of(typingctx, table, number):  # type: ignore[no-untyped-def]
    """Row `number` of a table (K, numbers of a OneKind) as a OneKind."""
    found = types.NamedUniTuple(types.float64, len(OneKind._fields), OneKind)

    def codegen(context, builder, sig, args):  # type: ignore[no-untyped-def]
        data = context.make_array(sig.args[0])(context, builder, args[0]).data
        first = builder.mul(args[1], args[1].type(len(OneKind._fields)))
        values = [
            builder.load(builder.gep(data, [builder.add(first, first.type(at))]))
            for at in range(len(OneKind._fields))
        ]
        return context.make_tuple(builder, found, values)

    return found(table, types.intp), codegen


#: Laid into the loop that calls it. No array may pass: each would be counted in and out there.
_compiled = njit(cache=True, nogil=True, error_model="numpy", forceinline=True)


@_compiled
def full_of(kind, four, more):  # type: ignore[no-untyped-def]
    """What pixels of a kind draw with enough voltage, a row; `four` and `more` are their codes."""
    c0, c1 = octet(four, 0) * (kind.a0 * kind.m0), octet(four, 1) * (kind.a1 * kind.m1)
    c2, c3 = octet(four, 2) * (kind.a2 * kind.m2), octet(four, 3) * (kind.a3 * kind.m3)
    idle = kind.idle_a * kind.idle_most
    if kind.one_current == 0.0:
        full = idle + (c0 + c1) + (c2 + c3)
        if kind.a4 > 0.0:  # such a kind has no current in common
            full += octet(more, 0) * (kind.a4 * kind.m4)
    elif kind.one_current == 1.0:
        full = idle + most(most(c0, c1), most(c2, c3))
    else:
        full = idle + least((c0 + c1) + (c2 + c3), every(kind.together_a))
    return full


@_compiled
def _channel(demand, v, vf_v, rise, most_part):  # type: ignore[no-untyped-def]
    """Current of one channel at v, and how it rises with it."""
    u = (v - vf_v) * rise
    part = least(most(u, every(0.0)), every(most_part))
    return demand * part, chosen(part == u, demand * rise, every(0.0))


@_compiled
def drawn_of(kind, four, more, v):  # type: ignore[no-untyped-def]
    """What pixels of a kind draw at the voltages v, and how that rises with v: two rows."""
    current, slope = _channel(every(kind.idle_a), v, kind.idle_v, kind.idle_rise, kind.idle_most)
    c0, c1 = octet(four, 0) * kind.a0, octet(four, 1) * kind.a1
    c2, c3 = octet(four, 2) * kind.a2, octet(four, 3) * kind.a3
    if kind.one_current == 0.0:
        i1, s1 = _channel(c1, v, kind.v1, kind.r1, kind.m1)
        i2, s2 = _channel(c2, v, kind.v2, kind.r2, kind.m2)
        i3, s3 = _channel(c3, v, kind.v3, kind.r3, kind.m3)
        i1, s1 = i1 + i2 + i3, s1 + s2 + s3
        if kind.a4 > 0.0:
            i4, s4 = _channel(octet(more, 0) * kind.a4, v, kind.v4, kind.r4, kind.m4)
            i1, s1 = i1 + i4, s1 + s4
        current, slope = current + i1, slope + s1
    elif kind.one_current == 1.0:
        c0 = most(most(c0, c1), most(c2, c3))
    else:
        c0 = least((c0 + c1) + (c2 + c3), every(kind.together_a))
    i0, s0 = _channel(c0, v, kind.v0, kind.r0, kind.m0)
    return current + i0, slope + s0
