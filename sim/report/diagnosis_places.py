"""Where on the drawn house a suspect stands, and where something was measured or tried."""

from __future__ import annotations

import numpy as np

from layouts import spot_xy_m
from layouts.records import House, WireEnd
from layouts.sightings import LOOKS, Sighting
from sim.upkeep.diagnosis import Suspect

_Metres = tuple[float, float]


def place_of_suspect(suspect: Suspect, house: House) -> _Metres | None:
    """[m] of the first fault of its first cause; None where the house does not say."""
    fault = suspect.fault
    if fault.run is not None:
        return _pad(house, fault.run, (fault.position or 0) + 1)
    if fault.wire is not None:
        return _wire(house, fault.wire)
    return _supply(house, str(fault.supply))


def place_of_test(seen: Sighting, house: House) -> _Metres | None:
    """[m] of a reading or trial; None of looks, of what was read at the wall, and the unsaid."""
    if seen.what in LOOKS:
        return None
    if seen.at is not None:
        kind, name, pad = seen.at
        return _end(WireEnd(kind, name, pad, name), house)  # type: ignore[arg-type]
    if seen.wire is not None:
        return _wire(house, seen.wire)
    if seen.output is not None:
        return _pad(house, house.outputs[seen.output].chain[0], 1)
    if len(seen.pixels):
        x, y = house.pixels.xy_m[int(seen.pixels[0])].tolist()
        return x, y
    return None


def _pad(house: House, name: str, pad: int) -> _Metres:
    run = house.run(name)
    x, y = house.pixels.xy_m[run.first + int(np.clip(pad - 1, 0, run.count - 1))].tolist()
    return x, y


def _supply(house: House, name: str) -> _Metres | None:
    supply = next(each for each in house.supplies if each.name == name)
    hangs = spot_xy_m(house, supply.at)
    if hangs is not None:
        return hangs
    # It does not say where it hangs: where its first wire ends.
    for number, wire in enumerate(house.wires):
        if wire.start.kind == "supply" and wire.start.name == name:
            return _wire(house, number)
    return None


def _end(end: WireEnd, house: House) -> _Metres | None:
    if end.kind == "run":
        return _pad(house, end.name, int(end.pad or 0))
    if end.kind == "supply":
        return _supply(house, end.name)
    beside = [
        _pad(house, other.name, int(other.pad or 0))
        for wire in house.wires
        for end_, other in ((wire.start, wire.end), (wire.end, wire.start))
        if end_.kind == "junction" and end_.name == end.name and other.kind == "run"
    ]
    if not beside:
        return None
    x, y = np.mean(beside, axis=0).tolist()
    return x, y


def _wire(house: House, number: int) -> _Metres | None:
    """Its far end."""
    wire = house.wires[number]
    if wire.end.kind == "supply":
        return _end(wire.start, house)
    return _end(wire.end, house)
