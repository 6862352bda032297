"""From the entries of a sightings file to sightings of a house."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from layouts.addresses import addresses
from layouts.fault_entries import wire_of
from layouts.files.names import did_you_mean
from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.points import pad, run_slice, split_end
from layouts.records import House
from layouts.sightings import LOOKS, SEEN_KEYS, Sighting

if TYPE_CHECKING:
    from layouts.sightings_schema import SeenEntry, SightingsFile

#: [share] a reading may stand above the highest supply before it cannot be: supplies are turned up.
_ABOVE = 1.15
#: Which of the other keys each key needs and may have.
_NEEDS = {
    **{"volts": ("at",), "bridge": ("then",), "swap": ("then",), "fuse": ("then",)},
    **{"new_fuse": ("then",), "continuity": ("at", "then"), "ohms": ("at",)},
}
#: What may come of what is tried; lit or dark of all else.
_COMES = {
    "fuse": ("whole", "blown"),
    "new_fuse": ("holds", "blows"),
    "continuity": ("whole", "open"),
}
_MAY: dict[str, tuple[str, ...]] = {"watts": ("at",), **{look: ("onwards",) for look in LOOKS}}


class _WrongSighting(ValueError):
    """What is wrong with what a key of an entry says; what to do after a semicolon."""


def seen_of(
    file: SightingsFile, house: House, refusals: Refusals, told: set[Path]
) -> tuple[Sighting, ...]:
    """The sightings of every entry; the others are refused, once if `told` of already."""
    found: list[Sighting] = []
    for index, entry in enumerate(file.seen):
        at = ("seen", index)
        wrong = list(_shape(entry))
        if wrong:
            for key, what, do in () if at in told else wrong:
                refusals.add((*at, *key), what, do, key=bool(key))
            continue
        what = next(key for key in SEEN_KEYS if getattr(entry, key) is not None)
        try:
            found.append(_sighting(entry, what, house))
        except _WrongPoint as error:
            refusals.add_error((*at, "at"), error)
        except ValueError as error:
            refusals.add_error((*at, what), error)
    if not found and not file.seen:
        refusals.add(("seen",), "nothing was seen", "write what is dark, lit or measured")
    return tuple(found)


class _WrongPoint(_WrongSighting):
    """The same of the key `at`."""


def _shape(entry: SeenEntry) -> Iterator[tuple[Path, str, str]]:
    """Which keys an entry has that do not go together, or lacks."""
    kinds = [key for key in SEEN_KEYS if getattr(entry, key) is not None]
    if len(kinds) != 1:
        what = f"an entry with {' and '.join(kinds)}" if kinds else "an entry that says nothing"
        yield (), what, f"write one of {', '.join(SEEN_KEYS)}"
        return
    kind = kinds[0]
    needs, may = _NEEDS.get(kind, ()), _MAY.get(kind, ())
    given = {key: getattr(entry, key) is not None for key in ("at", "then")}
    given["onwards"] = entry.onwards
    for key, there in given.items():
        if key in needs and not there:
            yield (), f"'{kind}' needs '{key}'", "add it"
        elif there and key not in needs and key not in may:
            yield (key,), f"'{kind}' has no '{key}'", "remove it"
    fitting = _COMES.get(kind, ("lit", "dark"))
    if entry.then is not None and "then" in needs and entry.then not in fitting:
        yield ("then",), f"'{kind}' cannot be '{entry.then}'", f"write {' or '.join(fitting)}"
    if entry.during == "off" and kind not in ("volts", "watts"):
        yield ("during",), f"'{kind}' while nothing is shown says nothing", "measure, or show white"


def _sighting(entry: SeenEntry, what: str, house: House) -> Sighting:
    none = np.zeros(0, dtype=int)
    if what == "volts":
        assert entry.volts is not None
        assert entry.at is not None
        return Sighting(
            *(what, entry.at, none, _volts(entry.volts, house), point_of(entry.at, house)),
            during=entry.during,
        )
    if what == "ohms":
        assert entry.ohms is not None
        assert entry.at is not None
        if entry.ohms < 0:
            raise _WrongSighting(
                f"{entry.ohms:g} Ω: + and − of the meter are the wrong way round; write it above 0"
            )
        return Sighting(what, entry.at, none, entry.ohms, point_of(entry.at, house))
    if what == "watts":
        if entry.at not in (None, "wall"):
            raise _WrongPoint(f"watts are read at the wall, not at '{entry.at}'; write at: wall")
        assert entry.watts is not None
        if entry.watts < 0:
            raise _WrongSighting(f"{entry.watts:g} W cannot be; a house takes power, it gives none")
        return Sighting(what, "wall", none, entry.watts, during=entry.during)
    if what == "continuity":
        return _continuity(entry, house)
    text = getattr(entry, what)
    if what == "swap":
        names = [output.name for output in house.outputs]
        if text not in names:
            raise _WrongSighting(f"unknown output '{text}'; {did_you_mean(text, names)}")
        return Sighting(
            what, text, none, output=names.index(text), then=entry.then, during=entry.during
        )
    if what in ("fuse", "new_fuse"):
        wire = wire_of(text, house)
        if wire is None:
            raise _WrongSighting(f"'{text}' is no wire; write it like 'loft → gable[70]'")
        if house.wires[wire].fuse_a is None:
            raise _WrongSighting(f"wire {house.wires[wire].label} has no fuse; write another wire")
        return Sighting(what, text, none, wire=wire, then=entry.then, during=entry.during)
    pixels = pixels_of(text, house)
    if what == "bridge" and len(pixels) != 1:
        raise _WrongSighting(f"'{text}' is no single pixel; write it like 'gable[75]'")
    if entry.onwards:
        if len(pixels) != 1:
            raise _WrongSighting(
                f"'{text}' with 'onwards' must be one pixel; write it like 'gable[75]'"
            )
        pixels = behind(int(pixels[0]), house)
    return Sighting(what, text, pixels, then=entry.then, during=entry.during)


def _continuity(entry: SeenEntry, house: House) -> Sighting:
    """That of a conductor of a wire, or into a pixel from the one before it."""
    assert entry.at is not None
    none = np.zeros(0, dtype=int)
    try:
        wire = wire_of(entry.at, house)
        pixels = none if wire is not None else pixels_of(entry.at, house)
    except ValueError as error:
        raise _WrongPoint(str(error)) from None
    if wire is not None and entry.continuity == "data":
        raise _WrongPoint(f"wire {house.wires[wire].label} carries no data; write plus or minus")
    if wire is None and len(pixels) != 1:
        raise _WrongPoint(f"'{entry.at}' is no single pixel or wire; write it like 'gable[75]'")
    made = Sighting("continuity", entry.at, pixels, wire=wire, then=entry.then)
    return replace(made, conductor=entry.continuity, during=entry.during)


def _volts(value: float, house: House) -> float:
    if value < 0:
        raise _WrongSighting(
            f"{value:g} V: + and − of the meter are the wrong way round; write it above 0"
        )
    most = max((supply.volts for supply in house.supplies), default=0.0)
    if value > most * _ABOVE:
        raise _WrongSighting(
            f"{value:g} V are more than the {most:g} V of any supply; read it again, on DC volts"
        )
    return value


def behind(pixel: int, house: House) -> np.ndarray:
    """That pixel and all that get their data through it, as indices into House.pixels."""
    where = addresses(house)
    if where.output[pixel] < 0:
        run = house.runs[house.pixels.run[pixel]]
        return np.arange(pixel, run.first + run.count)
    same = np.flatnonzero(where.output == where.output[pixel])
    order = same[np.argsort(where.place[same])]
    return order[where.place[order] >= where.place[pixel]]


def pixels_of(text: str, house: House) -> np.ndarray:
    """The pixels of `gable`, `gable[3]`, `gable[3:9]`, or of a zone. Raises ValueError."""
    part = run_slice(text)
    names = [run.name for run in house.runs]
    if part.name not in names:
        if part.name in house.zones and part.first is None and part.last is None:
            return np.sort(house.zones[part.name].pixels)
        known = [*names, *house.zones]
        raise _WrongSighting(f"unknown run or zone '{part.name}'; {did_you_mean(part.name, known)}")
    run = house.run(part.name)
    first = 0 if part.first is None else part.first
    last = run.count if part.last is None else part.last
    if not 0 <= first < last <= run.count:
        raise _WrongSighting(
            f"'{text}' is outside run '{run.name}'; its pixels are 0 to {run.count - 1}"
        )
    there = first + np.flatnonzero(run.has_pixel[first:last])
    if not len(there):
        raise _WrongSighting(f"'{text}' is cut out of run '{run.name}'; name pixels that are there")
    return run.first + there


def point_of(text: str, house: House) -> tuple[str, str, int]:
    """Where a meter was held: a supply, a junction, or a pad of a run. Raises ValueError."""
    supplies = [supply.name for supply in house.supplies]
    ends = [end for wire in house.wires for end in (wire.start, wire.end)]
    junctions = sorted({end.name for end in ends if end.kind == "junction"})
    if text in supplies:
        return "supply", text, 0
    if text in junctions:
        return "junction", text, 0
    name, point = split_end(text)
    runs = [run.name for run in house.runs]
    if name not in runs:
        raise _WrongPoint(
            f"no place '{text}'; {did_you_mean(name, [*supplies, *junctions, *runs])}"
        )
    if point is None:
        raise _WrongPoint(f"'{text}' is a run; write {text}.start, {text}.end or {text}[40]")
    run = house.run(name)
    try:
        number = pad(run, point, house.units)
    except ValueError as error:
        raise _WrongPoint(str(error)) from None
    # An end pad that no wire uses has the voltage of its pixel.
    used = any(e.kind == "run" and e.name == name and e.pad == number for e in ends)
    if number in (0, run.count + 1) and not used:
        number = 1 if number == 0 else run.count
    return "run", name, number
