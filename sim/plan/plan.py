"""`plan_house`: supplies, feeds, cuts, wires and fuses for a house, at least cost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np

from layouts import change, spot_xy_m
from layouts.catalogue import limits
from layouts.errors import EvenfallError
from layouts.power_paths import RunPiece, dead_wires, unfed_pieces
from layouts.records import House, Run
from sim.circuit import build, loads, utilisation
from sim.circuit.law import law
from sim.circuit.limits import limit_name
from sim.parts.records import Parts

from .bays import bay_findings
from .laid import free_remarks
from .lines import demand_of, lines_of
from .market import Box, market_of, with_existing
from .places import boxes_of
from .proposal import Proposal, propose
from .records import Line, Market, Rules
from .routing import CableNet, cable_net
from .small_fuses import with_small_fuses
from .sure import Sized, Tight, sure_plan
from .wired import agreement, sections, wired

Progress = Callable[[float, float], None]


@dataclass(frozen=True)
class Wanted:
    """What a plan is asked to keep."""

    rules: Rules = field(default_factory=Rules)
    between_c: tuple[float, float] | None = None  # the wiring's coldest and hottest
    anew: bool = False  # what is wired already is thrown away
    sure: float | None = None  # the probability that every limit is kept, whatever parts are like


@dataclass(frozen=True, eq=False)
class Plan:
    """A house wired at least cost, and how it was found."""

    house: House  # wired
    before: House  # as it was planned from
    parts: Parts
    proposal: Proposal
    boxes: tuple[Box, ...]
    net: CableNet
    codes: np.ndarray  # (F, N, C) uint8 the frames planned for
    remarks: tuple[str, ...]
    priced: bool  # False: stand-ins were used where prices were missing
    sections: dict[str, Any]  # what a house file gains
    wanted: Wanted = field(default_factory=Wanted)
    sized: Sized | None = None  # where a probability was asked for

    @property
    def said(self) -> tuple[str, ...]:
        """The remarks, and where wire hangs free."""
        return (*self.remarks, *free_remarks(self.before, self.proposal, self.net))

    @property
    def price(self) -> float:
        """What the wiring costs: supplies, feeds, cuts, wires, fuses, work."""
        return self.proposal.price

    @property
    def lower_bound(self) -> float:
        """No wiring with a wire of its own for each feed costs less."""
        return self.proposal.lower_bound


def plan_house(
    house: House,
    codes: np.ndarray,
    parts: Parts,
    wanted: Wanted | None = None,
    progress: Progress | None = None,
    *,
    tight: Tight | None = None,
) -> Plan:
    """Wire what of `house` no supply reaches, for the frames `codes` (F, N, C) uint8.

    What is wired already stays, unless `wanted.anew`; of a run, each piece between cuts that
    nothing feeds is wired by itself. Raises EvenfallError where nothing that can
    be bought keeps the limits, saying which limit and what would free it. `tight` is the room that
    a plan with a probability asked for has beside them.
    """
    asked = wanted or Wanted()
    if asked.sure is not None and tight is None:
        plain = plan_house(house, codes, parts, replace(asked, sure=None), progress)
        return sure_plan(
            plain,
            asked.sure,
            lambda room: plan_house(house, codes, parts, asked, progress, tight=room),
        )
    if asked.anew:
        house = change(
            house, supplies=[], wires=[], runs={run.name: {"cuts": []} for run in house.runs}
        )
    hot_c = max(asked.between_c) if asked.between_c else house.temperature_c
    if asked.between_c:
        asked = replace(asked, rules=_warm(asked.rules, hot_c))
    if tight is not None:
        asked = replace(asked, rules=tight.rules(asked.rules))
    ends = [_at_c(house, each) for each in asked.between_c or (house.temperature_c,)]
    planned_for = _at_c(house, hot_c)
    bare = unfed_pieces(house)
    if not bare:
        raise EvenfallError(
            "every run is fed already; --anew throws the wiring away and plans all of it"
        )
    _hang_on_supplies(house)
    for end in ends:
        _holds_so_far(end, codes)
    own_law = law(house)
    demand = demand_of(own_law, codes, house.pixels.spare)
    boxes, remarks = boxes_of(house, *_drawing(bare, demand.amps.max(axis=0)))
    market, priced = market_of(house, parts, boxes, asked.rules, hot_c)
    if tight is not None:
        market = tight.market(market)
    if asked.between_c and min(asked.between_c) < limits().coldest_start_c:
        cold = f"{limits().coldest_start_c:g} °C"
        remarks = (*remarks, f"few supplies are rated to start below {cold}: look for one that is")
    spots = {box.name: box.at_m for box in boxes}
    room_a = _room_a(planned_for, codes, asked.rules)
    for supply in house.supplies:
        where = spot_xy_m(house, supply.at)
        if where is None:
            remarks = (
                *remarks,
                f"supply {supply.name} hangs nowhere the file says, so nothing more is hung on it;"
                " write where it is with 'at'",
            )
        elif room_a.get(supply.name, 0.0) > 0:
            spots[supply.name] = where
    market = with_existing(market, house, {n: a for n, a in room_a.items() if n in spots})
    names = list(spots)
    box_of = np.array([names.index(choice.place) for choice in market.supplies])
    judges = [agreement(end, codes, boxes, asked.rules.most_drop, progress) for end in ends]

    def lacks_v(each: Proposal) -> float:
        short_v = max(judge(each) for judge in judges)
        if short_v > 0 or tight is None:
            return short_v
        drop = asked.rules.most_drop
        return max(tight.lacks_v(wired(end, each, boxes), codes, drop) for end in ends)

    tries = {} if tight is None else {"rounds": tight.rounds}
    full: frozenset[int] = frozenset()
    while True:
        net = cable_net(house, spots, full)
        lines = lines_of(
            planned_for, _of(planned_for, bare), demand, net, box_of, parts.slack_m, hot_c
        )
        search = partial(_search, lines, lacks_v, progress, tries)
        made = with_small_fuses(search(market), market, search)
        over = {found.where for found in bay_findings(house, made, net)}
        more = frozenset(number for number, run in enumerate(house.runs) if run.name in over)
        if more <= full:
            break
        full |= more  # no cable along a run whose bay is full: straight to its pads, then
    return Plan(
        house=wired(house, made, boxes),
        before=house,
        parts=parts,
        proposal=made,
        boxes=tuple(boxes),
        net=net,
        codes=codes,
        remarks=remarks,
        priced=priced,
        sections=sections(house, made, boxes),
        wanted=asked,
    )


def _search(
    lines: list[Line],
    lacks_v: Callable[[Proposal], float],
    progress: Progress | None,
    tries: dict[str, int],
    market: Market,
) -> Proposal:
    return propose(lines, market, lacks_v, progress, **tries)


def _warm(rules: Rules, hot_c: float) -> Rules:
    """The rules for parts as warm as the hottest end: supplies and fuses bear less."""
    supply, fuse = (limits().left_at(part, hot_c) for part in ("supply", "fuse"))
    if min(supply, fuse) <= 0:
        raise EvenfallError(
            f"supplies and fuses have no rating at {hot_c:g} °C; hang them where it is cooler"
        )
    return replace(rules, supply_load=rules.supply_load * supply, fuse_load=rules.fuse_load * fuse)


def _at_c(house: House, copper_c: float) -> House:
    """The house with its wiring at a temperature [°C]."""
    return house if copper_c == house.temperature_c else change(house, temperature_c=copper_c)


def _holds_so_far(house: House, codes: np.ndarray) -> None:
    """Refuses a half wired house of which what is wired already exceeds a limit."""
    if not house.wires:
        return
    network = build(house)
    most = utilisation(network, loads(network, codes)).max(axis=0)
    if most.max() > 1 + 1e-9:
        raise EvenfallError(
            f"what is wired already goes beyond {limit_name(network, int(most.argmax()))} at this"
            " load; mend that first, or plan all of it with --anew"
        )


def _hang_on_supplies(house: House) -> None:
    """Refuses wires that lead to no supply: what is planned could join two by them."""
    dead = dead_wires(house)
    if dead:
        raise EvenfallError(
            f"{', '.join(wire.label for wire in dead)}: wired to no supply; lead one to it, take"
            " these wires out of the file, or plan all of it with --anew"
        )


def _drawing(bare: tuple[RunPiece, ...], amps: np.ndarray) -> tuple[list[Run], np.ndarray]:
    """The runs of pieces, and the amperes (N,) of each pixel, those outside the pieces 0."""
    mine = np.zeros(len(amps), dtype=bool)
    for piece in bare:
        mine[piece.run.first + piece.first : piece.run.first + piece.end] = True
    return list({piece.run.name: piece.run for piece in bare}.values()), np.where(mine, amps, 0.0)


def _of(house: House, pieces: tuple[RunPiece, ...]) -> list[RunPiece]:
    """The same pieces in another version of the house."""
    return [replace(piece, run=house.run(piece.run.name)) for piece in pieces]


def _room_a(house: House, codes: np.ndarray, rules: Rules) -> dict[str, float]:
    """[A] that each supply of the house has left below its limit."""
    if not house.supplies:
        return {}
    used = loads(build(house), codes).supply_a.max(axis=0)
    return {
        supply.name: float(rules.supply_load * supply.rated_a - amps)
        for supply, amps in zip(house.supplies, used, strict=True)
    }


def with_more_frames(plan: Plan, codes: np.ndarray) -> np.ndarray:
    """The frames planned for and more of them, each once."""
    both = np.concatenate([plan.codes, codes])
    _, first = np.unique(both.reshape(len(both), -1), axis=0, return_index=True)
    return both[np.sort(first)]
