"""What a temperature is too cold or too hot for: pixels, supplies, fuses, wire, plugs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.catalogue import limits
from layouts.finding import Finding, Remedy, by_urgency
from sim.scan import Scan
from sim.upkeep.own_warming import OwnWarming
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


def warming_findings(
    watched: Scan, warming: Sequence[OwnWarming], celsius: float, rates: Rates
) -> Iterator[Finding]:
    """Runs whose own watts take them beyond what their kind is rated for, in air of `celsius`."""
    for each in warming:
        kind = watched.rig.house.run(each.run).kind
        pair = rates.rated_c(kind.name)
        if pair is not None and celsius <= pair[1] < celsius + each.channel_k[1]:
            yield Finding(
                "warning" if celsius + each.channel_k[0] > pair[1] else "note",
                "kind-warms-itself",
                each.run,
                value=celsius + each.channel_k[1],
                limit=pair[1],
                unit="°C",
                remedies=(Remedy("lower-brightness", each.run), Remedy("larger-profile", each.run)),
                detail={"kind": kind.name, "celsius": celsius, "rise": each.channel_k},
            )


def _rated(watched: Scan, celsius: float, rates: Rates) -> Iterator[Finding]:
    house = watched.rig.house
    for kind in dict.fromkeys(run.kind.name for run in house.runs):
        limit_c = _passed_c(kind, celsius, rates)
        if limit_c is not None:
            yield Finding(
                "warning",
                "kind-out-of-range",
                kind,
                value=celsius,
                limit=limit_c,
                unit="°C",
                elements=tuple(run.name for run in house.runs if run.kind.name == kind),
            )
    for part in ("wire", "connector"):
        limit_c = _passed_c(part, celsius, rates)
        if house.wires and limit_c is not None:
            yield Finding(
                "note", "jacket-out-of-range", part, value=celsius, limit=limit_c, unit="°C"
            )


def _passed_c(name: str, celsius: float, rates: Rates) -> float | None:
    """[°C] the end of what it is rated for that is passed; None within it, or where none is."""
    pair = rates.rated_c(name)
    if pair is None or pair[0] <= celsius <= pair[1]:
        return None
    return pair[0] if celsius < pair[0] else pair[1]


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
