"""Reading a house file into a House."""

from __future__ import annotations

import os
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from layouts.catalogue import kind_entries, kinds, materials, profiles, wire_sizes
from layouts.drawing import build_drawing
from layouts.errors import InputError
from layouts.files.document import read
from layouts.files.names import ALL
from layouts.files.recovery import recover
from layouts.files.refusals import Refusals
from layouts.inherit import KindError, kind, leaves, merged
from layouts.outputs import build_outputs
from layouts.records import House, Kind, Location
from layouts.runs import build_runs, refuse_beyond
from layouts.units import METRES
from layouts.wiring import build_supplies, build_wires
from layouts.zones import build_zones

if TYPE_CHECKING:
    from layouts.schema import HouseFile


#: Stands in for what every house file needs, so that the rest of a broken one is looked at too.
_FALLBACK = {
    "format": "evenfall-house/1",
    "name": "house",
    "drawing": {"size": ["1 m", "1 m"]},
    "runs": [],
}


def load_house(path: str | os.PathLike[str]) -> House:
    """The house in the file at `path`.

    Raises InputError with every problem of the file, each at its line and column.
    """
    from layouts.schema import HouseFile

    document = read(path)
    units = document.data.get("units") if isinstance(document.data, dict) else None
    context = {"units": units if isinstance(units, str) and units in METRES else "m"}
    made = recover(document, HouseFile, context, _FALLBACK)
    if made.model is None:
        raise InputError(made.problems)
    return _build(made.model, Refusals(made))


def house_schema() -> dict[str, Any]:
    """The JSON Schema of the house file, for editors that complete and check keys.

    What names a part of the catalogue lists its names: closed for materials and profiles, as
    examples where a file may add its own.
    """
    from layouts.schema import HouseFile

    schema = HouseFile.model_json_schema(by_alias=True)
    keys = {name: each["properties"] for name, each in schema["$defs"].items()}
    keys["RunEntry"]["profile"]["enum"] = list(profiles())
    keys["SurfaceEntry"]["material"]["enum"] = list(materials())
    keys["RunEntry"]["pixels"]["examples"] = list(kinds())
    keys["KindEntry"]["like"]["examples"] = list(kinds())
    keys["WireEntry"]["wire"]["examples"] = list(wire_sizes())
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _build(file: HouseFile, refusals: Refusals) -> House:
    """The house that the sound part of a file describes, if all of it is sound."""
    _refuse_twins(file, refusals)
    whole, known = _kinds(file, refusals)
    runs, pixels = build_runs(file.runs, whole, known, refusals)
    zones = build_zones(file.zones, runs, refusals)
    wires = build_wires(file, runs, refusals)
    if refusals.complete("drawing"):
        refuse_beyond(file.runs, file.drawing.viewer, refusals)
    outputs = build_outputs(file.outputs, runs, refusals)
    drawing = build_drawing(file.drawing, refusals)
    refusals.raise_any()
    location = file.location
    return House(
        name=file.name,
        file=refusals.file,
        temperature_c=file.temperature_c,
        location=Location(**location.model_dump()) if location else None,
        drawing=drawing,
        runs=runs,
        zones=MappingProxyType(zones),
        supplies=build_supplies(file.supplies),
        wires=wires,
        outputs=outputs,
        pixels=pixels,
        kinds=MappingProxyType(whole),
    )


def _refuse_twins(file: HouseFile, refusals: Refusals) -> None:
    """Refuses names given twice. Runs and supplies share one space: a wire's end names either."""
    surfaces = [each.name for each in file.drawing.surfaces]
    _once(surfaces, ("drawing", "surfaces"), "surface", {}, refusals)
    _once([each.name for each in file.outputs], ("outputs",), "output", {}, refusals)
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


def _kinds(file: HouseFile, refusals: Refusals) -> tuple[dict[str, Kind], list[str]]:
    """Every kind that is whole, and every name there is for one, the file's own first."""
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
    return whole, [*refusals.keys("kinds"), *kind_entries()]
