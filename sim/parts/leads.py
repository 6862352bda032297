"""Data wire, by size and conductor: from every output to its first pixel, and from run to run.

A lead is as long as the file says it is. From run to run along a chain the file says no length:
there the wire is as long as the power wire that joins the same two ends, or as the straight line
on the drawing with the slack of a planned wire at both ends. Its size is that of the output's lead,
else the thinnest that can be bought: data carries milliamperes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from layouts.catalogue import wire_size
from layouts.conductors import data_conductors
from layouts.data_gaps import DataGap, data_gaps
from layouts.finding import Finding, Remedy
from layouts.records import House, Output
from sim.parts.lines import BillLine, BillSection, CutList, listed, unlisted
from sim.parts.records import Parts
from sim.parts.wiring import wire_section

#: What a wire is called whose size neither the house file nor a parts file says.
_NO_SIZE = "size not said"


@dataclass(frozen=True)
class _DataWire:
    """One wire to lay, and what it consists of."""

    label: str
    size: str
    length_m: float
    conductors: tuple[str, ...]


def lead_section(house: House, parts: Parts) -> BillSection:
    """What data wires take, − beside the data, and notes of what is not said and how it counts."""
    leads = [
        _DataWire(
            f"output {each.name}", each.lead.size.name, each.lead.length_m,
            (*data_conductors(None, house.run(each.chain[0]).kind), "−"),
        )
        for each in house.outputs
        if each.lead is not None
    ]  # fmt: skip
    gaps = list(_open_gaps(house, parts))
    across = [_across(gap, size, parts) for _, gap, size in gaps]
    lines: list[BillLine] = []
    cuts: list[CutList] = []
    findings: list[Finding] = []
    wired = {wire.size.name for wire in house.wires}
    for size in dict.fromkeys(each.size for each in (*leads, *across)):
        own = parts.wires.get(size)
        if own is None and parts.file and size not in wired and size != _NO_SIZE:
            findings.append(unlisted("wire", size))
        part = own or (replace(parts.any_wire, part="") if size == _NO_SIZE else parts.any_wire)
        alike = _alike([each for each in (*leads, *across) if each.size == size])
        for conductors, lengths in alike.items():
            told = "each conductor" if len(alike) == 1 else " and ".join(conductors)
            made = wire_section(size, lengths, part, "data wire", conductors, told)
            lines += made.lines
            cuts += made.cuts
            findings += made.findings
    without = [output.name for output in house.outputs if output.lead is None]
    if without:
        findings.append(_no_lead(without, house.units))
    if gaps:
        findings.append(_counted(gaps, house, parts))
    return BillSection(tuple(lines), tuple(cuts), tuple(findings))


def _alike(wires: Sequence[_DataWire]) -> dict[tuple[str, ...], tuple[tuple[str, float], ...]]:
    """Lengths by the conductors that need just those: each conductor comes off reels of its own."""
    needed: dict[tuple[tuple[str, float], ...], list[str]] = {}
    for conductor in dict.fromkeys(name for wire in wires for name in wire.conductors):
        own = tuple((w.label, w.length_m) for w in wires if conductor in w.conductors)
        needed.setdefault(own, []).append(conductor)
    return {tuple(names): lengths for lengths, names in needed.items()}


def _open_gaps(house: House, parts: Parts) -> Iterator[tuple[Output, DataGap, str]]:
    """Every gap that takes a wire, with its output and the size of that wire."""
    listed_sizes = sorted(parts.wires, key=lambda name: wire_size(name).area_mm2)
    thinnest = listed_sizes[0] if listed_sizes else _NO_SIZE
    for output in house.outputs:
        size = output.lead.size.name if output.lead else thinnest
        for gap in data_gaps(house, output):
            if gap.open:
                yield output, gap, size


def _across(gap: DataGap, size: str, parts: Parts) -> _DataWire:
    """The wire over a gap; where a power wire joins the same ends, its − serves the data too."""
    conductors = [*data_conductors(gap.before.kind, gap.after.kind)]
    slack_m = 2 * parts.slack_m
    if gap.beside is None:
        conductors.append("−")
    else:
        slack_m = 0.0  # the written length of a wire includes it
    return _DataWire(gap.name, size, gap.length_m + slack_m, tuple(conductors))


def _no_lead(outputs: list[str], units: str) -> Finding:
    return Finding(
        "note",
        "parts-no-lead",
        listed(outputs),
        remedies=tuple(Remedy("say-lead", name) for name in outputs),
        detail={"units": units, "outputs": len(outputs)},
    )


def _counted(gaps: list[tuple[Output, DataGap, str]], house: House, parts: Parts) -> Finding:
    """How the wire from run to run is counted, and of which size where the file says none."""
    unsaid = {output.name: size for output, _, size in gaps if output.lead is None}
    return Finding(
        "note",
        "parts-data-gaps",
        listed(output.name for output, _, _ in gaps),
        value=sum(gap.length_m for _, gap, _ in gaps),
        unit="m",
        detail={
            "units": house.units,
            "outputs": len({output.name for output, _, _ in gaps}),
            "gaps": len(gaps),
            "straight": sum(gap.beside is None for _, gap, _ in gaps),
            "slack_m": parts.slack_m,
            "unsaid": listed(unsaid),
            "size": next((size for size in unsaid.values() if size != _NO_SIZE), ""),
        },
    )
