"""Fuses against the wires they protect, as the file says; nothing here needs a solve."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.catalogue import fuses
from layouts.finding import Finding, Remedy
from layouts.fuses_above import fuses_above, together_a
from layouts.records import House, Supply, Wire


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
    for wire, fused in behind_big_fuses(house):
        let_through_a = together_a(fused)
        yield Finding(
            "warning",
            "wire-behind-big-fuse",
            wire.label,
            value=let_through_a,
            limit=wire.size.ampacity_a,
            unit="A",
            remedies=(_fuse("add-fuse", wire), _thicker(wire, let_through_a)),
            detail={
                "size": wire.size.name,
                "fuses": tuple((each.fuse_a, each.label) for each in fused),
            },
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


def behind_big_fuses(house: House) -> list[tuple[Wire, tuple[Wire, ...]]]:
    """Wires without a fuse of their own, away from a supply, and the fused wires that feed them
    where all those fuses together let through more than the wire may carry.

    Overcurrent protection is by what a conductor may carry, at the point where it is supplied; a
    tap is one whose protection ahead is larger (NEC 240.4, 240.21, 240.2), and fuses in parallel
    are none the smaller for it (NEC 240.8) [from memory].
    """
    return [
        (wire, fused)
        for wire, fused in fuses_above(house, with_unfused=True)
        if together_a(fused) > wire.size.ampacity_a
    ]
