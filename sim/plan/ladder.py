"""A line with its feeds as two ladders, + and −: volts, amperes and shorts, exact and quick.

In a plan every pixel shines in full, so each draws a constant current and the circuit is linear:
each rail is a tridiagonal system, solved by elimination along the line (Thomas). Where the volts
that come out are enough everywhere, they are those of the true circuit; where they are not, the
true circuit is short of volts too, since with enough everywhere it would be this one.

+ is interrupted at cuts, − is not. A short joins both at a node. What a node sees of a ladder is
found by folding the ladder up from both ends (series and parallel), so the shorts of a whole line
take one walk along it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit


class Ladder(NamedTuple):
    """m nodes, F frames, P feeds in ascending order of their pads."""

    between_s: np.ndarray  # (m,) [S] of one rail from the node before; 0: nothing joins them
    cut: np.ndarray  # (m,) bool: + is open before this node
    demand_a: np.ndarray  # (F, m) [A]
    pixel: np.ndarray  # (m,) bool
    pad: np.ndarray  # (P,) node of each feed
    plus_ohm: np.ndarray  # (P,) [Ω] of its + wire and fuse
    minus_ohm: np.ndarray  # (P,) [Ω] of its − wire
    volts: np.ndarray  # (F, P) [V] of + where its wire begins
    lift_v: np.ndarray  # (F, P) [V] of − there


@njit(cache=True, nogil=True, error_model="numpy")
def solved(net: Ladder) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Volts V₊ − V₋ (F, m) [V] and the amperes (F, P) in the + and in the − of every feed.

    A piece that no feed reaches comes out far below 0 V.
    """
    frames, m = net.demand_a.shape
    feeds = len(net.pad)
    volts = np.zeros((frames, m))
    amps = np.zeros((2, frames, feeds))
    low, gain, x = np.empty(m), np.empty(m), np.empty(m)
    for rail in range(2):
        ohm = net.plus_ohm if rail == 0 else net.minus_ohm
        sign = -1.0 if rail == 0 else 1.0
        ground = np.full(m, 1e-9)
        for f in range(feeds):
            ground[net.pad[f]] += 1.0 / ohm[f]
        for k in range(m):
            left = 0.0 if (rail == 0 and net.cut[k]) or k == 0 else net.between_s[k]
            right = 0.0
            if k + 1 < m and not (rail == 0 and net.cut[k + 1]):
                right = net.between_s[k + 1]
            low[k] = left
            diagonal = ground[k] + left + right
            if k > 0:
                diagonal -= left * gain[k - 1]
            gain[k] = right / diagonal
            x[k] = 1.0 / diagonal
        for t in range(frames):
            carry = 0.0
            row = volts[t] if rail == 0 else np.empty(m)
            y = np.empty(m)
            held = net.volts[t] if rail == 0 else net.lift_v[t]
            push = np.zeros(m)
            for f in range(feeds):
                push[net.pad[f]] += held[f] / ohm[f]
            for k in range(m):
                carry = (push[k] + sign * net.demand_a[t, k] + low[k] * carry) * x[k]
                y[k] = carry
            v = 0.0
            for k in range(m - 1, -1, -1):
                v = y[k] + gain[k] * v
                y[k] = v
            for f in range(feeds):
                if rail == 0:
                    amps[0, t, f] = (held[f] - y[net.pad[f]]) / ohm[f]
                else:
                    amps[1, t, f] = (y[net.pad[f]] - held[f]) / ohm[f]
            for k in range(m):
                if rail == 0:
                    row[k] = y[k]
                else:
                    volts[t, k] -= y[k]
    return volts, amps[0], amps[1]


