"""All that the document says, gathered before a word or a line of it is drawn.

Loads are those of `evenfall power`, parts those of `evenfall parts`, the year that of `evenfall
season`: the same records, so that no figure can differ.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date as Date
from pathlib import Path
from typing import TYPE_CHECKING

from layouts import house_findings
from layouts.finding import Finding, by_urgency
from layouts.records import House, Wire
from sim.circuit import Network, loads, supply_uses, wire_uses
from sim.circuit.wiring import wiring_findings
from sim.plan.loadcase import full_codes
from sim.report.handover.patch import DataLead, RunPatch, data_leads, run_patches
from sim.report.handover.points import Commissioning, commissioning
from sim.report.plan_facts import supply_of

if TYPE_CHECKING:
    from effects import Scheme
    from sim.frame import Rig
    from sim.parts import MaterialBill, Parts
    from sim.report.power import PowerReport
    from sim.season.bill import Bill
    from sim.season.plan import YearPlan
    from sim.season.records import Season

    RigOf = Callable[[House, Scheme], Rig]

#: So long is a scheme watched that never repeats, where nothing else is asked [s].
WATCHED_S = 30.0

Progress = Callable[[float, float], None]


@dataclass(frozen=True)
class SourceFile:
    """A file that the document was made from, and what it held."""

    name: str
    what: str
    sha256: str


@dataclass(frozen=True)
class WireLoad:
    """One wire: its number in the document, and what it carries."""

    number: int
    wire: Wire
    supply: int  # number in the house; −1 where it hangs on none
    plus_colour: str
    minus_colour: str
    peak_a: float
    drop_v: float  # at the peak
    scheme: str  # that makes the peak; "" for every channel full
    full_a: float  # every channel of every pixel full


@dataclass(frozen=True)
class SupplyLoad:
    """One supply and what it gives."""

    name: str
    volts: float
    rated_a: float
    peak_a: float
    scheme: str
    full_a: float


@dataclass(frozen=True, eq=False)
class Handover:
    """Everything the document says of a house."""

    house: House
    network: Network
    date: Date
    version: str
    files: tuple[SourceFile, ...]
    schemes: tuple[Scheme, ...]
    reports: tuple[PowerReport, ...]  # one a scheme
    wires: tuple[WireLoad, ...]
    supplies: tuple[SupplyLoad, ...]
    bill: MaterialBill
    patches: tuple[RunPatch, ...]
    leads: tuple[DataLead, ...]
    season: tuple[YearPlan, Bill] | None
    sheet: Commissioning | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Subject:
    """What the document is made of beside the house."""

    date: Date
    schemes: tuple[Scheme, ...] = ()
    season: Season | None = None
    seconds: float | None = None  # how long schemes are watched


def handover_of(
    house: House, parts: Parts, asked: Subject, progress: Progress | None = None
) -> Handover:
    """The facts of the document; `progress(done, total)` counts schemes and what follows."""
    from importlib.metadata import version

    from sim.circuit import build, far_shorts
    from sim.parts import bill_of

    schemes = tuple(asked.season.schemes.values()) if asked.season else asked.schemes
    total = len(schemes) + 2.0

    def tell(done: float) -> None:
        if progress is not None:
            progress(done, total)

    rig_of = _shared_rigs()
    reports = _reports(house, schemes, asked.seconds, tell, rig_of)
    network = reports[0].scan.rig.network if reports else build(house)
    far_shorts(network, lambda done, of: tell(len(schemes) + done / of))  # kept with the network
    year = _year(house, asked.season, asked.date.year, rig_of) if asked.season else None
    tell(len(schemes) + 1.0)
    bill = bill_of(house, parts)
    wires, supplies = _carried(network, reports, bill.parts)
    return Handover(
        house=house,
        network=network,
        date=asked.date,
        version=version("evenfall"),
        files=_files(house, schemes, asked.season, parts),
        schemes=schemes,
        reports=reports,
        wires=wires,
        supplies=supplies,
        bill=bill,
        patches=run_patches(house),
        leads=data_leads(house),
        season=year,
        sheet=commissioning(network),
        findings=_findings(network, reports, bill, year),
    )


def seconds_of(scheme: Scheme, house: House, asked_s: float | None) -> float:
    """How long a scheme is watched [s]: as asked, one period, or half a minute of one without end,
    and never less than its layers need to come and go."""
    from effects import bind
    from effects.course import courses, span_s

    if asked_s is not None:
        return asked_s
    show = bind(house, scheme)
    if show.period_s is not None:
        return span_s(show)
    return max([WATCHED_S, *(course.end_s for course in courses(show))])


def _shared_rigs() -> RigOf:
    """One rig for all schemes of a house that handle colours alike: building one takes as long as
    many frames."""
    from sim.frame import rig_for

    made: dict[object, Rig] = {}

    def rig_of(house: House, scheme: Scheme) -> Rig:
        key = (id(house), scheme.colour, scheme.white, scheme.gamma)
        if key not in made:
            made[key] = rig_for(house, scheme)
        return made[key]

    return rig_of


def _reports(
    house: House,
    schemes: Sequence[Scheme],
    asked_s: float | None,
    tell: Callable[[float], None],
    rig_of: RigOf,
) -> tuple[PowerReport, ...]:
    from effects import bind
    from sim.report.power import power_report

    made = []
    for number, scheme in enumerate(schemes):
        show, rig = bind(house, scheme), rig_of(house, scheme)

        def watched(done: float, of: float, number: int = number) -> None:
            tell(number + min(done / max(of, 1.0), 1.0))

        seconds = seconds_of(scheme, house, asked_s)
        made.append(power_report(rig, show, seconds=seconds, progress=watched))
    return tuple(made)


def _carried(
    network: Network, reports: Sequence[PowerReport], parts: Parts
) -> tuple[tuple[WireLoad, ...], tuple[SupplyLoad, ...]]:
    """What wires and supplies carry at the peak of all schemes; without one, with all full."""
    house = network.house
    full = loads(network, full_codes(house, 1.0))
    full_wires, full_supplies = wire_uses(network, full), supply_uses(network, full)
    names = [report.scan.show.scheme.name for report in reports] or [""]
    wire_sets = [report.scan.wires for report in reports] or [full_wires]
    supply_sets = [report.scan.supplies for report in reports] or [full_supplies]
    on = supply_of(house)
    wires = []
    for number, wire in enumerate(house.wires):
        seen = [(uses[number], name) for uses, name in zip(wire_sets, names, strict=True)]
        use, name = max(seen, key=lambda each: each[0].peak_a)
        plus, minus = parts.wires.get(wire.size.name, parts.any_wire).colours
        wires.append(
            WireLoad(
                number + 1,
                wire,
                on[number],
                plus,
                minus,
                use.peak_a,
                use.drop_v,
                name,
                full_wires[number].peak_a,
            )
        )
    supplies = []
    for number, supply in enumerate(house.supplies):
        given = [(uses[number], name) for uses, name in zip(supply_sets, names, strict=True)]
        most, name = max(given, key=lambda each: each[0].peak_a)
        supplies.append(
            SupplyLoad(
                supply.name,
                supply.volts,
                supply.rated_a,
                most.peak_a,
                name,
                full_supplies[number].peak_a,
            )
        )
    return tuple(wires), tuple(supplies)


def _year(house: House, season: Season, year: int, rig_of: RigOf) -> tuple[YearPlan, Bill]:
    from sim.season import bill, measure, plan, warned

    planned, measured = plan(season, year), measure(house, season, rig_of=rig_of)
    planned = warned(planned, measured)
    return planned, bill(planned, measured.watts)


def _findings(
    network: Network,
    reports: Sequence[PowerReport],
    bill: MaterialBill,
    year: tuple[YearPlan, Bill] | None,
) -> tuple[Finding, ...]:
    """Each once, though several schemes find it; of those with figures, the greatest."""
    found: dict[tuple[str, str], Finding] = {}
    own = (*house_findings(network.house), *wiring_findings(network))
    told = [*own, *(each for report in reports for each in report.findings), *bill.findings]
    for finding in [*told, *(year[0].findings if year else ())]:
        other = found.setdefault((finding.code, finding.where), finding)
        if (finding.value or 0.0) > (other.value or 0.0):
            found[finding.code, finding.where] = finding
    kept = tuple(found.values())
    return by_urgency(tuple(each for each in kept if not any(_covers(o, each) for o in kept)))


def _covers(one: Finding, other: Finding) -> bool:
    """Whether a finding says all that another of its code says, of more things and worse."""
    if one is other or one.code != other.code or (one.value or 0.0) < (other.value or 0.0):
        return False
    mine, its = set(one.elements or (one.where,)), set(other.elements or (other.where,))
    return its < mine


def _files(
    house: House, schemes: Sequence[Scheme], season: Season | None, parts: Parts
) -> tuple[SourceFile, ...]:
    named = [(house.file, "house")]
    named += [(season.file, "season")] if season else []
    named += [(scheme.file, "scheme") for scheme in schemes]
    named += [(parts.file, "parts and prices")] if parts.file else []
    if house.drawing.photo is not None:
        named.append((house.drawing.photo.file, "photograph"))
    return tuple(
        SourceFile(Path(file).name, what, hashlib.sha256(Path(file).read_bytes()).hexdigest())
        for file, what in named
        if Path(file).is_file()
    )
