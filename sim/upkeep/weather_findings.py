"""What a temperature is too cold or too hot for: pixels, supplies, fuses, wire, plugs."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.catalogue import limits
from layouts.finding import Finding, Remedy, by_urgency
from sim.scan import Scan
from sim.upkeep.rates import Rates


def weather_findings(watched: Scan, celsius: float, rates: Rates) -> tuple[Finding, ...]:
    """Findings of a scan at a temperature [°C] of every part."""
    house = watched.rig.house
    found = [*_rated(watched, celsius, rates), *_derated(watched, celsius)]
    if house.supplies and celsius < limits().coldest_start_c:
        found.append(
            Finding(
                "warning",
                "supply-cold-start",
                house.name,
                value=celsius,
                limit=limits().coldest_start_c,
                unit="°C",
                remedies=(Remedy("other-supply", house.supplies[0].name, celsius, "°C"),),
                elements=tuple(supply.name for supply in house.supplies),
            )
        )
    return by_urgency(found)


def _rated(watched: Scan, celsius: float, rates: Rates) -> Iterator[Finding]:
    house = watched.rig.house
    for kind in dict.fromkeys(run.kind.name for run in house.runs):
        pair = rates.rated_c(kind)
        if pair is not None and not pair[0] <= celsius <= pair[1]:
            yield Finding(
                "warning",
                "kind-out-of-range",
                kind,
                value=celsius,
                limit=pair[0] if celsius < pair[0] else pair[1],
                unit="°C",
                elements=tuple(run.name for run in house.runs if run.kind.name == kind),
            )
    for part in ("wire", "connector"):
        pair = rates.rated_c(part)
        if house.wires and pair is not None and not pair[0] <= celsius <= pair[1]:
            yield Finding(
                "note",
                "jacket-out-of-range",
                part,
                value=celsius,
                limit=pair[0] if celsius < pair[0] else pair[1],
                unit="°C",
            )


def _derated(watched: Scan, celsius: float) -> Iterator[Finding]:
    kept = limits().left_at("supply", celsius)
    for use in watched.supplies:
        limit = limits().supply_load * kept
        if kept < 1 and use.load > limit:
            yield Finding(
                "danger" if use.load > kept else "warning",
                "supply-too-warm",
                use.supply.name,
                value=use.load,
                limit=limit,
                remedies=(Remedy("larger-supply", use.supply.name, use.peak_a, "A"),),
                detail={"celsius": celsius, "left": kept},
            )
    kept = limits().left_at("fuse", celsius)
    for wire in watched.wires:
        fuse_a = wire.wire.fuse_a
        limit = limits().fuse_load * kept
        if kept < 1 and fuse_a is not None and wire.peak_a / fuse_a > limit:
            yield Finding(
                "warning",
                "fuse-too-warm",
                wire.wire.label,
                value=wire.peak_a / fuse_a,
                limit=limit,
                detail={"celsius": celsius, "fuse_a": fuse_a},
            )
