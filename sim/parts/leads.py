"""Data wire from every output to its first pixel: by size and conductor, as the file says it."""

from __future__ import annotations

from layouts.finding import Finding, Remedy
from layouts.records import House, Lead, Output
from sim.parts.lines import BillLine, BillSection, CutList, listed, unlisted
from sim.parts.records import Parts
from sim.parts.wiring import wire_section


def lead_section(house: House, parts: Parts) -> BillSection:
    """What the leads take, − beside the data; a note of outputs whose lead has no length."""
    lines: list[BillLine] = []
    cuts: list[CutList] = []
    findings: list[Finding] = []
    led = [(output, output.lead) for output in house.outputs if output.lead is not None]
    wired = {wire.size.name for wire in house.wires}
    for size in dict.fromkeys(lead.size.name for _, lead in led):
        own = parts.wires.get(size)
        if own is None and parts.file and size not in wired:
            findings.append(unlisted("wire", size))
        for conductors, lengths in _by_conductors(house, size, led).items():
            made = wire_section(size, lengths, own or parts.any_wire, "data wire", conductors)
            lines += made.lines
            cuts += made.cuts
            findings += made.findings
    without = [output.name for output in house.outputs if output.lead is None]
    if without:
        findings.append(_no_lead(without, house.units))
    return BillSection(tuple(lines), tuple(cuts), tuple(findings))


def _by_conductors(
    house: House, size: str, led: list[tuple[Output, Lead]]
) -> dict[tuple[str, ...], list[tuple[str, float]]]:
    """Leads of a size by what they consist of: a clock line is a conductor more."""
    found: dict[tuple[str, ...], list[tuple[str, float]]] = {}
    for output, lead in led:
        if lead.size.name == size:
            clocked = house.run(output.chain[0]).kind.clock_line
            conductors = ("data", "clock", "−") if clocked else ("data", "−")
            found.setdefault(conductors, []).append((f"output {output.name}", lead.length_m))
    return found


def _no_lead(outputs: list[str], units: str) -> Finding:
    return Finding(
        "note",
        "parts-no-lead",
        listed(outputs),
        remedies=tuple(Remedy("say-lead", name) for name in outputs),
        detail={"units": units, "outputs": len(outputs)},
    )
