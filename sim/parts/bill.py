"""The bill of materials: everything a wired house takes, from its geometry and circuit alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layouts.finding import Finding, by_urgency
from layouts.records import House
from sim.parts.channel import channel_section
from sim.parts.control import control_section
from sim.parts.leads import lead_section
from sim.parts.lines import BillLine, CutList, MinutesPerMetre, together
from sim.parts.pixels import pixel_section
from sim.parts.records import Parts
from sim.parts.wiring import wiring_section


@dataclass(frozen=True, eq=False)
class MaterialBill:
    """What to buy and how long the work takes; how stock is cut."""

    house: str
    parts: Parts
    lines: tuple[BillLine, ...]
    cuts: tuple[CutList, ...]
    findings: tuple[Finding, ...]
    units: str = "m"  # in which the house's owner measures; quantities are in metres all the same

    @property
    def priced_total(self) -> float:
        """The sum of the lines that have a price."""
        return round(sum(line.price or 0.0 for line in self.lines), 2)

    @property
    def unpriced(self) -> tuple[BillLine, ...]:
        """The lines without a price."""
        return tuple(line for line in self.lines if line.price is None)

    @property
    def total(self) -> float | None:
        """What all of it costs; None as long as a line has no price."""
        return None if self.unpriced else self.priced_total


def bill_of(house: House, parts: Parts) -> MaterialBill:
    """Quantities from the house's runs, wires, supplies and outputs, priced by the parts file."""
    pixels = pixel_section(house, parts)
    sections = (
        pixels,
        channel := channel_section(house, parts),
        wiring_section(house, parts),
        lead_section(house, parts),
        control_section(house, parts),
    )
    work = _work(house, parts, pixels.joints, channel.saw_cuts)
    return MaterialBill(
        house=house.name,
        parts=parts,
        lines=together((*(line for section in sections for line in section.lines), *work)),
        cuts=tuple(each for section in sections for each in section.cuts),
        findings=by_urgency(tuple(each for section in sections for each in section.findings)),
        units=house.units,
    )


def _work(house: House, parts: Parts, joints: int, saw_cuts: int) -> Iterator[BillLine]:
    """Hours of work by what is done."""
    feeds = sum(end.kind == "run" for wire in house.wires for end in (wire.start, wire.end))
    metres = sum(run.length_m for run in house.runs)
    for what, count, unit, minutes in (
        ("joints", joints, "joints", parts.work.joint_min),
        ("feeds", feeds, "feeds", parts.work.feed_min),
        ("cuts", sum(len(run.cuts) for run in house.runs), "cuts", parts.work.cut_min),
        ("sawing", saw_cuts, "cuts", parts.work.saw_min),
        ("mounting", metres, "m", parts.work.metre_min),
    ):
        if count and minutes:
            hours = round(count * minutes / 60, 2)
            told = unit.removesuffix("s") if count == 1 else unit
            purpose = f"{count:.4g} {told} at {minutes:g} min"
            words = (float(count), " at ", MinutesPerMetre(minutes)) if unit == "m" else ()
            yield BillLine("work", what, hours, "h", parts.work.hourly, purpose, words)
