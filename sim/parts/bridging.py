"""Gaps where pixels are cut out of a run, bridged with wire: how much of which, and its price.

A bridge carries what the rails carry, so each conductor is the thinnest listed wire with no more
resistance in a metre than the rails have; its length is that of the gap and one pitch more, for
what is stripped and lapped at both ends [common practice, no source]. Each end is soldered like a
joint between two lengths.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layouts.catalogue import wire_size
from layouts.conductors import bridge_conductors
from layouts.copper import ohm_per_m
from layouts.pieces import cuts_between
from layouts.records import Kind, Run
from sim.parts.lines import BillLine, listed
from sim.parts.records import Parts, WirePart


@dataclass(frozen=True)
class Bridge:
    """A gap of a run between two pixels, and the wire over it."""

    run: str
    before: int  # positions of the pixels on both sides
    behind: int
    conductors: int
    wire: WirePart
    length_m: float  # of each conductor

    @property
    def name(self) -> str:
        """As the bill names it."""
        return f"{self.run}[{self.before}] to [{self.behind}]"


def bridges_of(run: Run, parts: Parts) -> tuple[Bridge, ...]:
    """A bridge for every gap that has pixels on both sides."""
    there = np.flatnonzero(run.has_pixel)
    gaps = [(a, b) for a, b in zip(there[:-1].tolist(), there[1:].tolist(), strict=True)
            if b > a + 1]  # fmt: skip
    if not gaps:
        return ()
    wire = bridge_wire(run.kind, parts)
    return tuple(
        Bridge(
            run.name,
            a,
            b,
            len(bridge_conductors(run.kind, bool(cuts_between(run, a, b)))),
            wire,
            (b - a) * run.pitch_m,
        )
        for a, b in gaps
    )


def bridge_wire(kind: Kind, parts: Parts) -> WirePart:
    """The thinnest listed wire that is no thinner than the rails; the thickest where none is."""
    found = sorted((wire_size(name).area_mm2, name) for name in parts.wires)
    if not found:
        return parts.any_wire
    enough = [name for area, name in found if ohm_per_m(area) <= kind.rail_ohm_per_m]
    return parts.wires[enough[0] if enough else found[-1][1]]


def bridge_lines(bridges: Sequence[Bridge], parts: Parts) -> list[BillLine]:
    """Wire by size and the joints of all bridges; nothing without a bridge."""
    lines = []
    for size in dict.fromkeys(each.wire.size for each in bridges):
        own = [each for each in bridges if each.wire.size == size]
        total_m = sum(each.conductors * each.length_m for each in own)
        wire = own[0].wire
        lines.append(
            BillLine(
                "bridge wire",
                f"{size} {wire.part}".strip(),
                math.ceil(total_m * 10 - 1e-6) / 10,
                "m",
                wire.per_metre,
                listed(each.name for each in own),
            )
        )
    if bridges:
        joint = parts.strip_joint
        lines.append(
            BillLine(
                "strip joint", joint.part, 2 * len(bridges), "piece", joint.price,
                "both ends of every bridge",
            )
        )  # fmt: skip
    return lines
