"""The check of every autumn: what to look at, feel and measure before the long evenings.

Rows are of common practice but where a fact gives more; each says which. What does not apply to a
house (frost, a second data line, fuses, profiles) is not asked of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from sim.report.cautions import MENDING
from sim.report.handover.doc import Bullets, Chapter, Grid, Para, Part, cols
from sim.report.handover.facts import Handover
from sim.report.handover.faults import PRACTICE
from sim.report.handover.points import LEVELS, Commissioning

#: Nearer to the equator than this [deg] no frost is expected; a choice, and a house without a
#: location is taken for one that freezes.
_FROST_FREE_DEG = 25.0
#: So many dark evenings together make the next lit one the begin of a season.
_PAUSE = 21
_TIGHT = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class CheckRow:
    """What to look at, how it should be, what to do where it is not; `tag` how that is known."""

    look: str
    right: str
    act: str
    tag: str = PRACTICE


def autumn_chapter(facts: Handover) -> Chapter:
    """The page to work through once a year."""
    return Chapter("autumn", "Every autumn", tuple(_parts(facts)))


def check_rows(facts: Handover) -> tuple[tuple[CheckRow, ...], tuple[CheckRow, ...]]:
    """Rows for this house: with everything unplugged, then with power."""
    return tuple(_unplugged(facts)), tuple(_powered(facts))


def freezes(facts: Handover) -> bool:
    """Whether frost is to be expected where the house stands."""
    at = facts.season[0].season.location if facts.season else facts.house.location
    return at is None or abs(at.latitude) > _FROST_FREE_DEG


def begin_said(facts: Handover) -> str:
    """When to do it: before a dark time ends, or any dry day."""
    if facts.season is None:
        return "On a dry day by daylight, before the first evening that is lit."
    planned = facts.season[0]
    lit = [each.date for each in planned.evenings if each.lit and each.scheme]
    if not lit:
        return (
            f"The season lights no evening of {planned.year}: on a dry day in autumn, by daylight,"
            " with everything unplugged."
        )
    # the next year begins as this one does, so a pause may lie around the turn of the year
    year = date(planned.year + 1, 1, 1) - date(planned.year, 1, 1)
    pause, first = max((later - before, later) for before, later in pairwise((*lit, lit[0] + year)))
    if pause <= timedelta(days=_PAUSE):
        return "Lit all year round: on a dry day in autumn, by daylight, with everything unplugged."
    return (
        f"On a dry day by daylight, before {first.day} {first:%B}: the first evening that is lit"
        f" after {pause.days - 1} dark ones."
    )


def _parts(facts: Handover) -> Iterator[Part]:
    yield Para(begin_said(facts), "lead")
    yield Bullets(MENDING, look="caution")
    unplugged, powered = check_rows(facts)
    heads = cols("Look at", "It is right when", "If not", "Known from", "_Done")
    for title, rows in (("Unplugged", unplugged), ("With power", powered)):
        cells = tuple((r.look, r.right, r.act, r.tag, "") for r in rows)
        yield Grid(title, heads, cells, "small flows")
    if facts.sheet is not None and facts.sheet.points:
        table = _far_ends(facts.sheet)
        if table is not None:
            yield table
    yield Para(
        "The controller's own programme (its firmware) is no part of this document: for changing"
        " it see its maker's notes, write its settings down first, and compare them with the patch"
        " of this document after.",
        "note",
    )


def _unplugged(facts: Handover) -> Iterator[CheckRow]:
    house = facts.house
    frost = freezes(facts)
    yield CheckRow(
        "Runs, clips and covers, first from the ground",
        "Straight, every clip holds, no cover off, nothing nests behind",
        "Fix anew; a strip that hangs by its copper is replaced",
    )
    yield CheckRow(
        "Covers and lenses",
        "Clean: dirt takes 5–10 % of the light a year on faces turned up, 1–3 % under eaves",
        "Wipe with water and a soft cloth",
        "from memory",
    )
    bars = [run.name for run in house.runs if run.profile.name != "bare"]
    if bars or frost:
        yield CheckRow(
            "Ends of strips and bars, seals",
            "Caps sit tight; the low end can drain" + ("; no ice can be shut in" if frost else ""),
            "Seal anew, dry; leave the strip slack at its caps"
            + (", frost shrinks sleeves and pulls on them" if frost else ""),
        )
    yield CheckRow(
        "Plugs and joints",
        "Closed, no green or black contacts, no water inside",
        "Cut off and make anew, with gel or potting; grease in plugs. An old contact may have twice"
        " its resistance",
    )
    yield CheckRow(
        "Drip loops and strain relief",
        "Cable hangs lower than where it goes in, enters from below, tied within 100 mm (4 in) of a"
        " plug",
        "Lay it so",
    )
    yield CheckRow(
        "Jackets and ties",
        "No crack, no chalk, no tooth marks; ties for outdoors last 5–10 years",
        "Replace; tape is no jacket" + (_COLD_WIRE if frost else ""),
        "from memory",
    )
    if house.supplies:
        names = ", ".join(f"S{n} {each.name}" for n, each in enumerate(house.supplies, 1))
        yield CheckRow(
            f"Boxes: {names}" + (", controller" if house.outputs else ""),
            "Dry, seal flat, glands tight, openings for air free, screws tight",
            "Dry, clean, tighten; a swollen or scorched part is replaced",
        )
        if frost:
            yield CheckRow(
                "Label of every supply and adaptor",
                "Its range of temperature goes as far down as your frost: one enclosed 350 W family"
                " −25 °C (its sheet of 2022-08-05), one potted 60 W family −30 °C (2022-04-25),"
                " plug-in adaptors only −5 or −10 °C [from memory]",
                "Move it inside, or another one",
                "datasheet",
            )
    fused = [w for w in facts.wires if w.wire.fuse_a is not None]
    if fused:
        sizes = ", ".join(
            f"W{w.number}\N{NO-BREAK SPACE}{w.wire.fuse_a:g}\N{NO-BREAK SPACE}A" for w in fused
        )
        yield CheckRow(
            f"Fuses: {sizes}",
            "Each of that size, contacts bright and tight; spares of each in the box",
            "The same size again, never a larger one",
        )


_COLD_WIRE = ". Pull PVC cable above +4 °C: it stiffens and cracks in the cold"


def _powered(facts: Handover) -> Iterator[CheckRow]:
    house = facts.house
    yield CheckRow(
        "Test button of the GFCI/RCD",
        "It switches off at once, and holds when reset",
        "Leave it off and call an electrician",
    )
    yield CheckRow(
        "All pixels red, then green, then blue"
        + (", then white" if any(run.kind.channel("w") for run in house.runs) else ""),
        "One colour everywhere, no pixel dark or another, nothing flickers",
        "Fault finding, next chapter",
    )
    backed = sorted({run.kind.name for run in house.runs if run.kind.backup_data})
    if backed:
        yield CheckRow(
            f"Single dark pixels of {', '.join(backed)}, after power was off once",
            "None: the second data line hides a dead pixel, and two neighbours dead stop all after",
            "Replace it now, while one only is dead",
            "datasheet",
        )
    if facts.sheet is not None:
        yield CheckRow(
            "Volts at the far ends, table below",
            "Inside the band, and within 0.1 V of last year",
            "Far below: a joint; look at both ends of each wire on the way",
        )
        yield CheckRow(
            "Boxes and plugs after ten minutes lit",
            "Hand warm at most, no smell",
            "Unplug; make the joint anew",
        )
    if facts.season is not None:
        year = facts.season[0].year
        yield CheckRow(
            "Clock and calendar of the controller",
            "Date, time zone and summer time right; the calendar is not that of an old year",
            f"This document's ends with {year}: 'evenfall season HOUSE SEASON --year {year + 1}'",
        )


def _far_ends(sheet: Commissioning) -> Grid | None:
    """The farthest point of every piece with the band of the commissioning sheet."""
    level = 0 if sheet.too_much else 1
    far = [p for p in sheet.points if "fewest volts" in p.what and p.volts]
    if not far:
        return None
    rows = tuple(
        (
            f"{p.number}",
            p.name,
            p.supply,
            f"{p.volts[level].expected:.2f}",
            f"{p.volts[level].low:.2f}–{p.volts[level].high:.2f}",
            "",
            "",
            "",
        )
        for p in far
    )
    name = LEVELS[level][0]
    heads = cols("|No.", "Touch at", "Supply", ">Expected", ">normal", "_Year", "_Year", "_Year")
    return Grid(
        f"Volts at the far ends [V], {name}",
        heads,
        rows,
        "small roomy",
        f"Numbers and bands are those of the commissioning sheet; code {sheet.codes[level]} of 255"
        " on every channel.",
    )
