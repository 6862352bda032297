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
from .lanes_across import EIGHT, take_eight


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


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def words_of(
    net: Pattern, law: LawTable, along: Array, code: Array, first: Array, word: Array
) -> None:
    """The codes `code` (T, N, W) of some frames by position: `word` (W, M, LANES).

    `first` (LANES,) is where in `code` each frame begins, `along` as `beside` gives it. Where no
    pixel is nothing is written.
    """
    node, pixels = net.node, len(law.kind)
    size, wide = len(node), code.shape[2]
    k = 0
    while k < size:
        by = along[k] if wide == 1 else 0
        if by != 0:
            from_k = k if by > 0 else k + EIGHT - 1
            take_eight(code, first, node[from_k], word, from_k, by)
            k += EIGHT
        else:
            if node[k] < pixels:
                for w in range(wide):
                    put(word, w * size + k, gathered(code, first, node[k] * wide + w))
            k += 1


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def beside(net: Pattern, law: LawTable) -> Array:
    """(M,) 1 or −1 where EIGHT nodes from here on are pixels in a row, up or down; else 0."""
    node, pixels = net.node, len(law.kind)
    out = np.empty(len(node), dtype=np.int64)
    for k in range(len(node)):
        out[k] = 0
    for k in range(len(node) - EIGHT + 1):
        by = node[k + 1] - node[k]
        same = abs(by) == 1 and node[k] < pixels
        for j in range(1, EIGHT):
            same = same and node[k + j] - node[k + j - 1] == by and node[k + j] < pixels
        if same:
            out[k] = by
    return out


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
_compiled = njit(cache=True, inner=True, nogil=True, error_model="numpy", forceinline=True)


@_compiled
def common_of(kind, four):  # type: ignore[no-untyped-def]
    """What the one current through all dies of pixels comes to in full, a row; `four` their codes.

    For kinds that have one; it is half the work of drawing them, and the same at every voltage.
    """
    c0, c1 = octet(four, 0) * kind.a0, octet(four, 1) * kind.a1
    c2, c3 = octet(four, 2) * kind.a2, octet(four, 3) * kind.a3
    if kind.one_current == 1.0:
        common = most(most(c0, c1), most(c2, c3))
    else:
        common = least((c0 + c1) + (c2 + c3), every(kind.together_a))
    return common


@_compiled
def full_of(kind, four, more):  # type: ignore[no-untyped-def]
    """What pixels of a kind draw with enough voltage, a row; `four` and `more` are their codes."""
    full = every(kind.idle_a * kind.idle_most)
    if kind.one_current == 0.0:
        c0, c1 = octet(four, 0) * (kind.a0 * kind.m0), octet(four, 1) * (kind.a1 * kind.m1)
        full += c0 + c1
        c2 = octet(four, 2) * (kind.a2 * kind.m2)
        full += c2 + octet(four, 3) * (kind.a3 * kind.m3)
        if kind.a4 > 0.0:  # such a kind has no current in common
            full += octet(more, 0) * (kind.a4 * kind.m4)
    else:
        full += common_of(kind, four) * kind.m0
    return full


@_compiled
def _part(v, vf_v, rise, most_part):  # type: ignore[no-untyped-def]
    """How far one channel is on at v, and the same without its bounds."""
    u = (v - vf_v) * rise
    return least(most(u, every(0.0)), every(most_part)), u


@_compiled
def drawn_of(kind, four, more, common, v):  # type: ignore[no-untyped-def]
    """What pixels of a kind draw at the voltages v, and how that rises with v: two rows.

    `common` is what `common_of` gives; kinds without a current in common do not look at it.
    """
    none = every(0.0)
    part, u = _part(v, kind.idle_v, kind.idle_rise, kind.idle_most)
    current = kind.idle_a * part
    slope = chosen(part == u, every(kind.idle_a * kind.idle_rise), none)
    c0 = common
    if kind.one_current == 0.0:
        c0, c1 = octet(four, 0) * kind.a0, octet(four, 1) * kind.a1
        part, u = _part(v, kind.v1, kind.r1, kind.m1)
        current += c1 * part
        slope += chosen(part == u, c1 * kind.r1, none)
        c2 = octet(four, 2) * kind.a2
        part, u = _part(v, kind.v2, kind.r2, kind.m2)
        current += c2 * part
        slope += chosen(part == u, c2 * kind.r2, none)
        if kind.a3 > 0.0:
            c3 = octet(four, 3) * kind.a3
            part, u = _part(v, kind.v3, kind.r3, kind.m3)
            current += c3 * part
            slope += chosen(part == u, c3 * kind.r3, none)
        if kind.a4 > 0.0:
            c4 = octet(more, 0) * kind.a4
            part, u = _part(v, kind.v4, kind.r4, kind.m4)
            current += c4 * part
            slope += chosen(part == u, c4 * kind.r4, none)
    part, u = _part(v, kind.v0, kind.r0, kind.m0)
    return current + c0 * part, slope + chosen(part == u, c0 * kind.r0, none)


@_compiled
def flat_of(kind, four, more, common):  # type: ignore[no-untyped-def]
    """What `drawn_of` gives first from `flat_v` on."""
    if kind.one_current == 0.0:
        flat = full_of(kind, four, more)
    else:
        flat = kind.idle_a * kind.idle_most + common * kind.m0
    return flat
