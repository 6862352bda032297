"""Chapters for whoever measures and mends: the commissioning sheet and fault finding."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.catalogue import limits
from sim.report.handover.allowances import ALLOWANCES
from sim.report.handover.building import UNWIRED
from sim.report.handover.doc import Bullets, Chapter, Grid, Para, Part, Sub, cols
from sim.report.handover.facts import Handover
from sim.report.handover.faults import FAULTS, POWERED, UNPOWERED
from sim.report.handover.points import LEVELS, Commissioning, Expected
from sim.report.handover.repaired import cuts_said
from sim.report.text import percent


def commissioning_chapter(facts: Handover) -> Chapter:
    """The sheet to fill in, the order of work, and how its bands were got."""
    title = "Commissioning sheet"
    sheet = facts.sheet
    if sheet is None:
        return Chapter("commissioning", title, (Para(UNWIRED, "lead"),))
    return Chapter("commissioning", title, tuple(_sheet(facts, sheet)))


def _sheet(facts: Handover, sheet: Commissioning) -> Iterator[Part]:
    yield Sub("Order of work")
    whites = any(run.kind.channel("w") for run in facts.house.runs)
    white = " and white" if whites else ""
    powered = tuple(each.format(third=sheet.codes[1], white=white) for each in POWERED)
    yield Bullets((*UNPOWERED, *powered), numbered=True)
    yield Para(full_white_said(facts), "lead")
    names = [name for name, _ in LEVELS]
    volts = tuple(
        (f"{p.number}", p.name, _what(p.what, p.supply), *_pairs(p.volts)) for p in sheet.points
    )
    heads = cols("|No.", "Touch at", "Which is", *_level_heads(names))
    yield Grid(
        "Volts [V], + to −, with the band that is normal",
        heads,
        volts,
        "small roomy",
        f"Dark: code 0 on every channel. A third: code {sheet.codes[1]} of 255 on every channel."
        " Full white: 255. Spare pixels stay dark. Bands from the allowances below.",
    )
    amps = tuple((s.supply, *_pairs(s.amps)) for s in sheet.supplies)
    yield Grid(
        "Amperes [A] of each supply, direct current",
        cols("Supply", *_level_heads(names)),
        amps,
        "small roomy",
    )
    yield Para(
        "Measured by                                         Date                      "
        "Signature                                   ",
        "sign",
    )
    yield Sub("Where the bands come from")
    yield Para(
        "The circuit was solved again with every allowance at the end that gives the fewest volts,"
        " then at the end that gives the most; for amperes likewise. What the meter itself may"
        " differ is added. All ends at once are unlikely: a good house reads well inside its bands,"
        " and a reading outside is a fault or a part unlike its sheet."
    )
    rows = tuple((each.what, each.text, each.source) for each in ALLOWANCES)
    yield Grid("Allowances", cols("For", "Allowed", "Source and how it is known"), rows, "small")


def full_white_said(facts: Handover) -> str:
    """Whether full white may be shown, as far as fuses and ratings go."""
    share = limits()
    if facts.sheet is not None and facts.sheet.too_much:
        return (
            "Show neither a third nor full white on the whole house: at a third"
            f" {', '.join(facts.sheet.too_much)} would carry more than the fuse or the rating."
            " Light one run after the other."
        )
    over = [
        f"W{w.number}"
        for w in facts.wires
        if w.wire.fuse_a is not None and w.full_a > w.wire.fuse_a
    ]
    over += [s.name for s in facts.supplies if s.full_a > s.rated_a]
    if over:
        return (
            f"Do not show full white on the whole house: {', '.join(over)} would carry more than"
            " the fuse or the rating. Fill in dark and a third only."
        )
    near = [
        f"W{w.number}"
        for w in facts.wires
        if w.wire.fuse_a is not None and w.full_a > share.fuse_load * w.wire.fuse_a
    ]
    near += [
        f"{s.name} ({percent(s.full_a / s.rated_a)})"
        for s in facts.supplies
        if s.full_a > share.supply_load * s.rated_a
    ]
    if near:
        return (
            f"Full white for a minute at most: {', '.join(near)} would be loaded beyond what is"
            " good for hours."
        )
    return "Full white stays inside fuses and ratings of this house."


def _what(what: str, supply: str) -> str:
    return f"{what}; {supply}" if supply else f"{what}; no supply reaches it"


def _level_heads(names: list[str]) -> list[str]:
    heads = []
    for name in names:
        heads += [f">{name[:1].upper()}{name[1:]}", ">normal", "_read"]
    return heads


def _pairs(readings: tuple[Expected, ...]) -> list[str]:
    cells = []
    for reading in readings:
        cells += [f"{reading.expected:.2f}", f"{reading.low:.2f}–{reading.high:.2f}", ""]
    return cells or ["–", "–", ""] * len(LEVELS)


def faults_chapter(facts: Handover) -> Chapter:
    """Fault finding in one page."""
    kinds = dict.fromkeys(run.kind for run in facts.house.runs)
    backed = [kind.name for kind in kinds if kind.backup_data]
    plain = [kind.name for kind in kinds if not kind.backup_data]
    said = "Unplug before opening anything; measure with the sheet beside you."
    if backed:
        said += f" {', '.join(backed)}: a dead pixel is bridged by the second data line."
    if plain:
        said += f" {', '.join(plain)}: one data line; a dead pixel stops all after it."
    said += cuts_said(facts.house)
    rows = tuple((r.seen, r.cause, r.test, r.cure, r.tag) for r in FAULTS)
    heads = cols("Seen", "Likely cause", "Test", "Cure", "Known from")
    return Chapter(
        "faults",
        "Fault finding",
        (Para(said), Grid("From what is seen to the cure", heads, rows, "")),
        True,
    )
