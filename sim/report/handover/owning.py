"""Chapters for whoever buys and owns: parts, the year, what the figures rest on, the files."""

from __future__ import annotations

import re
from collections.abc import Iterator

from layouts.provenance import split_tag
from sim.parts import CutBar
from sim.parts.lines import sold_text
from sim.report.figures import figures
from sim.report.handover.building import UNWIRED
from sim.report.handover.doc import Chapter, Figure, Grid, Para, Part, Sub, cols
from sim.report.handover.facts import Handover
from sim.report.handover.figure_words import figure_words, value_words
from sim.report.handover.small_figures import year_figure
from sim.report.lengths import cut_text, purpose_text, quantity_cells
from sim.report.season_data import entries, scheme_name
from sim.report.season_screen import idle_said
from sim.season.bill import Bill, Share
from sim.season.plan import YearPlan

_SHAKY = ("borrowed", "from memory", "common practice, no source", "")


def parts_chapter(facts: Handover) -> Chapter:
    """What to buy and how stock is cut."""
    bill = facts.bill
    currency = bill.parts.currency or "Price"
    rows = []
    for line in bill.lines:
        quantity, unit, each = quantity_cells(line, bill.units)
        price = "–" if line.price is None else f"{line.price:.2f}"
        purpose = purpose_text(line, bill.units)
        rows.append(
            (line.item, _together(line.part), quantity, _together(unit), each, price, purpose)
        )
    heads = cols("Item", "Part", ">Quantity", "Unit", ">Each", f">{currency}", "For")
    parts: list[Part] = []
    if not facts.house.supplies:
        parts.append(Para(UNWIRED, "lead"))
    note = bill.parts.note or ""
    if not bill.parts.file:
        note = "No parts file: usual quantities, without prices."
    parts.append(Grid("Parts to buy, and the work", heads, tuple(rows), "small", note))
    parts.append(Para(_sum(facts), "lead"))
    if bill.cuts:
        parts.append(Sub("Cutting list"))
    for cuts in bill.cuts:
        bars = tuple(
            (
                f"{n}",
                sold_text(bar.length_m),
                _pieces(bar, facts.house.units),
                cut_text(_rest_m(bar, cuts.kerf_m), facts.house.units),
            )
            for n, bar in enumerate(cuts.bars, 1)
        )
        heads = cols("|No.", ">Stock", "Pieces in order", ">Left")
        parts.append(Grid(f"{cuts.item}: {cuts.part}", heads, bars, "small"))
    turned = any(p.start_deg or p.end_deg for c in bill.cuts for b in c.bars for p in b.pieces)
    if turned:
        parts.append(
            Para(
                "Lengths are those of the run's own line. ∠ is how far the saw is turned from a"
                " square cut: half of what the line turns by at that corner.",
                "note",
            )
        )
    return Chapter("parts", "Parts and cutting", tuple(parts))


def _together(text: str) -> str:
    """The text with each number and its unit kept on one line."""
    return re.sub(r"(?<=\d) (?=\w{1,2}\b)", "\N{NO-BREAK SPACE}", text)


def _sum(facts: Handover) -> str:
    bill = facts.bill
    if bill.total is not None:
        return f"All of it: {bill.total:.2f} {bill.parts.currency}"
    missing = f"{len(bill.unpriced)} of {len(bill.lines)} lines have no price"
    if bill.priced_total:
        return f"What has a price: {bill.priced_total:.2f} {bill.parts.currency}; {missing}."
    return f"No sum: {missing}."


def _pieces(bar: CutBar, units: str) -> str:
    told = []
    for piece in bar.pieces:
        turned = [
            f"{side} ∠{degrees:.1f}°"
            for side, degrees in (("start", piece.start_deg), ("end", piece.end_deg))
            if degrees
        ]
        told.append(" ".join((piece.name, cut_text(piece.length_m, units), *turned)))
    return ", ".join(told)


def _rest_m(bar: CutBar, kerf_m: float) -> float:
    return max(bar.length_m - sum(piece.length_m + kerf_m for piece in bar.pieces), 0.0)


def season_chapter(facts: Handover) -> Chapter:
    """The year; without a season, what it would take."""
    if facts.season is None:
        said = (
            "No season was given. Name a season file to have the calendar and the energy of a year."
        )
        return Chapter("season", "Season and energy", (Para(said),))
    plan, bill = facts.season
    return Chapter("season", "Season and energy", tuple(_year(plan, bill)))