@njit(cache=True, nogil=True, error_model="numpy")
def _seen(
    between: np.ndarray, cut: np.ndarray, ground: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """[S] that each node sees to its left and to its right, without its own `ground` (m,)."""
    m = len(ground)
    left, right = np.zeros(m), np.zeros(m)
    for k in range(1, m):
        if not cut[k]:
            behind = ground[k - 1] + left[k - 1]
            if behind > 0 and between[k] > 0:
                left[k] = behind * between[k] / (behind + between[k])
    for k in range(m - 2, -1, -1):
        if not cut[k + 1]:
            behind = ground[k + 1] + right[k + 1]
            if behind > 0 and between[k + 1] > 0:
                right[k] = behind * between[k + 1] / (behind + between[k + 1])
    return left, right


@njit(cache=True, nogil=True, error_model="numpy")
def least_opening(
    net: Ladder, fuse_a: np.ndarray, open_v: np.ndarray, source_ohm: np.ndarray, opens: float
) -> tuple[np.ndarray, np.ndarray]:
    """Of each feed, the least share (P,) of `opens` × `fuse_a` (P,) [A] with which its fuse has to
    open on a short at any node of its piece, and that node (P,).

    All fuses of the piece are closed at first; the one most loaded for its rating opens first. A
    share of 1 or more opens within seconds. `open_v` (P,) [V] is its supply without a load,
    `source_ohm` (P,) [Ω] all between the supply and where the feed's own wire begins.
    """
    m, feeds = net.demand_a.shape[1], len(net.pad)
    least = np.full(feeds, np.inf)
    where = np.full(feeds, -1)
    whole = np.zeros(m, dtype=np.bool_)
    ground = np.zeros(m)
    at_pad = np.zeros(m, dtype=np.bool_)
    for f in range(feeds):
        ground[net.pad[f]] += 1.0 / net.minus_ohm[f]
        at_pad[net.pad[f]] = True
    left, right = _seen(net.between_s, whole, ground)
    minus_s = left + right + ground
    amps = np.zeros(feeds)
    piece = np.zeros(m, np.int64)
    for k in range(1, m):
        broken = net.cut[k] or net.between_s[k] == 0
        piece[k] = piece[k - 1] + (1 if broken else 0)
    first = 0
    while first < m:
        last = first
        while last + 1 < m and piece[last + 1] == piece[first]:
            last += 1
        mine = [f for f in range(feeds) if first <= net.pad[f] <= last]
        if len(mine) == 1:
            f = mine[0]
            p = net.pad[f]
            rail = 0.0
            for step in (-1, 1):
                rail, k = 0.0, p
                while True:
                    if net.pixel[k] or at_pad[k]:
                        ohm = source_ohm[f] + net.plus_ohm[f] + rail + 1.0 / minus_s[k]
                        share = open_v[f] / ohm / (opens * fuse_a[f])
                        if share < least[f]:
                            least[f], where[f] = share, k
                    if (step < 0 and k == first) or (step > 0 and k == last):
                        break
                    rail += 1.0 / net.between_s[k if step < 0 else k + 1]
                    k += step
        elif len(mine) > 1:
            for k in range(first, last + 1):
                if not (net.pixel[k] or at_pad[k]):
                    continue
                closed = np.ones(len(mine), dtype=np.bool_)
                while closed.any():
                    _share_out(net, mine, closed, k, 1.0 / minus_s[k], open_v, source_ohm, amps)
                    most = 0.0
                    for n, f in enumerate(mine):
                        if closed[n]:
                            most = max(most, abs(amps[f]) / fuse_a[f])
                    if most < 1e-6:
                        break
                    for n, f in enumerate(mine):
                        if closed[n] and abs(amps[f]) / fuse_a[f] >= most * (1 - 1e-9):
                            closed[n] = False
                            share = amps[f] / (opens * fuse_a[f])
                            if amps[f] > 1e-6 and share < least[f]:
                                least[f], where[f] = share, k
        first = last + 1
    return least, where


@njit(cache=True, nogil=True, error_model="numpy")
def _share_out(  # type: ignore[no-untyped-def]
    net, mine, closed, at, minus_ohm, open_v, source_ohm, amps
):
    """Amperes `amps` of the closed feeds `mine` of one piece while node `at` is shorted.

    All feeds of a piece hang on one supply, so without a short the whole + lies at its voltage.
    """
    m = net.demand_a.shape[1]
    lo, hi = net.pad[mine[0]], net.pad[mine[-1]]
    lo, hi = min(lo, at), max(hi, at)
    ground = np.zeros(m)
    for n, f in enumerate(mine):
        if closed[n]:
            ground[net.pad[f]] += 1.0 / net.plus_ohm[f]
    left = 0.0
    seen = np.zeros(m)
    for k in range(lo, at):
        behind = left + ground[k]
        b = net.between_s[k + 1]
        left = behind * b / (behind + b) if behind > 0 else 0.0
        seen[k + 1] = left
    right = 0.0
    for k in range(hi, at, -1):
        behind = right + ground[k]
        b = net.between_s[k]
        right = behind * b / (behind + b) if behind > 0 else 0.0
        seen[k - 1] = right if k - 1 != at else seen[k - 1]
    total_s = left + right + ground[at]
    for f in mine:
        amps[f] = 0.0
    if total_s == 0:
        return
    f0 = mine[0]
    total_a = open_v[f0] / (1.0 / total_s + minus_ohm + source_ohm[f0])
    # Volts lost between the supply and the node: every feed carries its share of them.
    lost = np.zeros(m)
    lost[at] = total_a / total_s
    for k in range(at - 1, lo - 1, -1):
        behind = seen[k] + ground[k]
        b = net.between_s[k + 1]
        lost[k] = lost[k + 1] * b / (behind + b)
    for k in range(at + 1, hi + 1):
        behind = seen[k] + ground[k]
        b = net.between_s[k]
        lost[k] = lost[k - 1] * b / (behind + b)
    for n, f in enumerate(mine):
        if closed[n]:
            amps[f] = lost[net.pad[f]] / net.plus_ohm[f]
