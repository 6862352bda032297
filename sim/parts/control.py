"""Controllers by their outputs and pixels, and the plugs of the data line."""

from __future__ import annotations

import math
from collections import Counter

from layouts.finding import Finding
from layouts.records import House
from sim.parts.lines import BillLine, BillSection, listed
from sim.parts.records import ControllerPart, Parts


def control_section(house: House, parts: Parts) -> BillSection:
    """What the house's outputs take."""
    if not house.outputs:
        return BillSection(findings=(_no_outputs(),))
    pixels = {run.name: run.present for run in house.runs}
    needed = {output.name: sum(pixels[run] for run in output.chain) for output in house.outputs}
    started = [run for output in house.outputs for run in output.chain]
    plug = parts.data_plug
    lines = [BillLine("data plug", plug.part, len(started), "piece", plug.price, listed(started))]
    findings: list[Finding] = []
    placed = _placed(needed, parts.controllers)
    if placed is None:
        if parts.controllers:
            findings.append(_too_large(needed, parts.controllers))
        total = sum(needed.values())
        name = f"{len(needed)} outputs, {total} pixels"
        lines.append(BillLine("controller", name, 1, "piece", None, listed(needed)))
    else:
        for part, count in Counter(part for part, _ in placed).items():
            outputs = [name for each, names in placed if each == part for name in names]
            lines.append(
                BillLine("controller", part.part, count, "piece", part.price, listed(outputs))
            )
    return BillSection(tuple(lines), findings=tuple(findings))


def _placed(
    needed: dict[str, int], parts: tuple[ControllerPart, ...]
) -> list[tuple[ControllerPart, list[str]]] | None:
    """Outputs on controllers: the cheapest single one, else first fit on the largest.

    First fit is no proof of least cost; None where an output fits none.
    """
    single = _cheapest(len(needed), sum(needed.values()), parts)
    if single is not None:
        return [(single, list(needed))]
    if not parts:
        return None
    largest = max(parts, key=lambda part: (part.outputs, part.pixels))
    if max(needed.values()) > largest.pixels:
        return None
    groups: list[list[str]] = []
    for name in sorted(needed, key=lambda name: -needed[name]):
        for group in groups:
            load = sum(needed[each] for each in group) + needed[name]
            if len(group) < largest.outputs and load <= largest.pixels:
                group.append(name)
                break
        else:
            groups.append([name])
    return [
        (_cheapest(len(group), sum(needed[name] for name in group), parts) or largest, group)
        for group in groups
    ]


def _cheapest(
    outputs: int, pixels: int, parts: tuple[ControllerPart, ...]
) -> ControllerPart | None:
    fitting = [part for part in parts if part.outputs >= outputs and part.pixels >= pixels]
    return min(
        fitting,
        key=lambda part: (math.inf if part.price is None else part.price, part.outputs),
        default=None,
    )


def _no_outputs() -> Finding:
    return Finding("note", "parts-no-outputs", "outputs")


def _too_large(needed: dict[str, int], parts: tuple[ControllerPart, ...]) -> Finding:
    name = max(needed, key=lambda each: needed[each])
    most = max(part.pixels for part in parts)
    return Finding(
        "warning", "parts-no-controller", name, value=needed[name], limit=most, unit="pixels"
    )
