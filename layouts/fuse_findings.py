"""Fuses against the wires they protect, as the file says; nothing here needs a solve."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.catalogue import fuses
from layouts.finding import Finding, Remedy
from layouts.pieces import Point, point_of
from layouts.records import House, Supply, Wire, WireEnd
from layouts.wiring import connected


def fuse_findings(house: House) -> Iterator[Finding]:
    """Wires without a fuse, fuses too big for a wire, ratings that are not made."""
    supplies = {supply.name: supply for supply in house.supplies}
    for wire in house.wires:
        if wire.fuse_a is not None:
            yield from _own_fuse(wire, wire.fuse_a)
        else:
            feeding = next(
                (supplies[end.name] for end in (wire.start, wire.end) if end.kind == "supply"), None
            )
            if feeding is not None:
                yield _unfused(wire, feeding)
    for wire, upstream in behind_big_fuses(house):
        yield Finding(
            "warning",
            "wire-behind-big-fuse",
            wire.label,
            value=upstream.fuse_a,
            limit=wire.size.ampacity_a,
            unit="A",
            remedies=(_fuse("add-fuse", wire), _thicker(wire, upstream.fuse_a or 0.0)),
            detail={"size": wire.size.name, "upstream": upstream.label},
        )


def _fuse(action: str, wire: Wire) -> Remedy:
    """The largest fuse made that protects the wire."""
    return Remedy(action, wire.label, fuses().largest_within(wire.size.ampacity_a), "A")


def _thicker(wire: Wire, fuse_a: float) -> Remedy:
    """A wire that may carry what the fuse lets through."""
    return Remedy("thicker-wire", wire.label, fuse_a, "A")


def _own_fuse(wire: Wire, fuse_a: float) -> Iterator[Finding]:
    if fuse_a > wire.size.ampacity_a:
        yield Finding(
            "danger",
            "fuse-too-big",
            wire.label,
            value=fuse_a,
            limit=wire.size.ampacity_a,
            unit="A",
            remedies=(_fuse("smaller-fuse", wire), _thicker(wire, fuse_a)),
            detail={"size": wire.size.name},
        )
    ratings_a = fuses().ratings_a
    if fuse_a not in ratings_a:
        near = min(ratings_a, key=lambda rating: abs(rating - fuse_a))
        yield Finding(
            "note",
            "fuse-not-made",
            wire.label,
            value=fuse_a,
            unit="A",
            remedies=(Remedy("change-fuse", wire.label, near, "A"),),
            detail={"nearest_a": near},
        )


def _unfused(wire: Wire, supply: Supply) -> Finding:
    """A danger where the supply can give more than the wire may carry, else a warning."""
    burns = supply.rated_a > wire.size.ampacity_a
    return Finding(
        "danger" if burns else "warning",
        "unfused-feed",
        wire.label,
        value=supply.rated_a,
        limit=wire.size.ampacity_a,
        unit="A",
        remedies=(_fuse("add-fuse", wire),),
        detail={"size": wire.size.name, "supply": supply.name},
    )


def behind_big_fuses(house: House) -> list[tuple[Wire, Wire]]:
    """Wires without a fuse of their own, away from a supply, and the fused wire that feeds them
    whose rating is above what they may carry.

    """
    return [
        (wire, upstream)
        for wire, upstream in fuses_above(house)
        if (upstream.fuse_a or 0) > wire.size.ampacity_a
    ]


def fuses_above(house: House) -> list[tuple[Wire, Wire]]:
    """Wires without a fuse of their own, away from a supply, and the wire with the largest fuse
    that they stand behind; none of those behind no fuse.

    Unfused wires and the pieces of runs are taken to pass current on, so a fuse protects all that
    can be reached by + from its wire without passing another fuse or a cut.
    """
    unfused = [wire for wire in house.wires if wire.fuse_a is None]
    point = point_of(house)
    groups = connected(unfused, point)

    def region(end: WireEnd) -> int | Point:
        """What hangs together without a fuse between: the number of a group, or a point alone."""
        return groups.get(point(end), point(end))

    entering: dict[int | Point, Wire] = {}
    for wire in house.wires:
        for end in (wire.start, wire.end):
            if wire.fuse_a is not None and end.kind != "supply":
                largest = entering.get(region(end))
                if largest is None or (largest.fuse_a or 0) < wire.fuse_a:
                    entering[region(end)] = wire
    found = []
    for wire in unfused:
        upstream = entering.get(region(wire.start))
        if "supply" in (wire.start.kind, wire.end.kind) or upstream is None:
            continue
        found.append((wire, upstream))
    return found
