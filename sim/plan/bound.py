"""A lower bound of what feeding a line costs: the relaxation of `cover`.

No cut costs anything, no short is looked at, and a node between two stretches is fed for nothing.
Whatever wiring there is, with a wire of its own for each feed, falls into such stretches. With one
fuse, volts at the worst pixel only sink as a stretch grows, so its farthest end is found by halving
and every end before it costs the same.
"""

from __future__ import annotations

import numpy as np

from layouts.catalogue import limits
from sim.kernels import njit

from .records import Line, Market

#: Rounding in sums of drops [V].
_EXACT_V = 1e-9


def least_price(line: Line, market: Market) -> float:
    """What no feeding of the line by wires of its own goes below, supplies left out; infinite
    where none can be."""
    rules, supplies, wires, fuses = market.rules, market.supplies, market.wires, market.fuses
    volts = np.array([s.volts for s in supplies])
    least_v = np.maximum(line.need_v, (1 - rules.most_drop) * volts)
    fits = np.array([limits().suits(v, line.volts) for v in volts], dtype=bool)
    fuses = tuple(sorted(fuses, key=lambda fuse: fuse.rating_a))
    reach_m = np.where(fits[:, None], line.reach_m, np.inf)
    room_v = volts - least_v
    most_a = np.array([s.rated_a for s in supplies]) * rules.supply_load
    best = _least(
        line.rail_ohm, np.ascontiguousarray(line.demand_a), line.pad, line.start, line.gap_m,
        _undominated(reach_m, room_v, most_a), room_v, most_a,
        np.array([w.loop_ohm_per_m for w in wires]),
        np.array([w.fuse_most_a for w in wires]),
        np.array([w.carries_a for w in wires]),
        np.array([w.price_per_m for w in wires]),
        np.array([f.rating_a for f in fuses]),
        np.array([f.cold_ohm for f in fuses]),
        np.array([f.price for f in fuses]),
        np.array([market.work.feed, market.work.joint]),
        rules.fuse_load,
    )  # fmt: skip
    return float(best[line.size])


def _undominated(reach_m: np.ndarray, room_v: np.ndarray, most_a: np.ndarray) -> np.ndarray:
    """(K, m) [m], infinite where another supply is as near, as strong and as free of losses."""
    kept = reach_m.copy()
    for s in range(len(room_v)):
        for other in range(len(room_v)):
            if other == s or room_v[other] < room_v[s] or most_a[other] < most_a[s]:
                continue
            alike = room_v[other] == room_v[s] and most_a[other] == most_a[s] and other > s
            # Of two that are the same in everything the first stays.
            nearer = reach_m[other] < reach_m[s] if alike else reach_m[other] <= reach_m[s]
            kept[s, nearer] = np.inf
    return kept


@njit(cache=True, nogil=True, error_model="numpy")
def _least(  # type: ignore[no-untyped-def]
    rail, demand, pad, start, gap, reach, room, most_a, wire_ohm, wire_fuse, wire_a, wire_price,
    fuse_a, fuse_ohm, fuse_price, prices, fuse_load,
):  # fmt: skip
    """(m+1,) the least price of nodes 0..j−1 for every j; `room` (K,) [V] may be lost."""
    frames, m = demand.shape
    supplies, wires, fuses = len(room), len(wire_ohm), len(fuse_a)
    feed_price, joint_price = prices
    best = np.full(m + 1, np.inf)
    best[0] = 0.0
    a = np.zeros((frames, m + 1))
    joins, joints = np.zeros(m + 1), np.zeros(m + 1)
    blocked = np.zeros(m + 1, np.int64)  # runs that begin without a way from the one before
    for k in range(m):
        joins[k + 1] = joins[k] + gap[k]
        joints[k + 1] = joints[k] + (1.0 if gap[k] > 0 else 0.0)
        blocked[k + 1] = blocked[k] + (1 if start[k] and gap[k] == 0 else 0)
        for f in range(frames):
            a[f, k + 1] = a[f, k] + demand[f, k]
    ohm = np.empty((wires, m))
    b = np.zeros((wires, frames, m + 1))
    for w in range(wires):
        for k in range(m):
            ohm[w, k] = rail[k] + joins[k + 1] * wire_ohm[w]
            for f in range(frames):
                b[w, f, k + 1] = b[w, f, k] + demand[f, k] * ohm[w, k]
    peak = np.empty(m)
    fuse_end = np.empty(fuses, np.int64)  # the first node that takes more than it carries
    wire_end, supply_end = np.empty(wires, np.int64), np.empty(supplies, np.int64)
    for i in range(m):
        if not np.isfinite(best[i]):
            continue
        stop = i
        while stop < m and blocked[stop + 1] == blocked[i + 1]:
            most = 0.0
            for f in range(frames):
                most = max(most, a[f, stop + 1] - a[f, i])
            peak[stop] = most
            stop += 1
        taken = peak[i:stop]
        for g in range(fuses):
            fuse_end[g] = i + np.searchsorted(taken, fuse_load * fuse_a[g], side="right")
        for w in range(wires):
            wire_end[w] = i + np.searchsorted(taken, wire_a[w], side="right")
        for s in range(supplies):
            supply_end[s] = i + np.searchsorted(taken, most_a[s], side="right")
        for p in range(i, stop):
            if not pad[p]:
                continue
            nearest = np.inf  # [V] lost to the left, at the least
            for w in range(wires):
                left = 0.0
                for f in range(frames):
                    left = max(
                        left, ohm[w, p] * (a[f, p + 1] - a[f, i]) - (b[w, f, p + 1] - b[w, f, i])
                    )
                nearest = min(nearest, left)
                for s in range(supplies):
                    length = reach[s, p]
                    if left > room[s] + _EXACT_V or not np.isfinite(length):
                        continue
                    loop = wire_ohm[w] * length
                    top = min(wire_end[w], supply_end[s])
                    low = p
                    for g in range(fuses):
                        if fuse_a[g] > wire_fuse[w] or low >= top:
                            break
                        end = min(fuse_end[g], top)
                        if end <= low:
                            continue
                        # Of ends low..end−1 the farthest with volts enough: `enough` has, `fails`
                        # has not.
                        enough, fails = low - 1, end
                        while fails - enough > 1:
                            j = (enough + fails) // 2
                            lost = 0.0
                            for f in range(frames):
                                right = (b[w, f, j + 1] - b[w, f, p]) - ohm[w, p] * (
                                    a[f, j + 1] - a[f, p]
                                )
                                back = ohm[w, p] * (a[f, p + 1] - a[f, i]) - (
                                    b[w, f, p + 1] - b[w, f, i]
                                )
                                lost = max(
                                    lost,
                                    (a[f, j + 1] - a[f, i]) * (loop + fuse_ohm[g])
                                    + max(right, back),
                                )
                            if lost <= room[s] + _EXACT_V:
                                enough = j
                            else:
                                fails = j
                        price = best[i] + feed_price + fuse_price[g]
                        price += wire_price[w] * (length - joins[i + 1])
                        price -= joint_price * joints[i + 1]
                        for j in range(low, enough + 1):
                            ends = j + 1
                            if ends < m and not start[ends]:
                                ends += 1
                            total = price + wire_price[w] * joins[j + 1]
                            total += joint_price * joints[j + 1]
                            best[ends] = min(best[ends], total)
                        low = end
            if nearest > room.max() + _EXACT_V:
                break  # farther pads lose more on the left
    return best
