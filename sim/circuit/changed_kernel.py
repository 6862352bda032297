"""The compiled core of `sim.circuit.changed`: one network, thousands of small changes of it.

Each change is a few numbers added to the diagonal, the entries and what the sources push, and
stretches of the data chains that are dark. Newton's method starts from the network as it was.

Step-down regulators draw less the more they are fed: that easing is held while the rest is solved,
and found anew at the voltages there, from the highest down, as in `sim.circuit.falling`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .alone_kernel import Array, factor_alone
from .law_table import LawTable
from .pattern import Pattern

#: [A] a node counts as balanced below this: 10 nA through 10 Ω are 0.1 µV.
BALANCED_A = 1e-8
_ROUNDS = 60
_CUTS = 30
#: [A] by which the easing may still move, and the turns it gets: next to a collapse they are many.
EASED_A = 1e-7
_TURNS = 300


class Changes(NamedTuple):
    """F changes of one part, each a slice of the lists: `*_at[k]:*_at[k + 1]`."""

    diagonal_at: np.ndarray  # (F + 1,)
    diagonal: np.ndarray  # position
    diagonal_s: np.ndarray  # [S] added
    entry_at: np.ndarray
    entry: np.ndarray
    entry_s: np.ndarray
    push_at: np.ndarray
    push: np.ndarray
    push_a: np.ndarray
    dark_at: np.ndarray
    dark: np.ndarray  # (D, 3) chain, first place, one behind the last


class Stepping(NamedTuple):
    """The step-down regulators of each kind; see `sim.circuit.law.Law`."""

    eased_v: np.ndarray  # (K,) 0: has none
    regulator_a: np.ndarray  # (K,)
    some: bool


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _largest(values: Array) -> float:
    """The largest size of (n,) numbers; none where one of them is none."""
    most = 0.0
    for each in values:
        if abs(each) > most or each != each:
            most = abs(each)
    return most


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _ease(
    net: Pattern, law: LawTable, stepping: Stepping, demand: Array, lit: Array, v: Array,
    eased: Array,
) -> float:  # fmt: skip
    """[A] that every pixel draws less at `v`, into `eased`; by how much that moved at most."""
    moved = 0.0
    for k in range(len(net.node)):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q = law.kind[pixel]
        at = stepping.eased_v[q]
        if at == 0.0:
            continue
        five = law.idle_a[q] - stepping.regulator_a[q]
        if lit[k]:
            for c in range(law.channels[q]):
                five += demand[pixel, c]
        now = five * (1.0 - at / v[k]) if v[k] > at else 0.0
        moved = max(moved, abs(now - eased[k]))
        eased[k] = now
    return moved


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _currents(
    net: Pattern, law: LawTable, demand: Array, lit: Array, eased: Array, v: Array, amps: Array,
    slope: Array,
) -> None:  # fmt: skip
    """What the pixels draw at `v` with their easing held, and how that rises."""
    for k in range(len(net.node)):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q = law.kind[pixel]
        u = (v[k] - law.idle_v[q, 0]) / law.idle_v[q, 1]
        part = min(max(u, 0.0), law.idle_v[q, 2])
        amps[k] = law.idle_a[q] * part - eased[k]
        slope[k] = law.idle_a[q] / law.idle_v[q, 1] if part == u else 0.0
        if not lit[k]:
            continue
        for c in range(law.channels[q]):
            if demand[pixel, c] > 0:
                u = (v[k] - law.vf_v[q, c]) / law.headroom_v[q, c]
                part = min(max(u, 0.0), law.most[q, c])
                amps[k] += demand[pixel, c] * part
                if part == u:
                    slope[k] += demand[pixel, c] / law.headroom_v[q, c]


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _flow(net: Pattern, diagonal: Array, entry: Array, push: Array, v: Array, out: Array) -> None:
    """out = G·v − push."""
    for k in range(len(net.node)):
        out[k] = diagonal[k] * v[k] - push[k]
    for k in range(len(net.node)):
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            out[k] += entry[i] * v[at]
            out[at] += entry[i] * v[k]


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _substitute(net: Pattern, pivot: Array, low: Array, x: Array) -> None:
    for k in range(len(net.node)):
        for i in range(net.column[k], net.column[k + 1]):
            x[net.row[i]] -= low[i] * x[k]
    for k in range(len(net.node) - 1, -1, -1):
        x[k] *= pivot[k]
        for i in range(net.column[k], net.column[k + 1]):
            x[k] -= low[i] * x[net.row[i]]


@njit(cache=True, nogil=True, error_model="numpy")
def solve_changed(
    net: Pattern,
    law: LawTable,
    stepping: Stepping,
    demand: Array,
    chain: Array,
    place: Array,
    changes: Changes,
    begin: Array,
    top_v: Array,
    out_v: Array,
) -> int:
    """Fill `out_v` (F, M) from `begin` (M,); `demand` (N, C) [A], `chain`, `place` (N,).

    `top_v` (M,) [V] is as much as no node has: there the easing begins.

    Returns how many did not converge; those hold the last try.
    """
    size = len(net.node)
    failed = 0
    lit = np.ones(size, dtype=np.bool_)
    amps, slope, drawn, tangent, residual, trial_r, eased = np.zeros((7, size))
    for f in range(len(out_v)):
        diagonal, entry = net.diagonal_s.copy(), net.entry_s.copy()
        push = net.push_a.copy()
        for j in range(changes.diagonal_at[f], changes.diagonal_at[f + 1]):
            diagonal[changes.diagonal[j]] += changes.diagonal_s[j]
        for j in range(changes.entry_at[f], changes.entry_at[f + 1]):
            entry[changes.entry[j]] += changes.entry_s[j]
        for j in range(changes.push_at[f], changes.push_at[f + 1]):
            push[changes.push[j]] += changes.push_a[j]
        lit[:] = True
        for j in range(changes.dark_at[f], changes.dark_at[f + 1]):
            for k in range(size):
                pixel = net.node[k]
                if pixel >= len(law.kind) or chain[pixel] != changes.dark[j, 0]:
                    continue
                if changes.dark[j, 1] <= place[pixel] < changes.dark[j, 2]:
                    lit[k] = False
        # Begin with each pixel as the resistor that draws what it did: behind an open that is 0 V
        # at once, where the tangents of full currents would point far below it.
        if stepping.some:
            _ease(net, law, stepping, demand, lit, top_v, eased)
        _currents(net, law, demand, lit, eased, begin, amps, slope)
        pivot, low, v = diagonal.copy(), entry.copy(), push.copy()
        for k in range(size):
            if amps[k] > 0:
                pivot[k] += amps[k] / begin[k]
        factor_alone(net, pivot, low)
        _substitute(net, pivot, low, v)
        done = False
        for _ in range(_TURNS):
            _currents(net, law, demand, lit, eased, v, amps, slope)
            _flow(net, diagonal, entry, push, v, residual)
            residual += amps
            done = False
            for _ in range(_ROUNDS):
                if _largest(residual) < BALANCED_A:
                    done = True
                    break
                pivot, low = diagonal + slope, entry.copy()
                factor_alone(net, pivot, low)
                step = -residual
                _substitute(net, pivot, low, step)
                before = 0.0
                for k in range(size):
                    before += step[k] * residual[k]
                share = 1.0
                for _ in range(_CUTS):
                    trial = v + share * step
                    _currents(net, law, demand, lit, eased, trial, drawn, tangent)
                    _flow(net, diagonal, entry, push, trial, trial_r)
                    trial_r += drawn
                    after = 0.0
                    for k in range(size):
                        after += step[k] * trial_r[k]
                    if after <= 0.1 * abs(before) or abs(before) < 1e-18:
                        break
                    share *= min(max(abs(before) / (abs(before) + after), 0.1), 0.9)
                v = trial
                amps[:], slope[:], residual[:] = drawn, tangent, trial_r
            done = done or _largest(residual) <= 1e-5
            if not stepping.some or _ease(net, law, stepping, demand, lit, v, eased) < EASED_A:
                break
            done = False
        if not done:
            failed += 1
        out_v[f] = v
    return failed
