"""Changing a house; the result is a new house in which everything fits together again.

Pixels, zones, addresses and the pads of wires follow what is changed. Whatever stays as it was is
taken over: a house whose wires, supplies or cuts change keeps its pixels.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from layouts import entries
from layouts.build import Before
from layouts.calibration import kept_with
from layouts.files.written import PlainData
from layouts.known import Known
from layouts.load import house_of, without_records
from layouts.records import Drawing, House, Kind, Output, Place, Route, Run, Supply, Wire
from layouts.spread_entries import spread_entry

#: The lists at the top of a house file, and the records of each.
_LISTS: dict[str, type] = {
    "runs": Run,
    "supplies": Supply,
    "wires": Wire,
    "outputs": Output,
    "places": Place,
    "routes": Route,
}


def change(house: House, **sections: Any) -> House:
    """The house with these sections of its file changed: `change(house, temperature_c=-10)`.

    A list (`runs`, `supplies`, `outputs`, `places`, `routes`, `wires`) is given whole, its items
    as a file writes them or as records: `wires=[*house.wires, {"from": …}]`. All but `wires` can
    also be given as a mapping by name, with the keys that change; None takes a thing away, a new
    name adds one: `runs={"gable": {"cuts": [75]}, "porch": None}`. `zones` is such a mapping too,
    of lists. Bare lengths are in the house's units. `measures` are what expressions in the same
    call are reckoned with; what is not given again keeps the numbers it has.

    Addresses that overlap afterwards are a finding; all else that a file would be refused for is
    refused: raises InputError, its problems by their path. Raises KeyError for the name of what is
    no section, or is to be taken away and is not there.
    """
    return _changed_house(house, Known(), sections)


def _changed_house(house: House, known: Known, sections: Mapping[str, Any]) -> House:
    known.own[Kind] |= entries.own_kinds(house)
    data = _data(house)
    before = {run["name"]: run for run in data["runs"]}
    if "kinds" in sections:
        _take_kinds(sections["kinds"], data, known)
    for name, value in sections.items():
        if name in _LISTS:
            data[name] = _changed_list(name, house, data[name], value)
        elif name == "zones":
            data[name] = {k: v for k, v in {**data[name], **value}.items() if v is not None}
        elif name == "drawing" and isinstance(value, Drawing):
            data[name] = entries.drawing_entry(value, house.file)
        elif name == "calibration":
            data[name] = [entries.entry_of(each) for each in value]
        elif name != "kinds":
            data[name] = value
    if "calibration" not in sections:
        data["calibration"] = _still_there(data)
    if "spread" not in sections and "spread" in data:
        data["spread"] = _reels_left(data)
    untouched = {
        run["name"] for run in data["runs"] if isinstance(run, dict) and run in before.values()
    }
    kept = Before(
        house,
        frozenset(untouched),
        drawing="drawing" not in sections,
        zones="zones" not in sections,
    )
    return house_of(PlainData(known.taken_out(data), house.file), known, kept)


def _data(house: House) -> entries.Entry:
    """The house as its file would have it; of the drawing only what the runs are held against."""
    data: entries.Entry = {
        "format": "evenfall-house/1",
        "name": house.name,
        "units": house.units,
        "measures": dict(house.measures),
        "temperature_c": house.temperature_c,
        "drawing": {"viewer": entries.length_entry(house.drawing.viewer_m)},
        "zones": entries.zone_entries(house),
    }
    for name in _LISTS:
        data[name] = [entries.entry_of(each) for each in getattr(house, name)]
    if house.history:
        data["history"] = entries.history_entries(house)
    data["calibration"] = [entries.entry_of(each) for each in house.calibration]
    if house.spread.said:
        data["spread"] = spread_entry(house.spread)
    if house.location is not None:
        data["location"] = vars(house.location).copy()
    return data


def _still_there(data: entries.Entry) -> list[entries.Entry]:
    """The calibration, without the supplies and runs that the change took away."""
    supplies, runs = (
        {each["name"] for each in data[name] if isinstance(each, Mapping) and "name" in each}
        for name in ("supplies", "runs")
    )
    left = [
        {**each, "runs": {name: kind for name, kind in each["runs"].items() if name in runs}}
        for each in kept_with(data["calibration"], supplies)
    ]
    return [each for each in left if each["runs"] or "supply" in each]


def _reels_left(data: entries.Entry) -> entries.Entry:
    """What was said of the spread, without runs that the change took away."""
    runs = {each["name"] for each in data["runs"] if isinstance(each, Mapping) and "name" in each}
    reels = [[run for run in reel if run in runs] for reel in data["spread"].get("reels", [])]
    return {**data["spread"], "reels": [reel for reel in reels if reel]}


def _changed_list(name: str, house: House, now: list[entries.Entry], value: Any) -> list[Any]:
    """The list `now` as `value` changes it."""
    if not isinstance(value, Mapping):
        taken_over = dict(zip(map(id, getattr(house, name)), now, strict=True))
        return [taken_over.get(id(each)) or entries.entry_of(each) for each in value]
    if name == "wires":
        raise KeyError("wires have no names; give the whole list: wires=[*house.wires, …]")
    made = {each["name"]: each for each in now}
    for called, keys in value.items():
        if keys is None:
            del made[called]
        elif isinstance(keys, _LISTS[name]):
            made[called] = entries.entry_of(keys)
        else:
            old = made.get(called, {"name": called})
            made[called] = {key: new for key, new in {**old, **keys}.items() if new is not None}
    return list(made.values())


def _take_kinds(changed: Mapping[str, Any], data: entries.Entry, known: Known) -> None:
    """Puts changed kinds in the place of those of the same name, in the runs too."""
    for name in changed:
        known.own[Kind].pop(name, None)
    written = {name: each for name, each in changed.items() if each is not None}
    data["kinds"] = without_records(written, known)
    data["runs"] = [
        {**run, "pixels": run["pixels"].name} if run["pixels"].name in changed else run
        for run in data["runs"]
    ]
