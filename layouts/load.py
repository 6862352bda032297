"""Reading a house file into a House."""

from __future__ import annotations

import os
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from layouts.catalogue import kind_entries, kinds
from layouts.document import Document, check, read
from layouts.drawing import build_drawing
from layouts.inherit import KindError, kind, leaves, merged
from layouts.outputs import build_outputs
from layouts.records import House, Kind, Location
from layouts.refusals import Refusals
from layouts.runs import build_runs
from layouts.wiring import build_supplies, build_wires
from layouts.zones import build_zones

if TYPE_CHECKING:
    from layouts.schema import HouseFile


def load_house(path: str | os.PathLike[str]) -> House:
    """The house in the file at `path`.

    Raises InputError with every problem of the file, each at its line and column.
    """
    from layouts.schema import HouseFile

    document = read(path)
    units = document.data.get("units", "m") if isinstance(document.data, dict) else "m"
    file = check(document, HouseFile, context={"units": units})
    return build_house(file, document)


def house_schema() -> dict[str, Any]:
    """The JSON Schema of the house file, for editors that complete and check keys."""
    from layouts.schema import HouseFile

    return HouseFile.model_json_schema(by_alias=True)


def build_house(file: HouseFile, document: Document) -> House:
    """The house that a valid file describes, with every reference resolved."""
    refusals = Refusals(document)
    run_names = _names(file, refusals)
    whole, known = _kinds(file, refusals)
    runs, pixels = build_runs(file.runs, whole, known, refusals)
    zones = build_zones(file.zones, runs, run_names, refusals)
    wires = build_wires(file, runs, run_names, refusals)
    outputs = build_outputs(file.outputs, runs, run_names, refusals)
    drawing = build_drawing(file.drawing, refusals)
    refusals.raise_any()
    location = file.location
    return House(
        name=file.name,
        file=document.file,
        temperature_c=file.temperature_c,
        location=Location(**location.model_dump()) if location else None,
        drawing=drawing,
        runs=runs,
        zones=MappingProxyType(zones),
        supplies=build_supplies(file.supplies),
        wires=wires,
        outputs=outputs,
        pixels=pixels,
    )


def _names(file: HouseFile, refusals: Refusals) -> set[str]:
    """The names of the runs, after refusing names given twice.

    Runs and supplies share one space: a wire's end may name either.
    """
    surfaces = [each.name for each in file.drawing.surfaces]
    _once(surfaces, ("drawing", "surfaces"), "surface", {}, refusals)
    _once([each.name for each in file.outputs], ("outputs",), "output", {}, refusals)
    ends: dict[str, str] = {}
    _once([each.name for each in file.runs], ("runs",), "run", ends, refusals)
    _once([each.name for each in file.supplies], ("supplies",), "supply", ends, refusals)
    return {each.name for each in file.runs}


def _once(
    names: list[str], path: tuple[str, ...], what: str, taken: dict[str, str], refusals: Refusals
) -> None:
    """Refuses a name that is `taken` (name to what has it), and takes it."""
    for index, name in enumerate(names):
        if name in taken:
            problem = f"the name '{name}' is given twice: a {taken[name]} has it already"
            refusals.add((*path, index, "name"), problem, "choose another")
        taken.setdefault(name, what)


def _kinds(file: HouseFile, refusals: Refusals) -> tuple[dict[str, Kind], set[str]]:
    """Every kind that is whole, and every name there is for one."""
    written = {name: entry.model_dump(exclude_none=True) for name, entry in file.kinds.items()}
    entries: dict[str, Any] = {**kind_entries()}
    for name, entry in written.items():
        if name in entries:
            what = f"'{name}' is a kind of the catalogue"
            refusals.add(("kinds", name), what, "choose another name", key=True)
            continue
        said = {leaf: "written in the house file" for leaf in leaves(entry)}
        entries[name] = {**entry, "sources": said}
    whole = dict(kinds())
    for name in written:
        if name in whole:
            continue
        try:
            whole[name] = kind(name, merged(name, entries))
        except KindError as error:
            refusals.add(("kinds", name, *error.path), error.what, error.do)
    return whole, set(entries)