def _year(plan: YearPlan, bill: Bill) -> Iterator[Part]:
    season = plan.season
    at = season.location
    yield Para(
        f"{season.name}, {plan.year}; {at.latitude:.2f}°, {at.longitude:.2f}°,"
        f" {at.timezone}; lit from {season.on.text} to {season.off.text}."
    )
    yield Figure(
        f"Calendar {plan.year}",
        year_figure(plan),
        "A cell is an evening; a line at its foot is the scheme of ordinary evenings, a full cell"
        " one of its own, framed so that white is seen; an empty cell is dark.",
    )
    shown = tuple(
        (
            f"{len(e.evenings)} others" if e.why == "otherwise" else e.when,
            "" if e.why == "otherwise" else e.why,
            scheme_name(plan, e.scheme),
            e.on,
            e.off,
            f"{bill.watts.lit[e.scheme]:.0f} W",
        )
        for e in entries(plan)
    )
    yield Grid(
        "What shines when",
        cols("Evenings", "Entry", "Scheme", ">On", ">Off", ">Mean"),
        shown,
        "small",
    )
    money = [f">{season.tariff.currency}"] if season.tariff else []
    heads = cols("Month", ">Evenings", ">Hours lit", ">kWh lit", ">kWh dark", *money)
    months = (*bill.months, bill.year)
    rows = tuple(_share(each, bool(money)) for each in months)
    yield Grid("Energy", heads, rows, "small", idle_said(plan, bill))


def _share(share: Share, money: bool) -> tuple[str, ...]:
    cells = (
        share.name,
        f"{share.evenings}",
        f"{share.hours_lit:.0f}",
        f"{share.kwh_lit:.1f}",
        f"{share.kwh_idle:.1f}",
    )
    return (*cells, f"{share.cost:.2f}") if money else cells


def sources_chapter(facts: Handover) -> Chapter:
    """Every figure the document rests on with its source, what is shaky first."""
    house = facts.house
    told: list[tuple[str, str, str, str, str]] = []
    for kind in dict.fromkeys(run.kind for run in house.runs):
        told += [_stated(kind.name, each) for each in figures(kind)]
    sizes = {wire.size.name: wire.size for wire in house.wires}
    for size in sizes.values():
        told += [_stated(size.name, each) for each in figures(size)]
    for profile in {run.profile.name: run.profile for run in house.runs}.values():
        told += [_stated(profile.name, each) for each in figures(profile)]
    folded, told = _stand_ins(told)
    shaky = tuple(row for row in told if row[4] in _SHAKY)
    firm = tuple(row for row in told if row[4] not in _SHAKY)
    heads = cols("|Of", "|Figure", ">Value", "Source", "Known from")
    parts: list[Part] = [
        Para(
            "All figures are of a model: the drawn house, the parts' sheets and exact circuit"
            " solves. They do not replace the data sheets of your own parts. Figures above the"
            " table of those with a source are borrowed from a like part, remembered, or common"
            " practice: where much depends on one, measure it."
        )
    ]
    if folded:
        names = cols("|Of", "|Stands in", "Figures", "Known from")
        parts.append(Grid("Figures of another row, whose own was not seen", names, folded, "small"))
    if shaky:
        parts.append(Grid("Figures to be measured where they matter", heads, shaky, "small"))
    if firm:
        parts.append(Grid("Figures with a source", heads, firm, "small"))
    return Chapter("sources", "What the figures rest on", tuple(parts))


_NOT_SEEN = re.compile(r"not seen; row (\S+) stands in$")


def _stand_ins(
    told: list[tuple[str, str, str, str, str]],
) -> tuple[tuple[tuple[str, str, str, str], ...], list[tuple[str, str, str, str, str]]]:
    """Figures that another row lends, one line for all of a part and a lender; and the others."""
    lent: dict[tuple[str, str, str], list[str]] = {}
    rest = []
    for row in told:
        of, figure, value, source, tag = row
        seen = _NOT_SEEN.match(source)
        if seen is None:
            rest.append(row)
        else:
            value = value.replace(" ", "\N{NO-BREAK SPACE}")
            lent.setdefault((of, seen.group(1), tag), []).append(f"{figure} {value}")
    folded = tuple((of, by, "; ".join(all_), tag) for (of, by, tag), all_ in lent.items())
    return folded, rest


def _stated(of: str, each: object) -> tuple[str, str, str, str, str]:
    field, value, unit = (getattr(each, name) for name in ("field", "value", "unit"))
    shown = value_words(value)
    source, tag = getattr(each, "source", ""), getattr(each, "tag", "")
    if not tag:
        source, tag = split_tag(source)
    return of, figure_words(field), f"{shown} {unit}".strip(), source or "not said", tag


def files_chapter(facts: Handover) -> Chapter:
    """From what the document was made, so that it can be made again."""
    rows = tuple((each.name, each.what, each.sha256) for each in facts.files)
    return Chapter(
        "files",
        "What this document was made from",
        (
            Para(
                f"Evenfall {facts.version}, {facts.date.isoformat()}. The same files and version"
                " give the same document; a file whose SHA-256 differs has been changed since."
            ),
            Grid("Files", cols("File", "What it is", "|SHA-256"), rows, "small mono"),
        ),
    )
