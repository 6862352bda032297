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
    """The names of the runs, after refusing names given twice."""
    for section, entries in (("outputs", file.outputs), ("surfaces", file.drawing.surfaces)):
        seen: set[str] = set()
        at = ("drawing", "surfaces") if section == "surfaces" else (section,)
        for index, entry in enumerate(entries):
            if entry.name in seen:
                what = f"the name '{entry.name}' is given twice in {section}"
                refusals.add((*at, index, "name"), what, "choose another")
            seen.add(entry.name)
    ends: dict[str, str] = {}  # what a wire's end may be called
    for section, named in (("run", file.runs), ("supply", file.supplies)):
        for index, each in enumerate(named):
            if each.name in ends:
                what = f"the name '{each.name}' is given twice: a {ends[each.name]} has it already"
                plural = "runs" if section == "run" else "supplies"
                refusals.add((plural, index, "name"), what, "choose another")
            ends.setdefault(each.name, section)
    return {run.name for run in file.runs}


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
