"""Why each thing of a plan is there: what breaks, by how much, in the same plan without it.

Computed, never guessed: a feed or a cut is taken away and the ladder of its line is solved again.
Wires and places stay; each fuse left is taken as large as what it would then carry asks, so voltage
that is missing is missing with any fuse. What saves only money says how much.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from layouts import change
from layouts.records import CHANNELS
from sim.circuit import build, far_shorts

from .line_plan import LinePlan, Verdict, judged, pieces, price_of
from .plan import Plan
from .proposal import Fed
from .records import Line, Market
from .wired import PlannedWire, cut_at, planned_wires, point, unit_names

#: [A], [V] of rounding.
_EXACT = 1e-9


@dataclass(frozen=True)
class Why:
    """What happens without one element; `sim.report.wording.plan` makes the sentence of it.

    Codes: `unfed`, `colour`, `drop`, `data`, `fuse`, `wire`, `short`, `joined`, `serves`, `saves`,
    `cheaper`.
    """

    code: str
    element: str  # the wire, cut, supply or trunk that is there, as a house file names it
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    detail: Mapping[str, Any] = field(default_factory=dict, hash=False)


def why(plan: Plan) -> tuple[Why, ...]:
    """One reason for every feed, cut, trunk and supply, in the order of the plan."""
    wires = planned_wires(plan.before, plan.proposal)
    feeds = {(w.line, w.node): w for w in wires if w.kind in ("feed", "tap")}
    found: list[Why] = []
    for number, fed in enumerate(plan.proposal.fed):
        for at, feed in enumerate(fed.plan.feeds):
            found.append(_feed(plan, fed, at, feeds[number, feed.pad]))
        for node in sorted(fed.plan.cuts):
            found.append(_cut(plan, number, node, feeds))
        for trunk in fed.plan.trunks:
            last = next(
                w
                for w in wires
                if w.kind == "trunk" and (w.line, w.node) == (number, trunk.pads[-1])
            )
            found.append(_trunk(plan, fed, len(trunk.pads), last, trunk))
    return (*_supplies(plan), *found)


def _feed(plan: Plan, fed: Fed, at: int, wire: PlannedWire) -> Why:
    """What a feed is there for."""
    line, feed = fed.line, fed.plan.feeds[at]
    element = f"{wire.entry['from']} → {wire.entry['to']}"
    bounds = pieces(line, fed.plan)
    first, end = next(each for each in bounds if each[0] <= feed.pad < each[1])
    if sum(first <= other.pad < end for other in fed.plan.feeds) == 1:
        ends = (
            point(plan.before, line, _pixel(line, first)),
            point(plan.before, line, _pixel(line, end - 1, -1)),
        )
        amps = float(line.demand_a[:, first:end].sum(axis=1).max())
        return Why("unfed", element, amps, 0.0, "A", {"first": ends[0], "last": ends[1]})
    trunks = tuple(
        replace(t, pads=tuple(p for p in t.pads if p != feed.pad)) for t in fed.plan.trunks
    )
    rest = replace(fed.plan.changed(at, None), trunks=tuple(t for t in trunks if t.pads))
    fuses = tuple(f for n, f in enumerate(fed.verdict.fuse) if n != at)
    return _broken(plan, fed, rest, fuses, element) or _cheaper(plan, fed, rest, element)


def _pixel(line: Line, node: int, step: int = 1) -> int:
    """The nearest pixel of a line from `node` on; an end pad has none of its own."""
    while not line.pixel[node] and 0 <= node + step < line.size:
        node += step
    return node


def _cut(plan: Plan, number: int, node: int, feeds: dict[tuple[int, int], PlannedWire]) -> Why:
    fed = plan.proposal.fed[number]
    run, before = cut_at(plan.before, fed.line, node)
    element = f"{run}[{before}]"
    rest = replace(fed.plan, cuts=fed.plan.cuts - {node})
    names, made = unit_names(plan.before, plan.proposal), plan.proposal
    sides = [made.unit_of(number, _pixel(fed.line, n, s)) for n, s in ((node - 1, -1), (node, 1))]
    if sides[0] != sides[1]:
        both = names[sides[0]], names[sides[1]]
        return Why("joined", element, detail={"supplies": both})
    told = _broken(plan, fed, rest, fed.verdict.fuse, element)
    if (told is None or told.code == "short") and len({f.supply for f in rest.feeds}) > 1:
        told = _short_uncut(plan, run, before)
    return told or _cheaper(plan, fed, rest, element)


def _short_uncut(plan: Plan, run: str, before: int) -> Why | None:
    """The far short that opens its fuse least without a cut, in the true circuit; None: all open.

    Of a line on several supplies the ladder knows no better: there a short comes back over the −
    of all of them, in the circuit over that of its own alone.
    """
    cuts = [cut for cut in plan.house.run(run).cuts if cut != before]
    house, opens = change(plan.house, runs={run: {"cuts": cuts}}), plan.wanted.rules.opens
    shorts = [
        (short.amps / (opens * wire.fuse_a), short.amps, wire.fuse_a, wire.end.text)
        for wire, short in zip(house.wires, far_shorts(build(house)), strict=True)
        if short is not None and wire.fuse_a and wire.end.name == run
    ]
    share, amps, fuse_a, at = min(shorts, default=(1.0, 0.0, 0.0, ""))
    if share >= 1 - _EXACT:
        return None
    detail = {"at": at, "fuse_a": fuse_a}
    return Why("short", f"{run}[{before}]", amps, opens * fuse_a, "A", detail)


def _broken(
    plan: Plan, fed: Fed, rest: LinePlan, fuses: tuple[int, ...], element: str
) -> Why | None:
    """The worst limit that `rest` breaks on the line with the fuses as they are; None: none."""
    line, market = fed.line, plan.proposal.market
    told = judged(line, _unlimited(market, rest, fuses), rest, _sag_v(plan, fed))
    if told is None:
        return None
    house = plan.before
    volts = max(market.supplies[f.supply].volts for f in rest.feeds)
    least_v = max(line.need_v, (1 - market.rules.most_drop) * volts)
    if told.spare_v < -_EXACT:
        return _volts(plan, fed, told, least_v + told.spare_v, volts, element)
    rules = market.rules
    rated = np.array([market.fuses[g].rating_a for g in fuses])
    load = told.peak_a / (rules.fuse_load * rated)
    wire_a = np.array([market.wires[f.wire].carries_a for f in rest.feeds])
    heat = told.peak_a / wire_a
    worst = int(load.argmax())
    at = point(house, line, rest.feeds[worst].pad)
    if load[worst] > 1 + 1e-6:
        detail = {"at": at, "fuse_a": float(rated[worst])}
        limit_a = float(rules.fuse_load * rated[worst])
        return Why("fuse", element, float(told.peak_a[worst]), limit_a, "A", detail)
    worst = int(heat.argmax())
    if heat[worst] > 1 + 1e-6:
        detail = {"at": point(house, line, rest.feeds[worst].pad)}
        return Why("wire", element, float(told.peak_a[worst]), float(wire_a[worst]), "A", detail)
    own = replace(market, rules=replace(rules, shorts=True))
    strict = judged(line, own, rest, _sag_v(plan, fed))
    if strict is not None and len(strict.opening) and strict.opening.min() < 1 - _EXACT:
        worst = int(strict.opening.argmin())
        fuse_a = market.fuses[strict.fuse[worst]].rating_a
        limit_a = rules.opens * fuse_a
        detail = {"at": point(house, line, rest.feeds[worst].pad), "fuse_a": fuse_a}
        return Why("short", element, float(strict.opening[worst] * limit_a), limit_a, "A", detail)
    return None


def _unlimited(market: Market, rest: LinePlan, fuses: tuple[int, ...]) -> Market:
    """The market in which no wire or fuse says no, so that the ladder tells what would flow."""
    wires = tuple(replace(w, fuse_most_a=np.inf, carries_a=np.inf) for w in market.wires)
    endless = replace(market.fuses[max(fuses, default=0)], rating_a=1e6)
    rules = replace(market.rules, shorts=False)
    return replace(market, wires=wires, fuses=(*market.fuses, endless), rules=rules)


def _volts(plan: Plan, fed: Fed, told: Verdict, volts: float, supply_v: float, element: str) -> Why:
    """Too little voltage: colour that is lost, data not trusted, or more drop than was asked."""
    house, line = plan.before, fed.line
    run = house.runs[house.pixels.run[int(line.node[told.worst])]]
    at, kind = point(house, line, told.worst), run.kind
    lost = [
        channel.name
        for channel in sorted(kind.channels, key=lambda c: CHANNELS.index(c.name))
        if volts < _full_v(plan, run, channel.name) - _EXACT
    ]
    if lost:
        need = max(_full_v(plan, run, name) for name in lost)
        return Why("colour", element, volts, need, "V", {"at": at, "channels": tuple(lost)})
    if volts < kind.min_v:
        return Why("data", element, volts, kind.min_v, "V", {"at": at})
    limit = (1 - plan.wanted.rules.most_drop) * supply_v
    return Why("drop", element, volts, limit, "V", {"at": at, "supply_v": supply_v})


def _full_v(plan: Plan, run: Any, channel: str) -> float:
    """[V] from which a channel of a run shines in full, where the frames planned for light it."""
    from sim.circuit.law import law

    lit = plan.codes[:, run.pixels, CHANNELS.index(channel)].any()
    own = law(plan.before)
    kind = int(own.kind[run.ends[0]])
    return float(own.need_v[kind, CHANNELS.index(channel)]) if lit else 0.0


def _cheaper(plan: Plan, fed: Fed, rest: LinePlan, element: str) -> Why:
    """Nothing breaks without it but for what else would have to be bought."""
    market = plan.proposal.market
    own = price_of(fed.line, market, fed.plan, fed.verdict.fuse)
    told = judged(fed.line, market, rest, _sag_v(plan, fed))
    if told is None or not told.ok:
        return Why("limits", element)
    more = price_of(fed.line, market, rest, told.fuse) - own
    return Why("cheaper", element, more, 0.0, plan.parts.currency)


def _trunk(plan: Plan, fed: Fed, taps: int, last: PlannedWire, trunk: Any) -> Why:
    """What a trunk saves against a wire of its own to each of its taps."""
    market = plan.proposal.market
    rest = replace(fed.plan, trunks=tuple(t for t in fed.plan.trunks if t != trunk))
    saved = price_of(fed.line, market, rest, fed.verdict.fuse)
    saved -= price_of(fed.line, market, fed.plan, fed.verdict.fuse)
    detail = {"taps": taps, "wire": last.entry["wire"]}
    return Why("saves", str(last.entry["to"]), saved, 0.0, plan.parts.currency, detail)


def _supplies(plan: Plan) -> Iterator[Why]:
    """What each supply serves, and its peak."""
    made, house = plan.proposal, plan.before
    for unit, name in zip(made.units, unit_names(house, made), strict=True):
        amps, runs = 0.0, dict[str, None]()
        for piece in unit.pieces:
            number, at = made.pieces[piece]
            line = made.fed[number].line
            first, end = pieces(line, made.fed[number].plan)[at]
            amps = amps + line.demand_a[:, first:end].sum(axis=1)
            for node in range(first, end):
                runs[house.runs[house.pixels.run[int(line.node[node])]].name] = None
        supply = made.market.supplies[unit.choice]
        rated_a, volts = supply.rated_a, supply.volts
        limit_a = made.market.rules.supply_load * rated_a
        peak_a = float(np.max(amps))
        told = {"runs": tuple(runs), "rated_a": rated_a, "volts": volts}
        yield Why("serves", name, peak_a, limit_a, "A", told)


def _sag_v(plan: Plan, fed: Fed) -> np.ndarray:
    """(K,) [V] lost inside each supply choice, as it is loaded on this line."""
    supplies = plan.proposal.market.supplies
    amps = fed.verdict.supply_a
    return np.array([s.source_ohm * amps.get(k, 0.0) for k, s in enumerate(supplies)])
