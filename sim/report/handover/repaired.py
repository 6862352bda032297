"""The chapter of what was repaired: the history of the house file, and where that was."""

from __future__ import annotations

from collections.abc import Iterator

from layouts import length_text
from layouts.conductors import bridge_conductors
from layouts.points import RunSlice, run_slice
from layouts.records import House
from sim.report.handover.doc import Chapter, Grid, Para, cols
from sim.report.handover.facts import Handover
from sim.report.wording.conductors import conductors_text
from sim.upkeep.repair import PixelSpan, PixelSpot, spans_of, spot_m

#: How lines begin that `repair --write` puts into the history.
_DONE = ("cut out ", "replaced ")


def repaired_chapters(facts: Handover) -> Iterator[Chapter]:
    """One chapter, where the house file tells of repairs or of pixels cut out; else none."""
    rows = tuple(repaired_rows(facts.house))
    if not rows:
        return
    said = Para(
        "As the house file tells it. A pixel that is cut out is bridged, its + only where the house"
        " has it not cut. It keeps its place in the numbers of this document; those behind it have"
        " moved up on the data line."
    )
    yield Chapter(
        "repaired",
        "What was repaired",
        (said, Grid("Repairs", cols("|Date", "What", "Where"), rows)),
    )


def cuts_said(house: House) -> str:
    """Where whoever mends has to leave the + open; "" where nothing is cut."""
    places = ", ".join(f"{run.name}[{cut}]" for run in house.runs for cut in run.cuts)
    if not places:
        return ""
    kinds = dict.fromkeys(run.kind for run in house.runs if run.cuts)
    names = dict.fromkeys(name for kind in kinds for name in bridge_conductors(kind, cut=True))
    joined = conductors_text(names)
    return f" The + is cut before {places}: there a repair joins {joined} alone, never the +."


def repaired_rows(house: House) -> Iterator[tuple[str, str, str]]:
    """Date, what and where of every line of the history, then of what no line tells of."""
    told: set[PixelSpot] = set()
    for each in sorted(house.history, key=lambda line: line.date):
        spans = list(_spans(house, each.what))
        if each.what.startswith(_DONE[0]):
            told |= {PixelSpot(s.run, at) for s in spans for at in range(s.first, s.last + 1)}
        yield each.date, each.what, "; ".join(_where(house, span) for span in spans) or "–"
    gone = [PixelSpot(run.name, at) for run in house.runs for at in run.missing]
    for span in spans_of(spot for spot in gone if spot not in told):
        yield "–", f"cut out {span.name}; the history does not say when", _where(house, span)


def _spans(house: House, what: str) -> Iterator[PixelSpan]:
    """The pixels that a line of the history names; whoever writes by hand may name none."""
    names = next((what[len(verb) :] for verb in _DONE if what.startswith(verb)), "")
    for text in names.split(", "):
        try:
            part = run_slice(text)
        except ValueError:
            continue
        yield from _there(house, part)


def _there(house: House, part: RunSlice) -> Iterator[PixelSpan]:
    """The part as positions, if the house still has them."""
    if part.first is None or part.last is None:
        return
    count = next((run.count for run in house.runs if run.name == part.name), 0)
    if 0 <= part.first < part.last <= count:
        yield PixelSpan(part.name, part.first, part.last - 1)


def _where(house: House, span: PixelSpan) -> str:
    spots = [PixelSpot(span.run, at) for at in dict.fromkeys((span.first, span.last))]
    along = [length_text(spot_m(house, spot)[0], house.units) for spot in spots]
    x, y = (length_text(each, house.units) for each in spot_m(house, spots[0])[1:])
    return f"{' to '.join(along)} along {span.run}, at {x}, {y} of the drawing"
