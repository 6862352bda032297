"""Reading a house file into a House."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from layouts.build import Before, build
from layouts.catalogue import kinds, materials, profiles, wire_sizes
from layouts.entries import entry_of
from layouts.errors import InputError, Problem
from layouts.files.document import read
from layouts.files.recovery import recover
from layouts.files.refusals import Refusals
from layouts.files.written import PlainData, Written
from layouts.known import Known
from layouts.measures import read_measures
from layouts.records import House, Kind, WireSize
from layouts.units import METRES

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
    return house_of(read(path), Known())


def house_from(data: Mapping[str, Any], *, file: str = "") -> House:
    """The house that `data` describes: the mapping that a file holds, as plain Python.

    Bare lengths are in `data["units"]`, `format` may be left out. A record may stand where a file
    names a part of the catalogue, and for an item of a list (`supplies: [Supply(…)]`). `file` is
    what the house is said to come from; its photograph lies beside it. Raises InputError with
    every problem, each by its path.
    """
    known = Known()
    given: dict[str, Any] = {
        key: [entry_of(each) for each in value] if isinstance(value, list | tuple) else value
        for key, value in {"format": "evenfall-house/1", **data}.items()
    }
    if isinstance(given.get("kinds"), Mapping):
        given["kinds"] = without_records(given["kinds"], known)
    return house_of(PlainData(known.taken_out(given), file), known)


def without_records(entries: Mapping[str, Any], known: Known) -> dict[str, Any]:
    """The kinds that are not records already; those that are become `known` by their key."""
    for name, each in entries.items():
        if isinstance(each, Kind):
            known.own[Kind][name] = each if each.name == name else replace(each, name=name)
    return {name: each for name, each in entries.items() if not isinstance(each, Kind)}


def house_of(written: Written, known: Known, before: Before | None = None) -> House:
    """The house that somebody wrote, in a file or in code. Raises InputError."""
    units = written.data.get("units") if isinstance(written.data, dict) else None
    if units is None or (isinstance(units, str) and units in METRES):
        return _house_in(units or "m", written, known, before)
    # What bare lengths are is not known: what is wrong is what is wrong in whichever unit.
    found = [_problems_in(unit, written, known, before) for unit in METRES]
    raise InputError([each for each in found[0] if all(each in other for other in found)])


def _problems_in(
    unit: str, written: Written, known: Known, before: Before | None
) -> Sequence[Problem]:
    try:
        _house_in(unit, written, known, before)
    except InputError as error:
        return error.problems
    return ()


def _house_in(unit: str, written: Written, known: Known, before: Before | None) -> House:
    """The house, bare lengths in `unit`. Raises InputError."""
    from layouts.schema import HouseFile

    measures, troubles = read_measures(written)
    context = {"units": unit, "measures": measures, "wires": known.own[WireSize]}
    made = recover(written, HouseFile, context, _FALLBACK)
    made.problems += troubles
    if made.model is None:
        raise InputError(made.problems)
    return build(made.model, known, Refusals(made), before)


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
