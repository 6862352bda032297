"""What is found of the kinds a house has: what harms them, and what they do by themselves."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.catalogue import limits
from layouts.finding import Finding, Remedy
from layouts.power_paths import feeders
from layouts.records import House, Kind, Run, Supply

#: [V] that is rounding and not voltage.
_ROUNDING_V = 1e-9


def part_findings(house: House) -> Iterator[Finding]:
    """Codes `supply-above-max`, `trim-above-max`, `lit-without-data`, `levels-unused`."""
    fed = feeders(house)
    for run in house.runs:
        for supply in fed[run.name]:
            yield from _too_many_volts(supply, run)
    of_kind: dict[str, list[Run]] = {}
    for run in house.runs:
        of_kind.setdefault(run.kind.name, []).append(run)
    for runs in of_kind.values():
        yield from _by_itself(runs[0].kind, tuple(run.name for run in runs))


def _too_many_volts(supply: Supply, run: Run) -> Iterator[Finding]:
    """A supply for another kind altogether is `supply-voltage` alone."""
    most_v = run.kind.max_v
    if most_v is None or not limits().suits(supply.volts, run.kind.supply_v):
        return
    detail = {"supply": supply.name, "kind": run.kind.name}
    if supply.volts > most_v + _ROUNDING_V:
        yield Finding(
            "danger",
            "supply-above-max",
            run.name,
            value=supply.volts,
            limit=most_v,
            unit="V",
            remedies=(Remedy("set-volts", supply.name, run.kind.supply_v, "V"),),
            detail=detail,
        )
    elif supply.adjust_v is not None and supply.adjust_v[1] > most_v + _ROUNDING_V:
        yield Finding(
            "note",
            "trim-above-max",
            run.name,
            value=supply.adjust_v[1],
            limit=most_v,
            unit="V",
            remedies=(Remedy("measure-volts", supply.name, supply.volts, "V"),),
            detail=detail,
        )


def _by_itself(kind: Kind, names: tuple[str, ...]) -> Iterator[Finding]:
    where = ", ".join(names)
    if kind.boots not in (None, "dark"):
        yield Finding(
            "note",
            "lit-without-data",
            where,
            remedies=(Remedy("switch-off", where),),
            elements=names,
            detail={"kind": kind.name, "boots": kind.boots},
        )
    if kind.levels > 256:
        yield Finding(
            "note",
            "levels-unused",
            where,
            value=256,
            limit=kind.levels,
            unit="steps",
            elements=names,
            detail={"kind": kind.name},
        )
