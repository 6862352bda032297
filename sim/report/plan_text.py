"""A plan in blocks: what was asked, what to buy and where it goes, why, at what price."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from layouts.cuts import cut_along_m
from layouts.ratings import amps_rated

from .blocks import (
    Block,
    Cautions,
    Column,
    Findings,
    Listed,
    Meter,
    Table,
    Title,
    Words,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from .cautions import WIRING
from .lengths import laid_text
from .plan_report import PlanReport, SupplyTold, WireTold
from .plan_sure import sure_blocks
from .plan_words import counted
from .text import amps, brightness_percent, count, percent
from .wording.plan import why_briefly, why_sentence

if TYPE_CHECKING:
    from sim.plan.plan import Plan


def plan_blocks(report: PlanReport) -> Iterator[Block]:
    """The whole report, part by part."""
    yield _title(report)
    yield section("Supplies", _supplies(report))
    yield section("Feeds", _feeds(report), *_joints(report))
    if report.cuts:
        yield section("Cuts", *_cuts(report))
    yield section("Why", _why(report))
    yield section("Price", *_price(report))
    if report.plan.sized is not None:
        yield section("How sure", *sure_blocks(report.plan))
    if report.ends:
        yield section("Cold and hot", *_ends(report))
    if report.plan.said:
        yield section("Remarks", Listed(tuple(spans(each) for each in report.plan.said)))
    yield section("Findings of the planned house", Findings(report.findings))
    yield section("Cautions", Cautions(WIRING))


def _title(report: PlanReport) -> Title:
    plan, rules = report.plan, report.plan.wanted.rules
    kept = (
        f"full colour everywhere, at most {rules.most_drop * 100:g} % lost on the way; supplies to"
        f" {percent(rules.supply_load)}, fuses to {percent(rules.fuse_load)}, a far short drives"
        f" {rules.opens:g} times its fuse"
    )
    between = plan.wanted.between_c
    copper = (
        f"copper from {between[0]:g} to {between[1]:g} °C"
        if between
        else f"copper at {plan.house.temperature_c:g} °C"
    )
    return Title(
        spans(
            ("Plan", "strong"),
            f" for {plan.house.name}\n",
            (f"for {_load(report)}; {kept}; {copper}\n{_parts(report)}", "quiet"),
        )
    )


def _load(report: PlanReport) -> str:
    if report.load == "full":
        return f"every channel full at brightness {brightness_percent(report.brightness or 1.0)}"
    names = ", ".join(each.show.scheme.name for each in report.watched)
    frames = count(sum(each.frames for each in report.watched))
    own = (
        ""
        if report.brightness is None
        else f" at brightness {brightness_percent(report.brightness)}"
    )
    return f"{names}{own}, {frames} frames watched"


def _parts(report: PlanReport) -> str:
    parts = report.plan.parts
    if not parts.file:
        return "no parts file: usual sizes at stand-in prices, which are of no currency"
    about = f"; {parts.note}" if parts.note else ""
    if not report.plan.priced:
        about += "; what it has no price for counts at a stand-in, so the sums are of no currency"
    return f"{parts.file}{about}"


def _supplies(report: PlanReport) -> Table:
    full = max(1.0, *(each.load for each in report.supplies))
    heads = ("supply", "|part", "|at", "|load", ">", ">price")
    return Table(
        columns(*heads),
        tuple(
            row(
                each.supply.name,
                _part(each),
                _at(each, report.plan),
                Meter(each.load, full),
                percent(each.load),
                f"{each.price:.2f}",
            )
            for each in report.supplies
        ),
    )


def _at(told: SupplyTold, plan: Plan) -> str:
    """The place by its name; of one that the plan proposes where it is, across and up."""
    at = told.supply.at
    if not isinstance(at, str):
        return ""
    spot = next((box.at_m for box in plan.boxes if box.proposed and box.name == at), None)
    if spot is None:
        return at
    x, y = (laid_text(each, plan.house.units) for each in spot)
    return f"{x}, {y} up"


def _part(told: SupplyTold) -> str:
    """The part as it is sold; its amperes too where it is only called by its watts."""
    supply = told.supply
    if told.part == f"{supply.volts:g} V {round(supply.volts * supply.rated_a)} W":
        return f"{told.part} ({amps_rated(supply.rated_a)} A)"
    return told.part or "the house's own"


def _feeds(report: PlanReport) -> Table:
    units = report.plan.house.units
    heads = (
        *columns("|from", "|to", ">along", "|wire", ">length", ">fuse", ">peak"),
        Column("without it", when="wide"),
    )
    rows = []
    for each in report.wires:
        if each.wire.kind == "joint":
            continue
        entry = each.wire.entry
        rows.append(
            row(
                entry["from"],
                entry["to"],
                "" if each.along_m is None else laid_text(each.along_m, units),
                entry["wire"],
                laid_text(each.wire.length_m, units),
                f"{entry['fuse']:g} A" if "fuse" in entry else "",
                amps(each.peak_a),
                (_briefly(each), "quiet"),
            )
        )
    return Table(heads, tuple(rows))


def _briefly(each: WireTold) -> str:
    return why_briefly(each.why) if each.why else ""


def _joints(report: PlanReport) -> Iterator[Words]:
    units = report.plan.house.units
    for each in report.wires:
        if each.wire.kind == "joint":
            entry = each.wire.entry
            yield note(
                f"{entry['from']} joins {entry['to']}: {entry['wire']},"
                f" {laid_text(each.wire.length_m, units)}, {amps(each.peak_a)}"
            )


def _cuts(report: PlanReport) -> Iterator[Words]:
    house = report.plan.house
    runs: dict[str, list[int]] = {}
    for run, before in report.cuts:
        runs.setdefault(run, []).append(before)
    for name, positions in runs.items():
        places = (
            f"{each} ({laid_text(cut_along_m(house, house.run(name), each), house.units)})"
            for each in sorted(positions)
        )
        yield words(f"{name}: cut the + before {', '.join(places)}; − and data go through")


def _why(report: PlanReport) -> Listed:
    along = {row.why.element: row.along_m for row in report.wires if row.why}
    units = report.plan.house.units
    items = []
    for each in report.why:
        at_m = along.get(each.element)
        at = "" if at_m is None else f" ({laid_text(at_m, units)})"
        items.append(spans((f"{each.element}{at}", "strong"), f": {why_sentence(each)}"))
    return Listed(tuple(items))


def _price(report: PlanReport) -> Iterator[Words]:
    plan = report.plan
    unit = f" {plan.parts.currency}" if plan.priced else ""
    stand_in = "" if plan.priced else ", in stand-in prices of no currency"
    yield words(
        (f"{plan.price:.2f}{unit}{stand_in}", "strong"),
        f" for supplies, wire, fuses, {counted(report.feeds, 'feed', 'feeds')} and"
        f" {counted(len(report.cuts), 'cut', 'cuts')} with the work; pixels, channel, data wire and"
        " controllers are counted by 'evenfall parts'",
    )
    if report.status == "optimal":
        yield note(
            "no wiring with a wire of its own for each feed costs less than"
            f" {plan.lower_bound:.2f}{unit}"
        )
    else:
        above = plan.price / plan.lower_bound - 1
        yield note(
            f"at most {above:.1%} above the least possible with a wire of its own for each feed,"
            f" which is not below {plan.lower_bound:.2f}{unit}"
        )


def _ends(report: PlanReport) -> Iterator[Words]:
    for end in report.ends:
        yield words(
            f"{end.copper_c:g} °C: least {end.least_v:.2f} V, at {end.at};"
            f" {percent(end.most)} of the limit that is nearest"
        )
    rules = report.plan.wanted.rules
    yield note(
        "copper at both ends; supplies and fuses as warm as the hot one, so they are held to"
        f" {percent(rules.supply_load)} and {percent(rules.fuse_load)}; what your own bear is on"
        " their sheets"
    )
