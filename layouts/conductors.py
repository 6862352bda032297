"""Which conductors go over a joint, by name: the one place that knows what a kind's pixels need.

Names: "+", "−", "data", "backup data" (a second data line, past one dead pixel) and "clock" (data
and clock on two wires). A line goes on only where the pixels on both sides have it.
"""

from __future__ import annotations

from layouts.records import Kind


def data_conductors(before: Kind | None, behind: Kind) -> tuple[str, ...]:
    """What carries the data to pixels of the kind `behind`.

    `before` is the kind it comes from; None is an output, which has one data line, and a clock.
    """
    names = ["data"]
    if before is not None and before.backup_data and behind.backup_data:
        names.append("backup data")
    if behind.clock_line and (before is None or before.clock_line):
        names.append("clock")
    return tuple(names)


def rail_conductors(cut: bool) -> tuple[str, ...]:
    """What of the rails is joined: over a place at which the house has its + cut, + stays open."""
    return ("−",) if cut else ("+", "−")


def bridge_conductors(kind: Kind, cut: bool) -> tuple[str, ...]:
    """What is joined between two pixels of one run, over a gap or at a joint."""
    return (*rail_conductors(cut), *data_conductors(kind, kind))
