"""Faults and sightings as their files write them: the way back of `fault_entries`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from layouts.faults import Fault
from layouts.files.emit import inline
from layouts.records import House


def faults_text(faults: Iterable[Fault], house: House, note: str = "") -> str:
    """A faults file that is read as exactly these faults of `house`."""
    told = [fault_entry(fault, house) for fault in faults]
    return _file("evenfall-faults/1", {"note": note} if note else {}, "faults", told)


def sightings_text(
    entries: Iterable[Mapping[str, Any]], scheme: str | None = None, note: str = ""
) -> str:
    """A sightings file with these entries; `scheme` is the scheme file as named from its folder."""
    head = {"note": note} if note else {}
    if scheme:
        head["scheme"] = scheme
    return _file("evenfall-sightings/1", head, "seen", list(entries))


def fault_entry(fault: Fault, house: House) -> Mapping[str, Any]:
    """One entry of a faults file."""
    kind = fault.kind
    made: dict[str, Any] = {}
    if kind in ("dark", "dead", "stuck", "garbage"):
        made[kind] = f"{fault.run}[{fault.position}]"
        if fault.colour is not None:
            made["colour"] = "#{:02x}{:02x}{:02x}".format(*fault.colour)
    elif kind in ("off", "sag", "hiccup"):
        made[kind] = fault.supply
        made |= _given(volts=fault.volts, on=fault.on_s, pause=fault.pause_s)
    elif kind == "open":
        made |= {"open": fault.conductor, "at": place_text(fault, house)}
    else:
        made[kind] = place_text(fault, house)
        made |= _given(ohm=fault.ohm, conductor=fault.conductor)
    return made


def place_text(fault: Fault, house: House) -> str:
    """Where a fault is, as its file writes it: `gable[40]`, `gable.end`, `loft → gable[70]`."""
    if fault.wire is not None:
        return wire_text(fault.wire, house)
    run = house.run(str(fault.run))
    if fault.position == run.count:
        return f"{run.name}.end"
    return f"{run.name}[{fault.position}]"


def wire_text(wire: int, house: House) -> str:
    """A wire as files name it; of several between the same ends the second with ` #2`."""
    label = house.wires[wire].label
    same = [w for w, each in enumerate(house.wires) if each.label == label]
    return label if len(same) == 1 else f"{label} #{same.index(wire) + 1}"


def _given(**values: Any) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value is not None}


def _file(
    form: str, head: Mapping[str, Any], key: str, entries: Iterable[Mapping[str, Any]]
) -> str:
    lines = [f"format: {form}", *(f"{name}: {inline(value)}" for name, value in head.items())]
    told = [f"  - {inline(each)}" for each in entries]
    return "\n".join([*lines, f"{key}:" if told else f"{key}: []", *told]) + "\n"
