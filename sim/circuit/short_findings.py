"""What is found of fuses that a far short does not open, or a supply cannot open."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.catalogue import fuses, limits
from layouts.finding import Finding, Remedy
from layouts.records import Wire

from .build import Network
from .fuse_opening import OPENS, Short


def short_findings(network: Network, shorts: tuple[Short | None, ...]) -> tuple[Finding, ...]:
    """Fuses that a far short does not open: `far-short`, and `supply-limits-short`."""
    fused = [
        (wire, wire.fuse_a, short)
        for wire, short in zip(network.house.wires, shorts, strict=True)
        if short and wire.fuse_a
    ]
    closed = [item for item in fused if not item[2].opens(item[1])]
    weak = [
        item
        for item in fused
        if item[2].opens(item[1]) and limits().supply_gives * item[2].rated_a < OPENS * item[1]
    ]
    return (*_closed(closed), *_weak(weak))


def _closed(found: list[tuple[Wire, float, Short]]) -> Iterator[Finding]:
    """Too much resistance: the fuses concerned, worst first, in one finding."""
    if not found:
        return
    # those that are alike but for rounding stand as in the file
    found.sort(key=lambda item: round(item[2].amps / item[1], 9))
    wire, fuse_a, short = found[0]
    labels = tuple(wire.label for wire, _, _ in found)
    smaller = (
        Remedy("smaller-fuse", wire.label, fuses().largest_within(short.amps / OPENS), "A")
        for wire, _, short in found
    )
    cuts = (Remedy("cut", short.where) for _, _, short in found)
    yield Finding(
        "warning",
        "far-short",
        ", ".join(labels),
        value=short.amps,
        limit=OPENS * fuse_a,
        unit="A",
        remedies=(*smaller, *(Remedy("thicker-wire", label) for label in labels), *cuts),
        elements=labels,
        detail={
            "wire": wire.label,
            "fuse_a": fuse_a,
            "at": short.where,
            "holds": short.amps < _holds() * fuse_a,
        },
    )


def _holds() -> float:
    """The multiple of its rating up to which a fuse holds for as long as anybody looked."""
    return max(row.load for row in fuses().openings if row.most_s is None)


def _weak(found: list[tuple[Wire, float, Short]]) -> Iterator[Finding]:
    """Little enough resistance, but a supply that gives up before the fuse does."""
    if not found:
        return
    wire, fuse_a, short = max(found, key=lambda item: item[1] / item[2].rated_a)
    labels, gives = tuple(wire.label for wire, _, _ in found), limits().supply_gives
    given_a = gives * short.rated_a
    sold_a = fuses().largest_within(given_a / OPENS)
    smaller = () if sold_a is None else (Remedy("smaller-fuse", wire.label, sold_a, "A"),)
    yield Finding(
        "note",
        "supply-limits-short",
        ", ".join(labels),
        value=given_a,
        limit=OPENS * fuse_a,
        unit="A",
        remedies=(*smaller, Remedy("add-feed", wire.end.text)),
        elements=labels,
        detail={
            "wire": wire.label,
            "fuse_a": fuse_a,
            "rated_a": short.rated_a,
            "gives": gives,
            "most_a": given_a / OPENS,
            "holds": given_a < _holds() * fuse_a,
            "sold_a": sold_a,
            "feed_a": None if sold_a is None else limits().fuse_load * sold_a,
        },
    )
