"""The same house with another kind of pixel, and what else had to change for it, in words.

Strips become strips of the kind, on the same metres. A string stays the string it is where strips
are compared (and the other way round), as long as its supply can stay too; else it is said what
was replaced. A supply of another voltage is re-rated to the same watts, and that is said.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from layouts import change, with_kind
from layouts.catalogue import limits
from layouts.ratings import rating_text
from layouts.records import House, Kind, Run, Supply
from layouts.wiring import connected, whole
from sim.report.lengths import about_text
from sim.report.text import count


def of_kind(house: House, kind: Kind) -> tuple[House, tuple[str, ...]]:
    """The house with every run that can be of `kind`, and what was changed or left, in words."""
    chosen = replaced_runs(house, kind)
    made, notes = with_runs(house, kind, chosen)
    made, supply_notes = rerated(made, kind, _supplies_of(house, chosen))
    return made, (*notes, *supply_notes)


def unwired_of_kind(house: House, kind: Kind) -> tuple[House, tuple[str, ...]]:
    """The house with the same runs of `kind` as `of_kind` has, and no supply, wire or cut."""
    chosen = replaced_runs(house, kind)
    bare = change(house, supplies=[], wires=[], runs={run.name: {"cuts": []} for run in house.runs})
    made, notes = with_runs(bare, kind, chosen)
    return made, (*notes, *_led_notes(kind))


def with_runs(house: House, kind: Kind, chosen: Collection[str]) -> tuple[House, tuple[str, ...]]:
    """The house with the runs `chosen` of `kind` on the same metres, and what that changes."""
    made = with_kind(house, kind, "metres", chosen)
    return made, tuple(
        note
        for old, new in zip(house.runs, made.runs, strict=True)
        if (note := _run_note(old, new, kind, old.name in chosen, house.units))
    )


def replaced_runs(house: House, kind: Kind) -> tuple[str, ...]:
    """The runs that become `kind`: those mounted as it is, and those that hang on their supplies.

    Where no run is mounted as the kind is, all of them.
    """
    alike = {run.name for run in house.runs if run.kind.mount == kind.mount}
    if not alike:
        return tuple(run.name for run in house.runs)
    groups = connected(house.wires, whole)
    fed = {groups.get(("run", name)) for name in alike} - {None}
    for run in house.runs:
        bound = groups.get(("run", run.name)) in fed
        if bound and not limits().suits(run.kind.supply_v, kind.supply_v):
            alike.add(run.name)
    return tuple(run.name for run in house.runs if run.name in alike)


def _supplies_of(house: House, runs: Collection[str]) -> set[str]:
    """The supplies that feed any of these runs, and those that feed nothing."""
    groups = connected(house.wires, whole)
    others = {groups.get(("run", run.name)) for run in house.runs if run.name not in runs}
    others -= {groups.get(("run", name)) for name in runs}
    kept = others - {None}
    return {each.name for each in house.supplies if groups.get(("supply", each.name)) not in kept}


def rerated(
    house: House, kind: Kind, supplies: Collection[str] | None = None
) -> tuple[House, tuple[str, ...]]:
    """The house with `supplies` (left out: all) that suit the kind, and what was changed, in words.

    A supply of another voltage becomes one of the kind's voltage, the same watts and the same
    efficiency, which the note says; its resistance keeps the same share of the load's.
    """
    made, notes = [], []
    for supply in house.supplies:
        left = supplies is not None and supply.name not in supplies
        if left or limits().suits(supply.volts, kind.supply_v):
            made.append(supply)
            continue
        ratio = kind.supply_v / supply.volts
        new = replace(
            supply,
            volts=kind.supply_v,
            rated_a=supply.rated_a / ratio,
            source_ohm=supply.source_ohm * ratio**2,
        )
        made.append(new)
        notes.append(
            f"supply {supply.name} taken as {_rating(new)} instead of {_rating(supply)}: the "
            f"same watts and efficiency of {supply.efficiency:.0%}; wires and fuses as they are"
        )
    return replace(house, supplies=tuple(made)), (*notes, *_led_notes(kind))


def _led_notes(kind: Kind) -> tuple[str, ...]:
    if kind.leds_per_pixel == 1:
        return ()
    return (f"one pixel is {kind.leds_per_pixel} LEDs that light together",)


def _run_note(old: Run, new: Run, kind: Kind, replaced: bool, units: str) -> str | None:
    """What happened to a run beside its kind, or None where that is all."""
    if not replaced:
        return (
            f"run {old.name}, a {old.kind.mount} of {old.kind.name}, stays as it is: "
            f"{kind.name} is a {kind.mount}"
        )
    parts = []
    if old.kind.mount != kind.mount:
        parts.append(
            f"a {old.kind.mount} of {old.kind.name}, replaced by a {kind.mount} of {kind.name}"
        )
    if new.count != old.count:
        parts.append(
            f"{count(old.count)} pixels become {count(new.count)} on the same"
            f" {about_text(old.length_m, units)}"
        )
    return f"run {old.name}: {'; '.join(parts)}" if parts else None


def _rating(supply: Supply) -> str:
    return f"{supply.volts:g} V {rating_text(supply.volts, supply.rated_a)}"
