"""The plan of one line: its feeds and cuts, what they cost, and whether they keep every rule."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .ladder import Ladder, least_opening, solved
from .records import Line, Market, Stretch

#: Rounding [V], [A].
_EXACT = 1e-9
#: Fuses are chosen by the current, which their own resistance moves a little: so often at most.
_TURNS = 6


@dataclass(frozen=True, order=True)
class Feed:
    """A wire from a supply choice to a pad of the line."""

    pad: int
    supply: int
    wire: int


@dataclass(frozen=True)
class LinePlan:
    """Feeds in the order of their pads, and cuts of + before nodes.

    `joined` are the sizes of wire, node by node, that join a run to the one before it.
    """

    feeds: tuple[Feed, ...]
    cuts: frozenset[int] = frozenset()
    joined: tuple[tuple[int, int], ...] = ()  # (node, wire), ascending

    def changed(self, at: int, feed: Feed | None) -> LinePlan:
        """With feed number `at` replaced, or taken away; at the end: added."""
        rest = (*self.feeds[:at], *self.feeds[at + 1 :])
        return replace(self, feeds=tuple(sorted((*rest, *((feed,) if feed else ())))))


@dataclass(frozen=True, eq=False)
class Verdict:
    """What a plan of a line comes to; P feeds."""

    ok: bool
    fuse: tuple[int, ...]  # of each feed
    peak_a: np.ndarray  # (P,) [A]
    spare_v: float  # [V] that the worst pixel has beyond its need
    worst: int  # its node
    opening: np.ndarray  # (P,) share of the current that has to open each fuse; 1 or more is well
    supply_a: dict[int, float]  # [A] at the peak, by supply choice


def of_stretches(stretches: tuple[Stretch, ...], line: Line) -> LinePlan:
    """The plan that `cover` proposes: cut wherever a stretch begins inside a run."""
    feeds = tuple(sorted(Feed(s.pad, s.supply, s.wire) for s in stretches))
    cuts = frozenset(s.first for s in stretches if s.first and not line.start[s.first])
    joined = tuple(
        (node, s.wire)
        for s in stretches
        for node in range(s.first + 1, s.last + 1)
        if line.gap_m[node] > 0
    )
    return LinePlan(feeds, cuts, joined)


def price_of(line: Line, market: Market, plan: LinePlan, fuse: tuple[int, ...] | None = None) -> float:
    """What feeds, cuts and joints of the plan cost, supplies left out.

    Without `fuse` the cheapest fuses are counted: a lower bound.
    """
    work, wires = market.work, market.wires
    if fuse is None:
        fuses = len(plan.feeds) * min(each.price for each in market.fuses)
    else:
        fuses = sum(market.fuses[g].price for g in fuse)
    wire = sum(wires[f.wire].price_per_m * line.reach_m[f.supply, f.pad] for f in plan.feeds)
    joints = sum(wires[w].price_per_m * line.gap_m[node] + work.joint for node, w in plan.joined)
    return float(len(plan.feeds) * work.feed + len(plan.cuts) * work.cut + wire + fuses + joints)


def judged(
    line: Line, market: Market, plan: LinePlan, sag_v: np.ndarray, margin_v: float = 0.0
) -> Verdict | None:
    """Whether `plan` keeps every rule on this line; None where it cannot be wired at all.

    `sag_v` (K,) [V] is lost inside each supply choice. Each feed takes the smallest fuse that
    carries it.
    """
    rules, feeds = market.rules, plan.feeds
    if not feeds or not _wired(line, plan):
        return None
    pad = np.array([f.pad for f in feeds])
    choice = np.array([f.supply for f in feeds])
    wires = [market.wires[f.wire] for f in feeds]
    ohm = np.array([w.loop_ohm_per_m for w in wires]) / 2 * line.reach_m[choice, pad]
    if not np.isfinite(ohm).all():
        return None
    volts = np.array([s.volts for s in market.supplies])[choice]
    rated, cold = _fuses(market)
    between, cut = _rails(line, market, plan)
    most_fuse = np.array([w.fuse_most_a for w in wires])
    fuse = np.full(len(feeds), len(rated) // 2)
    joints = [market.wires[w].fuse_most_a for _, w in plan.joined]
    for _ in range(_TURNS):
        net = Ladder(
            between, cut, line.demand_a, line.pixel, pad, ohm + cold[fuse], ohm,
            volts - sag_v[choice],
        )  # fmt: skip
        at, plus_a, minus_a = solved(net)
        peak = np.abs(plus_a).max(axis=0)
        wanted = np.searchsorted(rated, (peak - _EXACT) / rules.fuse_load)
        if (wanted == len(rated)).any() or (rated[wanted] > most_fuse).any():
            return None
        if (wanted == fuse).all():
            break
        fuse = np.where(wanted < fuse, wanted, np.maximum(wanted, fuse))
    least_v = np.maximum(line.need_v, (1 - rules.most_drop) * volts.max()) + margin_v
    spare = np.where(line.pixel, at, np.inf).min(axis=0) - least_v
    carries = np.array([w.carries_a for w in wires])
    both = np.maximum(peak, np.abs(minus_a).max(axis=0))
    ok = (
        spare.min() >= -_EXACT
        and (peak <= rules.fuse_load * rated[fuse] + _EXACT).all()
        and (both <= carries + _EXACT).all()
        and all(most >= rated[fuse].max() for most in joints)
    )
    opening = np.full(len(feeds), np.inf)
    if ok and rules.shorts:
        source = np.array([s.source_ohm for s in market.supplies])[choice]
        unsagged = net._replace(volts=volts)
        opening, _ = least_opening(unsagged, rated[fuse], source, rules.opens)
        ok = bool((opening >= 1 - _EXACT).all())
    supply_a = {
        int(k): float(plus_a[:, choice == k].sum(axis=1).max()) for k in np.unique(choice)
    }
    worst = int(spare.argmin())
    return Verdict(bool(ok), tuple(fuse.tolist()), peak, float(spare[worst]), worst, opening, supply_a)


def pieces(line: Line, plan: LinePlan) -> list[tuple[int, int]]:
    """(first, end) nodes of every piece whose + hangs together."""
    joined = {node for node, _ in plan.joined}
    breaks = {int(n) for n in np.flatnonzero(line.start) if int(n) not in joined} | plan.cuts
    bounds = [*sorted(breaks | {0}), line.size]
    return list(zip(bounds[:-1], bounds[1:], strict=True))


def _wired(line: Line, plan: LinePlan) -> bool:
    """Every piece has a feed, and no two supplies share one."""
    pads = np.array([f.pad for f in plan.feeds])
    if len(set(pads.tolist())) < len(pads):
        return False
    supply = np.array([f.supply for f in plan.feeds])
    for first, end in pieces(line, plan):
        mine = supply[(pads >= first) & (pads < end)]
        if not len(mine) or (mine != mine[0]).any():
            return False
    return True


def _fuses(market: Market) -> tuple[np.ndarray, np.ndarray]:
    rated = np.array([f.rating_a for f in market.fuses])
    return rated, np.array([f.cold_ohm for f in market.fuses])


def _rails(line: Line, market: Market, plan: LinePlan) -> tuple[np.ndarray, np.ndarray]:
    """Conductance of one rail before each node, and where + is cut."""
    ohm = np.diff(line.rail_ohm, prepend=line.rail_ohm[0]) / 2
    joined = dict(plan.joined)
    between = np.zeros(line.size)
    for node in range(1, line.size):
        extra = 0.0
        if line.start[node]:
            if node not in joined:
                continue
            extra = market.wires[joined[node]].loop_ohm_per_m / 2 * line.gap_m[node]
        between[node] = 1 / (ohm[node] + extra)
    cut = np.zeros(line.size, dtype=bool)
    cut[list(plan.cuts)] = True
    return between, cut
