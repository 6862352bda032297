"""What a plan comes to: the wired house solved once more, its findings, the reasons."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from layouts import change, house_findings
from layouts.finding import Finding, by_urgency
from layouts.records import Supply
from sim.circuit import (
    build,
    far_shorts,
    load_findings,
    loads,
    run_uses,
    supply_uses,
    utilisation,
    wire_uses,
)
from sim.circuit.wiring import wiring_findings
from sim.plan.bays import bay_findings
from sim.plan.plan import Plan
from sim.plan.why import Why, why
from sim.plan.wired import PlannedWire, planned_cuts, planned_wires, unit_names
from sim.scan import Progress, Scan


@dataclass(frozen=True)
class SupplyTold:
    """A supply that is bought, or an own one of the house that more hangs on."""

    supply: Supply
    part: str
    price: float
    load: float  # share of its rating at the peak


@dataclass(frozen=True)
class WireTold:
    """A wire that is laid."""

    wire: PlannedWire
    along_m: float | None  # along its run, of the pad it ends on
    peak_a: float
    why: Why | None


@dataclass(frozen=True)
class AtEnd:
    """The plan at one temperature of its wiring."""

    copper_c: float
    least_v: float
    at: str  # the pixel that gets it
    most: float  # how far the worst limit is used, 0..1


@dataclass(frozen=True, eq=False)
class PlanReport:
    """A plan, looked at from all sides."""

    plan: Plan
    load: Literal["full", "schemes"]
    brightness: float | None
    watched: tuple[Scan, ...]  # the schemes on the wired house
    supplies: tuple[SupplyTold, ...]
    wires: tuple[WireTold, ...]
    cuts: tuple[tuple[str, int], ...]
    why: tuple[Why, ...]
    findings: tuple[Finding, ...]
    ends: tuple[AtEnd, ...]

    @property
    def status(self) -> Literal["optimal", "bounded"]:
        """Whether the price is the least there can be, but for half a percent."""
        return "optimal" if self.plan.proposal.proven_least else "bounded"

    @property
    def kind(self) -> str:
        """The kinds of pixel of the house."""
        return ", ".join(dict.fromkeys(run.kind.name for run in self.plan.house.runs))

    @property
    def feeds(self) -> int:
        """How many feeds are planned."""
        return sum(row.wire.kind in ("feed", "tap") for row in self.wires)


def plan_report(
    plan: Plan,
    load: Literal["full", "schemes"],
    brightness: float | None = None,
    watched: tuple[Scan, ...] = (),
    progress: Progress | None = None,
) -> PlanReport:
    """Solve the wired house for the frames planned for and gather what there is to say.

    `progress(done, total)` tells of what takes long where a house has very many fuses.
    """
    house = plan.house
    network = build(house)
    shorts = far_shorts(network, progress)
    seen = loads(network, plan.codes)
    held = [seen, *(each.loads for each in watched)]
    supply_a = np.max([each.supply_a.max(axis=0) for each in held], axis=0)
    wire_a = np.max([np.abs(each.wire_a).max(axis=0) for each in held], axis=0)
    reasons = why(plan)
    by_element = {each.element: each for each in reasons}
    made = plan.proposal
    names = unit_names(plan.before, made)
    known = {s.name: (s, a) for s, a in zip(house.supplies, supply_a.tolist(), strict=True)}
    supplies = []
    for unit, name in zip(made.units, names, strict=True):
        choice = made.market.supplies[unit.choice]
        supply, amps = known[name]
        part = "" if choice.existing else choice.part
        supplies.append(SupplyTold(supply, part, choice.price, amps / supply.rated_a))
    first = len(plan.before.wires)
    wires = []
    for number, wire in enumerate(planned_wires(plan.before, made)):
        label = house.wires[first + number].label
        element = str(wire.entry["to"]) if wire.kind == "trunk" else label
        amps = float(wire_a[first + number])
        wires.append(WireTold(wire, _along_m(plan, wire), amps, by_element.get(element)))
    found = [
        *house_findings(house),
        *wiring_findings(network, shorts),
        *bay_findings(plan.house, plan.proposal, plan.net),
    ]
    if watched:
        found += [each for scan in watched for each in scan.load_findings]
    else:
        uses = supply_uses(network, seen), wire_uses(network, seen), run_uses(network, seen)
        found += load_findings(*uses, seen.supply_a.min(axis=0))
    return PlanReport(
        plan=plan,
        load=load,
        brightness=brightness,
        watched=watched,
        supplies=tuple(supplies),
        wires=tuple(wires),
        cuts=tuple(planned_cuts(plan.before, made)),
        why=reasons,
        findings=by_urgency(list(dict.fromkeys(found))),
        ends=tuple(_at_end(plan, each) for each in plan.wanted.between_c or ()),
    )


def _along_m(plan: Plan, wire: PlannedWire) -> float | None:
    """[m] from the start of its run to the pad a wire ends on."""
    line = plan.proposal.fed[wire.line].line
    index = int(line.node[wire.node])
    run = plan.house.runs[plan.house.pixels.run[index]]
    if wire.kind == "trunk":
        return None
    if line.pixel[wire.node]:
        return float(plan.house.pixels.along_m[index])
    return 0.0 if str(wire.entry["to"]).endswith(".start") else run.length_m


def _at_end(plan: Plan, copper_c: float) -> AtEnd:
    """The true circuit of the plan with its copper at a temperature [°C]."""
    network = build(change(plan.house, temperature_c=copper_c))
    seen = loads(network, plan.codes)
    frame, number = np.unravel_index(int(seen.run_v.argmin()), seen.run_v.shape)
    pixel = int(seen.run_pixel[frame, number])
    most = float(utilisation(network, seen).max())
    at = f"{plan.house.runs[number].name}[{pixel}]"
    return AtEnd(copper_c, float(seen.run_v[frame, number]), at, most)
