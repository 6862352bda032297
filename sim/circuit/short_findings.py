"""What is found of fuses that a far short does not open, or a supply cannot open."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.finding import Finding
from layouts.records import Wire

from .build import Network
from .fuse_opening import OPENS, Short

#: Up to this multiple it holds for 100 hours (ATO data sheet, from memory).
HOLDS = 1.1
#: What a supply surely gives before it protects itself: 110-140 % (data sheet, 2nd hand).
SURE = 1.1


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
        if item[2].opens(item[1]) and SURE * item[2].rated_a < OPENS * item[1]
    ]
    return (*_closed(closed), *_weak(weak))


def _closed(found: list[tuple[Wire, float, Short]]) -> Iterator[Finding]:
    """Too much resistance: the fuses concerned, worst first, in one finding."""
    if not found:
        return
    found.sort(key=lambda item: item[2].amps / item[1])
    wire, fuse_a, short = found[0]
    how = "may never open" if short.amps < HOLDS * fuse_a else "may take minutes to open"
    count = "1 fuse does" if len(found) == 1 else f"{len(found)} fuses do"
    text = (
        f"{count} not open on a short at the far end of what they protect. Worst: once the fuses "
        f"more loaded have opened, a short at {short.where} draws {short.amps:.1f} A through the "
        f"fuse of {fuse_a:g} A in {wire.label}, which {how} ({OPENS * fuse_a:g} A open it within "
        "seconds) while the strip heats up. Use smaller fuses or thicker wire, or cut the + "
        "between feeds so that each fuse protects less"
    )
    yield Finding("warning", "far-short", ", ".join(wire.label for wire, _, _ in found), text)


def _weak(found: list[tuple[Wire, float, Short]]) -> Iterator[Finding]:
    """Little enough resistance, but a supply that gives up before the fuse does."""
    if not found:
        return
    wire, fuse_a, short = max(found, key=lambda item: item[1] / item[2].rated_a)
    text = (
        f"a supply of {short.rated_a:g} A may limit itself at {SURE:.0%} of that, too little to "
        f"open the fuse of {fuse_a:g} A in {wire.label} within seconds ({OPENS * fuse_a:g} A); a "
        "short is then up to the supply's own protection. Prefer a fuse of at most "
        f"{SURE * short.rated_a / OPENS:.2g} A, and more feeds"
    )
    names = ", ".join(wire.label for wire, _, _ in found)
    yield Finding("note", "supply-limits-short", names, text)
