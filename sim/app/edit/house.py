"""From the data of a draft to the house: whole, or what has changed on the house before it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from weakref import WeakKeyDictionary

from layouts.addresses import MAX_UNIVERSE, SLOTS, first_slots, overlaps
from layouts.change import change
from layouts.drawing import build_drawing
from layouts.errors import InputError
from layouts.files.recovery import Recovery
from layouts.files.refusals import Refusals
from layouts.files.written import PlainData
from layouts.known import Known
from layouts.load import house_of
from layouts.records import Drawing, House
from layouts.schema import DrawingEntry

#: What each house was made of, to see what differs. Forgetting it costs time and nothing else.
_DATA_OF: WeakKeyDictionary[House, tuple[Mapping[str, Any], str]] = WeakKeyDictionary()

_LISTS = ("runs", "supplies", "wires", "outputs", "places", "routes")
#: What can be changed on a house that is there; all else is read anew.
_QUICK = {*_LISTS, "zones", "drawing"}


def house_from_data(data: Mapping[str, Any], file: str, before: House | None = None) -> House:
    """The house that `data` describes. Raises InputError with all that is wrong.

    `before` is a house made by this function; what its data has in common is taken over.
    """
    house = _changed(data, file, before) if before is not None else None
    if house is None:
        house = house_of(PlainData(data, file), Known())
    _DATA_OF[house] = (data, file)
    return house


def _changed(data: Mapping[str, Any], file: str, before: House) -> House | None:
    """`before` with what differs changed; None where it is to be read anew, or refused."""
    old, its_file = _DATA_OF.get(before, (None, ""))
    if old is None or its_file != file or data.get("measures") or old.get("measures"):
        return None
    keys = {key for key in {*old, *data} if not _alike(old.get(key), data.get(key))}
    if not keys:
        return before
    if not keys <= _QUICK or data.get("units") != old.get("units"):
        return None
    zones = data.get("zones") or {}
    if "size" not in data["drawing"] and keys & {"drawing", "runs"}:
        return None  # the picture is as large as what is in it
    sections: dict[str, Any] = {
        key: _entries(data.get(key) or [], old.get(key) or [], getattr(before, key))
        for key in keys.intersection(_LISTS)
    }
    if "zones" in keys:
        sections["zones"] = {**dict.fromkeys(old.get("zones") or {}), **zones}
    try:
        drawing = before.drawing
        if "drawing" in keys:
            found = _drawing(data["drawing"], old["drawing"], before)
            if found is None:
                return None
            drawing = found
        house = change(before, **sections) if sections else before
    except InputError:
        return None  # told anew, with all that is wrong
    if [name for name in house.zones if name in zones] != list(zones):
        return None
    if keys & {"runs", "outputs"} and not _addressed(house):
        return None
    return house if drawing is before.drawing else replace(house, drawing=drawing)


def _addressed(house: House) -> bool:
    """Whether the addresses of the outputs are such as a file may have."""
    runs = {run.name: run for run in house.runs}
    last = [int(first_slots(each, runs)[-1]) for each in house.outputs if each.universe is not None]
    return max(last, default=0) < MAX_UNIVERSE * SLOTS and not overlaps(house.outputs, runs)


def _alike(one: Any, other: Any) -> bool:
    return one is other or bool(one == other)


def _entries(new: list[Any], old: list[Any], records: tuple[Any, ...]) -> list[Any]:
    """`new`, with the record in the place of every entry that has not changed."""
    known = {id(entry): record for entry, record in zip(old, records, strict=True)}
    left = [entry for entry in zip(old, records, strict=True)]
    made = []
    for entry in new:
        record = known.get(id(entry))
        if record is None:
            record = next((known for was, known in left if was == entry), None)
        made.append(entry if record is None else record)
    return made


def _drawing(data: Mapping[str, Any], old: Mapping[str, Any], before: House) -> Drawing | None:
    """The drawing with its changed surfaces built, the others taken over; None if more changed."""
    rest = {key for key in {*data, *old} if not _alike(data.get(key), old.get(key))}
    if rest != {"surfaces"}:
        return None
    entries = data.get("surfaces") or []
    kept = _entries(entries, old.get("surfaces") or [], before.drawing.surfaces)
    names = [entry["name"] for entry in entries]
    if len(set(names)) < len(names):
        return None
    new = [entry for entry, record in zip(entries, kept, strict=True) if entry is record]
    part = {"size": data["size"], "surfaces": new}
    written = PlainData(part)
    made: Recovery[Any] = Recovery(written, None)
    try:
        model = DrawingEntry.model_validate(part, context={"units": before.units, "wires": ()})
    except ValueError:
        return None
    refusals = Refusals(made)
    built = build_drawing(model, before.runs, Known(), refusals)
    refusals.raise_any()
    fresh = iter(built.surfaces)
    surfaces = tuple(
        next(fresh) if entry is record else record
        for entry, record in zip(entries, kept, strict=True)
    )
    return replace(before.drawing, surfaces=surfaces)
