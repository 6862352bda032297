"""From the model of a house to the house: every part, and whether they fit together."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from layouts.calibration_entries import build_calibration
from layouts.catalogue import kind_entries
from layouts.drawing import build_drawing
from layouts.files.names import ALL
from layouts.files.refusals import Refusals
from layouts.history import Mended
from layouts.inherit import KindError, kind, leaves, merged
from layouts.known import Known
from layouts.outputs import build_outputs
from layouts.places import build_places, build_routes, refuse_unknown_spots
from layouts.records import House, Kind, Location, placing
from layouts.runs import Placed, build_runs, refuse_beyond
from layouts.spread_entries import build_spread
from layouts.wiring import build_supplies, build_wires
from layouts.zones import build_zones

if TYPE_CHECKING:
    from layouts.schema import HouseFile


@dataclass(frozen=True)
class Before:
    """The house that is changed, and what of it stays as it is."""

    house: House
    untouched: frozenset[str]  # the runs that do
    drawing: bool = True  # whether the drawing does
    zones: bool = True


def build(file: HouseFile, known: Known, refusals: Refusals, before: Before | None) -> House:
    """The house that the sound part of what was written describes, if all of it is sound.

    Raises InputError.
    """
    _refuse_twins(file, refusals)
    whole, names = _kinds(file, known, refusals)
    old = None
    if before is not None:
        old = Placed(before.house.runs, before.house.pixels, before.untouched)
    placed = build_runs(file.runs, known, whole, names, refusals, old, file.units)
    runs = placed.runs
    named_as_before = before and [run.name for run in runs] == [r.name for r in before.house.runs]
    if before and named_as_before and before.zones and placed.pixels is before.house.pixels:
        zones = before.house.zones
    else:
        zones = MappingProxyType(build_zones(file.zones, runs, refusals))
    wires = build_wires(file, runs, known, refusals)
    if refusals.complete("drawing"):
        refuse_beyond(file.runs, file.drawing.viewer, file.units, refusals)
    outputs = build_outputs(file.outputs, runs, known, refusals, may_overlap=before is not None)
    routes = build_routes(file.routes, refusals)
    refuse_unknown_spots(file, refusals)
    calibration = build_calibration(file, refusals)
    spread = build_spread(file, refusals)
    if before and before.drawing:
        drawing = before.house.drawing
    else:
        drawing = build_drawing(file.drawing, runs, known, refusals)
    refusals.raise_any()
    location = file.location
    return House(
        name=file.name,
        file=refusals.file,
        temperature_c=file.temperature_c,
        location=Location(**location.model_dump()) if location else None,
        drawing=drawing,
        runs=runs,
        zones=zones,
        supplies=build_supplies(file.supplies),
        wires=wires,
        outputs=outputs,
        pixels=placed.pixels,
        kinds=MappingProxyType({name: each for name, each in whole.items() if name == each.name}),
        units=file.units,
        places=build_places(file.places),
        routes=routes,
        history=tuple(Mended(each.date, each.what) for each in file.history),
        calibration=calibration,
        spread=spread,
        measures=MappingProxyType(dict(file.measures)),
        placed=tuple(placing(run) for run in runs),
    )


def _refuse_twins(file: HouseFile, refusals: Refusals) -> None:
    """Refuses names given twice. Runs and supplies share one space: a wire's end names either."""
    surfaces = [each.name for each in file.drawing.surfaces]
    _once(surfaces, ("drawing", "surfaces"), "surface", {}, refusals)
    _once([each.name for each in file.outputs], ("outputs",), "output", {}, refusals)
    _once([each.name for each in file.places], ("places",), "place", {}, refusals)
    _once([each.name for each in file.routes], ("routes",), "route", {}, refusals)
    for index, run in enumerate(file.runs):
        if run.name == ALL:
            refusals.add(("runs", index, "name"), f"'{ALL}' is every pixel", "choose another name")
    ends: dict[str, str] = {}
    _once([each.name for each in file.runs], ("runs",), "run", ends, refusals)
    _once([each.name for each in file.supplies], ("supplies",), "supply", ends, refusals)


def _once(
    names: list[str], path: tuple[str, ...], what: str, taken: dict[str, str], refusals: Refusals
) -> None:
    """Refuses a name that is `taken` (name to what has it), and takes it."""
    for index, name in enumerate(names):
        if name in taken:
            whose = f"another {what}" if taken[name] == what else f"a {taken[name]}"
            problem = f"'{name}' is already the name of {whose}"
            refusals.add((*path, index, "name"), problem, "choose another")
        taken.setdefault(name, what)


def _kinds(file: HouseFile, known: Known, refusals: Refusals) -> tuple[dict[str, Kind], list[str]]:
    """Every kind that is whole, and every name there is for one, the file's own first."""
    written = {name: entry.model_dump(exclude_none=True) for name, entry in file.kinds.items()}
    entries: dict[str, Any] = {**kind_entries()}
    for name, entry in written.items():
        if name in known.kinds:
            what = f"'{name}' is a kind of the catalogue"
            refusals.add(("kinds", name), what, "choose another name", key=True)
            continue
        said = {leaf: "written in the house file" for leaf in leaves(entry)}
        entries[name] = {**entry, "sources": said}
    whole = dict(known.kinds)
    failed: dict[str, KindError] = {}
    for name in [name for name in written if name not in whole]:
        try:
            whole[name] = kind(name, merged(name, entries))
        except KindError as error:
            failed[name] = error
    lost = set(refusals.keys("kinds")) - written.keys()  # complained about already
    for name, why in failed.items():
        like = entries[name].get("like")
        if like not in lost and (like not in failed or why.path == ("like",)):
            refusals.add(("kinds", name, *why.path), why.what, why.do)
    return whole, [*refusals.keys("kinds"), *known.kinds]
