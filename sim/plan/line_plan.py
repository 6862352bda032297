"""The plan of one line: its feeds and cuts, what they cost, and whether they keep every rule."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .ladder import Ladder, least_opening, solved
from .records import Line, Market, Stretch

#: Rounding [V], [A].
_EXACT = 1e-9
#: Fuses are chosen by the current, which their own resistance moves a little: so often at most.
_TURNS = 6
#: [m] of wire from a trunk to the pad beside it, slack at both ends.
TAP_M = 0.6


@dataclass(frozen=True, order=True)
class Feed:
    """A wire from a supply choice to a pad of the line."""

    pad: int
    supply: int
    wire: int


@dataclass(frozen=True, order=True)
class Trunk:
    """A heavier wire from a supply past several taps, on which the feeds at `pads` hang.

    Each tap has its feed's own fuse and a short wire of the feed's size. Pads stand in the order
    in which the trunk passes them.
    """

    pads: tuple[int, ...]
    wire: int
    fuse: int


@dataclass(frozen=True)
class LinePlan:
    """Feeds in the order of their pads, and cuts of + before nodes.

    `joined` are the sizes of wire, node by node, that join a run to the one before it.
    """

    feeds: tuple[Feed, ...]
    cuts: frozenset[int] = frozenset()
    joined: tuple[tuple[int, int], ...] = ()  # (node, wire), ascending
    trunks: tuple[Trunk, ...] = ()

    def changed(self, at: int, feed: Feed | None) -> LinePlan:
        """With feed number `at` replaced, or taken away; at the end: added."""
        rest = (*self.feeds[:at], *self.feeds[at + 1 :])
        feeds = tuple(sorted((*rest, *((feed,) if feed else ()))))
        return LinePlan(feeds, self.cuts, self.joined, self.trunks)


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


def price_of(
    line: Line, market: Market, plan: LinePlan, fuse: tuple[int, ...] | None = None
) -> float:
    """What feeds, cuts and joints of the plan cost, supplies left out.

    Without `fuse` the cheapest fuses are counted: a lower bound.
    """
    work, wires = market.work, market.wires
    if fuse is None:
        fuses = len(plan.feeds) * min(each.price for each in market.fuses)
    else:
        fuses = sum(market.fuses[g].price for g in fuse)
    tapped = {pad for trunk in plan.trunks for pad in trunk.pads}
    wire = sum(
        wires[f.wire].price_per_m * (TAP_M if f.pad in tapped else line.reach_m[f.supply, f.pad])
        for f in plan.feeds
    )
    supply = {f.pad: f.supply for f in plan.feeds}
    for trunk in plan.trunks:
        last = trunk.pads[-1]
        wire += wires[trunk.wire].price_per_m * line.reach_m[supply[last], last]
        wire += market.fuses[trunk.fuse].price + work.trunk
        wire += len(trunk.pads) * (work.tap - work.feed)
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
    far_m = line.reach_m[choice, pad]
    on_trunk = _on_trunk(plan, pad)
    own_m = np.where(on_trunk >= 0, TAP_M, far_m)
    ohm = np.array([w.loop_ohm_per_m for w in wires]) / 2 * own_m
    if not np.isfinite(ohm).all():
        return None
    volts = np.array([s.volts for s in market.supplies])[choice]
    rated, cold = _fuses(market)
    between, cut = _rails(line, market, plan)
    most_fuse = np.array([w.fuse_most_a for w in wires])
    fuse = np.full(len(feeds), len(rated) // 2)
    held = np.repeat((volts - sag_v[choice])[None], len(line.demand_a), axis=0)
    lift = np.zeros_like(held)
    shared = _shared_ohm(line, market, plan, choice, pad)
    for _ in range(_TURNS if not plan.trunks else 3 * _TURNS):
        net = Ladder(
            between, cut, line.demand_a, line.pixel, pad, ohm + cold[fuse], ohm, held, lift
        )
        at, plus_a, minus_a = solved(net)
        moved_v = 0.0
        if shared is not None:
            # What all taps of a trunk take is lost on it before each of them.
            now = volts - sag_v[choice] - plus_a @ shared[0]
            rise = minus_a @ shared[1]
            moved_v = max(np.abs(now - held).max(), np.abs(rise - lift).max())
            held, lift = now, rise
        peak = np.abs(plus_a).max(axis=0)
        wanted = np.searchsorted(rated, (peak - _EXACT) / rules.fuse_load)
        if (wanted == len(rated)).any() or (rated[wanted] > most_fuse).any():
            return None
        if (wanted == fuse).all() and moved_v < 1e-7:
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
        and unfused_hold(line, market, plan, rated[fuse])
    )
    opening = np.full(len(feeds), np.inf)
    if ok and rules.shorts:
        source = np.array([s.source_ohm for s in market.supplies])[choice]
        before = 0.0 if shared is None else np.diag(shared[0]) + np.diag(shared[1])
        opening, _ = least_opening(net, rated[fuse], volts, source + before, rules.opens)
        ok = bool((opening >= 1 - _EXACT).all())
    ok = ok and all(
        _trunk_holds(trunk, market, plus_a, minus_a, pad, choice, source_v=volts, far_m=far_m)
        for trunk in plan.trunks
    )
    ok = ok and _fits(line, market, plan)
    supply_a = {int(k): float(plus_a[:, choice == k].sum(axis=1).max()) for k in np.unique(choice)}
    worst = int(spare.argmin())
    return Verdict(
        bool(ok), tuple(fuse.tolist()), peak, float(spare[worst]), worst, opening, supply_a
    )


def _on_trunk(plan: LinePlan, pad: np.ndarray) -> np.ndarray:
    """(P,) number of the trunk that each feed hangs on, −1 for a wire of its own."""
    which = {p: n for n, trunk in enumerate(plan.trunks) for p in trunk.pads}
    return np.array([which.get(int(p), -1) for p in pad])


def _shared_ohm(
    line: Line, market: Market, plan: LinePlan, choice: np.ndarray, pad: np.ndarray
) -> tuple[np.ndarray, np.ndarray] | None:
    """(P, P) [Ω] of + and of − that feeds on one trunk have in common before their taps."""
    if not plan.trunks:
        return None
    plus, minus = np.zeros((2, len(pad), len(pad)))
    for trunk in plan.trunks:
        mine = [int(np.flatnonzero(pad == p)[0]) for p in trunk.pads]
        far = line.reach_m[choice[mine], pad[mine]]
        own = market.wires[trunk.wire].loop_ohm_per_m / 2 * np.minimum(far[:, None], far)
        minus[np.ix_(mine, mine)] = own
        plus[np.ix_(mine, mine)] = own + market.fuses[trunk.fuse].cold_ohm
    return plus, minus


def _trunk_holds(
    trunk: Trunk,
    market: Market,
    plus_a: np.ndarray,
    minus_a: np.ndarray,
    pad: np.ndarray,
    choice: np.ndarray,
    source_v: np.ndarray,
    far_m: np.ndarray,
) -> bool:
    """Whether wire and fuse of a trunk carry all its taps; a short at its end opens the fuse."""
    rules, wire, fuse = market.rules, market.wires[trunk.wire], market.fuses[trunk.fuse]
    mine = [int(np.flatnonzero(pad == p)[0]) for p in trunk.pads]
    amps = float(plus_a[:, mine].sum(axis=1).max())
    back_a = float(np.abs(minus_a[:, mine].sum(axis=1)).max())
    last = mine[-1]
    supply = market.supplies[int(choice[last])]
    ohm = supply.source_ohm + wire.loop_ohm_per_m * far_m[last] + fuse.cold_ohm
    opens = not rules.shorts or source_v[last] / ohm >= rules.opens * fuse.rating_a - _EXACT
    return bool(
        amps <= rules.fuse_load * fuse.rating_a + _EXACT
        and fuse.rating_a <= wire.fuse_most_a
        and max(amps, back_a) <= wire.carries_a + _EXACT
        and opens
    )


def unfused_hold(line: Line, market: Market, plan: LinePlan, fuse_a: np.ndarray) -> bool:
    """Whether joints, and trunks beyond their first tap, may stand behind all the fuses that feed
    one end of them together; as `layouts.fuses_above` has it, or stricter.

    `fuse_a` (P,) [A] of the feeds. A joint is not thinner than any of them alone wants.
    """
    pads = np.array([f.pad for f in plan.feeds])
    held = pieces(line, plan)
    for node, wire in plan.joined:
        first, end = next(piece for piece in held if piece[0] <= node < piece[1])
        before = fuse_a[(pads >= first) & (pads < node)].sum()
        behind = fuse_a[(pads >= node) & (pads < end)].sum()
        if max(before, behind, fuse_a.max()) > market.wires[wire].fuse_most_a + _EXACT:
            return False
    for trunk in plan.trunks:
        own = np.isin(pads, trunk.pads)
        met = [(pads >= a) & (pads < b) for a, b in held if (own & (pads >= a) & (pads < b)).any()]
        others_a = fuse_a[np.any(met, axis=0) & ~own].sum()
        tap_a = np.array([fuse_a[pads == pad].sum() for pad in trunk.pads])
        ahead_a, most_a = market.fuses[trunk.fuse].rating_a, market.wires[trunk.wire].fuse_most_a
        for taps in range(1, len(tap_a)):
            near_a, far_a = tap_a[:taps].sum(), tap_a[taps:].sum()
            before = ahead_a + min(near_a, others_a)
            behind = min(far_a, others_a + min(ahead_a, near_a))
            if max(before, behind) > most_a + _EXACT:
                return False
    return True


def pieces(line: Line, plan: LinePlan) -> list[tuple[int, int]]:
    """(first, end) nodes of every piece whose + hangs together."""
    joined = {node for node, _ in plan.joined}
    breaks = {int(n) for n in np.flatnonzero(line.start) if int(n) not in joined} | plan.cuts
    bounds = [*sorted(breaks | {0}), line.size]
    return list(pairwise(bounds))


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


def _fits(line: Line, market: Market, plan: LinePlan) -> bool:
    """Whether each piece draws no more than the largest supply at the place of its own gives."""
    supply = {f.pad: market.supplies[f.supply] for f in plan.feeds}
    for first, end in pieces(line, plan):
        own = next(supply[pad] for pad in supply if first <= pad < end)
        alike = (s for s in market.supplies if (s.place, s.volts) == (own.place, own.volts))
        most_a = market.rules.supply_load * max(s.rated_a for s in alike)
        if line.demand_a[:, first:end].sum(axis=1).max() > most_a + _EXACT:
            return False
    return True


def _fuses(market: Market) -> tuple[np.ndarray, np.ndarray]:
    rated = np.array([f.rating_a for f in market.fuses])
    return rated, np.array([f.cold_ohm for f in market.fuses])


def _rails(line: Line, market: Market, plan: LinePlan) -> tuple[np.ndarray, np.ndarray]:
    """Conductance of one rail before each node, and where + is cut."""
    ohm = np.diff(line.rail_ohm, prepend=line.rail_ohm[0]) / 2
    open_here = line.start.copy()
    for node, wire in plan.joined:
        ohm[node] += market.wires[wire].loop_ohm_per_m / 2 * line.gap_m[node]
        open_here[node] = False
    open_here[0] = True
    between = np.where(open_here, 0.0, 1 / np.where(open_here, 1.0, ohm))
    cut = np.zeros(line.size, dtype=bool)
    cut[list(plan.cuts)] = True
    return between, cut
