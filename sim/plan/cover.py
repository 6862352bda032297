"""The cheapest feeds of one line: dynamic programming over where stretches begin.

A stretch is a piece of a line on one feed. All its pixels shine in full, so each draws the same
current at any voltage it may get; the drop from the pad to both ends is then a sum of prefix sums,
and a stretch is judged in a few operations a frame. Where the next stretch begins is what the cost
of everything before it depends on, so the best prefix is kept for each such place (Bellman 1957).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.catalogue import limits
from sim.kernels import njit

from .records import Line, Market, Stretch

#: Rounding in sums of drops [V].
_EXACT_V = 1e-9
#: Frames that a cover looks at, at most.
_TELLING = 6


@dataclass(frozen=True, eq=False)
class _Tables:
    """The market as arrays; K supplies, W wires, G fuses."""

    supply_v: np.ndarray
    supply_ohm: np.ndarray
    per_a: np.ndarray  # what a planned ampere of each supply costs
    wire_ohm: np.ndarray
    wire_fuse_a: np.ndarray
    wire_a: np.ndarray
    wire_price: np.ndarray
    fuse_a: np.ndarray
    fuse_ohm: np.ndarray
    fuse_price: np.ndarray


def cover(
    line: Line,
    market: Market,
    per_a: np.ndarray,
    *,
    number: int = 0,
    usable: np.ndarray | None = None,
    margin_v: np.ndarray | None = None,
    sag_v: np.ndarray | None = None,
) -> tuple[float, tuple[Stretch, ...]]:
    """The least price of feeding all of `line`, and the stretches; (inf, ()) where none does.

    `per_a` (K,) is added for every ampere of a stretch's peak. `usable` (m,) bool narrows where
    stretches begin and feeds end. `margin_v` (m,) [V] is kept beyond the need at each node;
    `sag_v` (K,) [V] is lost inside each supply.
    """
    m, rules = line.size, market.rules
    usable = np.ones(m, dtype=bool) if usable is None else usable
    sag = np.zeros(len(market.supplies)) if sag_v is None else sag_v
    margin = np.zeros(m) if margin_v is None else margin_v
    begin = line.start | (line.cut & usable)
    volts = np.array([s.volts for s in market.supplies])
    least_v = np.maximum(line.need_v, (1 - rules.most_drop) * volts)
    fits = np.array([limits().suits(v, line.volts) for v in volts], dtype=bool)
    tables = (
        volts - sag,
        np.where(fits, least_v, np.inf),
        np.array([s.source_ohm for s in market.supplies]),
        np.asarray(per_a, dtype=float),
        np.array([w.loop_ohm_per_m for w in market.wires]),
        np.array([w.fuse_most_a for w in market.wires]),
        np.array([w.carries_a for w in market.wires]),
        np.array([w.price_per_m for w in market.wires]),
        np.array([f.rating_a for f in market.fuses]),
        np.array([f.cold_ohm for f in market.fuses]),
        np.array([f.price for f in market.fuses]),
        np.array([s.rated_a for s in market.supplies]) * rules.supply_load,
    )
    prices = np.array([market.work.feed, market.work.cut, market.work.joint], dtype=float)
    load = np.array([rules.fuse_load, rules.opens if rules.shorts else 0.0])
    beaten = _beaten(line.reach_m, np.stack([volts, -sag, -tables[2], -tables[3], tables[11]]))
    reach = np.where(beaten[:, None], np.inf, line.reach_m)
    demand_a = np.ascontiguousarray(_telling(line.demand_a))
    best, back, cost = _cover(
        line.rail_ohm, demand_a, margin, line.pad & usable, begin,
        line.start, line.pixel, line.gap_m, np.ascontiguousarray(reach), *tables,
        prices, load,
    )  # fmt: skip
    if not np.isfinite(best[m]):
        return np.inf, ()
    found = []
    at = m
    while at > 0:
        first, last, pad, k, w, g, before = (int(each) for each in back[at])
        peak = float(line.demand_a[:, first : last + 1].sum(axis=1).max(initial=0.0))
        found.append(
            Stretch(
                number,
                first,
                last,
                pad,
                k,
                w,
                g,
                float(line.reach_m[k, pad]),
                peak,
                float(cost[at]),
            )
        )
        at = before
    return float(best[m]), tuple(reversed(found))


def _telling(demand_a: np.ndarray) -> np.ndarray:
    """(F', m) [A] the few frames that ask most of some stretch of the line; the first choice of
    frames, since whoever judges a plan looks at all of them."""
    frames, nodes = demand_a.shape
    if frames <= _TELLING:
        return demand_a
    step = max(1, nodes // (2 * _TELLING))
    sums = np.add.reduceat(demand_a, np.arange(0, nodes, step), axis=1)
    wide = sums + np.roll(sums, 1, axis=1)
    _, count = np.unique(wide.argmax(axis=0), return_counts=True)
    names = np.unique(wide.argmax(axis=0))
    kept = names[np.argsort(-count, kind="stable")][: _TELLING - 1]
    whole = int(demand_a.sum(axis=1).argmax())
    return np.asarray(demand_a[np.unique([*kept.tolist(), whole])])


def _beaten(reach_m: np.ndarray, good: np.ndarray) -> np.ndarray:
    """(K,) bool: another supply choice of the same voltage is nearer everywhere and at least as
    good otherwise. `good` (5, K): the voltage, then what had better be more."""
    beaten = np.zeros(len(reach_m), dtype=bool)
    for k in range(len(reach_m)):
        alike = (good[0] == good[0, k]) & (good[1:] >= good[1:, k, None]).all(axis=0) & ~beaten
        alike[k] = False
        beaten[k] = bool((reach_m[alike] <= reach_m[k]).all(axis=1).any())
    return beaten


@njit(cache=True, nogil=True, error_model="numpy")
def _cover(  # type: ignore[no-untyped-def]
    rail, demand, margin, pad, begin, start, pixel, gap, reach,
    volts, least, source, per_a, wire_ohm, wire_fuse, wire_a, wire_price,
    fuse_a, fuse_ohm, fuse_price, most_a, prices, load,
):  # fmt: skip
    """Best price of nodes 0..j−1 for every j, the stretch that ends there, its own price."""
    frames, m = demand.shape
    supplies, wires, fuses = len(volts), len(wire_ohm), len(fuse_a)
    feed_price, cut_price, joint_price = prices
    best = np.full(m + 1, np.inf)
    best[0] = 0.0
    own = np.zeros(m + 1)
    back = np.full((m + 1, 7), -1, np.int64)
    # Prefix sums of current, and of current times resistance, for one size of joining wire.
    a = np.zeros((frames, m + 1))
    for f in range(frames):
        for k in range(m):
            a[f, k + 1] = a[f, k] + demand[f, k]
    ohm = np.empty(m)
    joins = np.zeros(m + 1)
    joints = np.zeros(m + 1, np.int64)
    for k in range(m):
        joins[k + 1] = joins[k] + gap[k]
        joints[k + 1] = joints[k] + (1 if gap[k] > 0 else 0)
    blocked = np.zeros(m + 1, np.int64)  # runs that begin without a way from the one before
    for k in range(m):
        blocked[k + 1] = blocked[k] + (1 if start[k] and gap[k] == 0 else 0)
    # Nodes that a stretch can end at, and which of them is the first from each node on.
    stops = np.array([k for k in range(m) if k + 1 == m or begin[k + 1]])
    next_stop = np.searchsorted(stops, np.arange(m))
    # Stretches are looked at in the order of where they begin, so that `best` there is final.
    at_ohm = np.empty((wires, m))
    at_b = np.empty((wires, frames, m + 1))
    for w in range(wires):
        extra = 0.0
        for k in range(m):
            extra += gap[k] * wire_ohm[w]
            ohm[k] = rail[k] + extra
            at_ohm[w, k] = ohm[k]
        for f in range(frames):
            at_b[w, f, 0] = 0.0
            for k in range(m):
                at_b[w, f, k + 1] = at_b[w, f, k] + demand[f, k] * ohm[k]
    for i in range(m):
        if not begin[i] or not np.isfinite(best[i]):
            continue
        cut_here = 0.0 if (i == 0 or start[i]) else cut_price
        for p in range(i, m):
            if blocked[p + 1] > blocked[i + 1]:
                break
            if not pad[p]:
                continue
            some = False
            for w in range(wires):
                left = 0.0
                for f in range(frames):
                    lost = at_ohm[w, p] * (a[f, p + 1] - a[f, i]) - (
                        at_b[w, f, p + 1] - at_b[w, f, i]
                    )
                    left = max(left, lost)
                for s in range(supplies):
                    room = volts[s] - least[s]
                    if left > room + _EXACT_V or not np.isfinite(reach[s, p]):
                        continue
                    length = reach[s, p]
                    loop = wire_ohm[w] * length
                    # The smallest fuse that carries it; a larger one opens later.
                    g = 0
                    for n in range(next_stop[p], len(stops)):
                        j = stops[n]
                        if blocked[j + 1] > blocked[i + 1]:
                            break
                        peak = 0.0
                        for f in range(frames):
                            peak = max(peak, a[f, j + 1] - a[f, i])
                        if peak > wire_a[w] or peak > most_a[s]:
                            break
                        while g < fuses and load[0] * fuse_a[g] < peak:
                            g += 1
                        if g == fuses or fuse_a[g] > wire_fuse[w]:
                            break
                        least_left = np.inf
                        for f in range(frames):
                            amps = a[f, j + 1] - a[f, i]
                            lost_left = at_ohm[w, p] * (a[f, p + 1] - a[f, i]) - (
                                at_b[w, f, p + 1] - at_b[w, f, i]
                            )
                            lost_right = (at_b[w, f, j + 1] - at_b[w, f, p]) - at_ohm[w, p] * (
                                a[f, j + 1] - a[f, p]
                            )
                            at_pad = volts[s] - amps * (loop + fuse_ohm[g])
                            least_left = min(
                                least_left,
                                at_pad - lost_left - margin[i],
                                at_pad - lost_right - margin[j],
                            )
                        if least_left < least[s] - _EXACT_V:
                            # A larger fuse, which more current takes, has less resistance.
                            if least_left + peak * fuse_ohm[g] < least[s] - _EXACT_V:
                                break
                            continue
                        some = True
                        if load[1] > 0:
                            # End pads that no wire uses are not there to be shorted.
                            lo = i if pixel[i] or p == i else i + 1
                            hi = j if pixel[j] or p == j else j - 1
                            away = max(at_ohm[w, p] - at_ohm[w, lo], at_ohm[w, hi] - at_ohm[w, p])
                            short = volts[s] / (source[s] + loop + fuse_ohm[g] + away)
                            if short < load[1] * fuse_a[g]:
                                continue
                        ends = j + 1
                        price = (
                            feed_price
                            + fuse_price[g]
                            + wire_price[w] * (length + joins[j + 1] - joins[i + 1])
                            + joint_price * (joints[j + 1] - joints[i + 1])
                            + cut_here
                        )
                        total = best[i] + price + per_a[s] * peak
                        if total < best[ends] - 1e-12:
                            best[ends] = total
                            own[ends] = price
                            back[ends, 0] = i
                            back[ends, 1] = j
                            back[ends, 2] = p
                            back[ends, 3] = s
                            back[ends, 4] = w
                            back[ends, 5] = g
                            back[ends, 6] = i
            if not some:
                # Farther pads lose more on the left; nothing to the right of here can do.
                worst = np.inf
                for w in range(wires):
                    for f in range(frames):
                        lost = at_ohm[w, p] * (a[f, p + 1] - a[f, i]) - (
                            at_b[w, f, p + 1] - at_b[w, f, i]
                        )
                        worst = min(worst, lost)
                top = -np.inf
                for s in range(supplies):
                    top = max(top, volts[s] - least[s])
                if worst > top:
                    break
    return best, back, own
