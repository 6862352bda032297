"""From the entries of a faults file to faults of a house."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from layouts.faults import HICCUP_S, KINDS, Fault
from layouts.files.names import did_you_mean
from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.points import length_at, pad, run_slice, split_end
from layouts.records import House, Run

if TYPE_CHECKING:
    from layouts.faults_schema import FaultEntry, FaultsFile

#: What each kind needs and what it may have beside.
_NEEDS = {"stuck": ("colour",), "open": ("at",), "joint": ("ohm",), "sag": ("volts",)}
_MAY = {"joint": ("conductor",), "short": ("ohm",), "hiccup": ("on", "pause")}
_BESIDE = ("at", "ohm", "conductor", "volts", "colour", "on", "pause")
_OF_PIXELS = ("dark", "dead", "stuck", "garbage")
#: [Ω] of a short that says nothing else: metal on metal; common practice, no source.
_SHORT_OHM = 0.02


class _Wrong(ValueError):
    """What is wrong with what a key of an entry says; what to do after a semicolon."""


def faults_of(
    file: FaultsFile, house: House, refusals: Refusals, told: set[Path]
) -> tuple[Fault, ...]:
    """The faults of every entry; the others are refused, once if `told` of already."""
    found: list[Fault] = []
    for index, entry in enumerate(file.faults):
        at = ("faults", index)
        wrong = list(_shape(entry))
        if wrong:
            for where, what, do in () if at in told else wrong:
                refusals.add((*at, *where), what, do, key=bool(where))
            continue
        kind = next(kind for kind in KINDS if getattr(entry, kind) is not None)
        key = "at" if kind == "open" else kind
        try:
            found += _fault(entry, kind, getattr(entry, key), house)
        except ValueError as error:
            refusals.add_error((*at, key), error)
    return tuple(found)


def _shape(entry: FaultEntry) -> Iterator[tuple[Path, str, str]]:
    """Which keys an entry has that do not go together, or lacks: the key, what, and what to do."""
    kinds = [kind for kind in KINDS if getattr(entry, kind) is not None]
    if len(kinds) != 1:
        what = f"an entry with {' and '.join(kinds)}" if kinds else "an entry that breaks nothing"
        yield (), what, f"write one of {', '.join(KINDS)}"
        return
    kind = kinds[0]
    needs, may = _NEEDS.get(kind, ()), _MAY.get(kind, ())
    for key in _BESIDE:
        given = getattr(entry, key) is not None
        if key in needs and not given:
            yield (), f"'{kind}' needs '{key}'", "add it"
        elif given and key not in needs and key not in may:
            yield (key,), f"'{kind}' has no '{key}'", "remove it"


def _fault(entry: FaultEntry, kind: str, text: str, house: House) -> Iterator[Fault]:
    if kind in _OF_PIXELS:
        run, first, last = _pixels(text, house)
        colour = _codes(entry.colour) if entry.colour else None
        for position in range(first, last):
            if position in run.missing:
                raise _Wrong(f"pixel {position} of run '{run.name}' is cut out; leave it out here")
            yield Fault(kind, run.name, position, colour=colour)  # type: ignore[arg-type]
        return
    if kind in ("off", "sag", "hiccup"):
        names = [supply.name for supply in house.supplies]
        if text not in names:
            raise _Wrong(f"unknown supply '{text}'; {did_you_mean(text, names)}")
        made = Fault(kind, supply=text)  # type: ignore[arg-type]
        if kind == "sag":
            made = replace(made, volts=entry.volts)
            usual = next(supply.volts for supply in house.supplies if supply.name == text)
            if (entry.volts or 0.0) > usual:
                raise _Wrong(f"{entry.volts:g} V are more than the {usual:g} V of '{text}'")
        if kind == "hiccup":
            made = replace(made, on_s=entry.on or HICCUP_S[0], pause_s=entry.pause or HICCUP_S[1])
        yield made
        return
    wire = wire_of(text, house)
    if kind == "blown":
        if wire is None:
            raise _Wrong(_no_wire(text, house))
        if house.wires[wire].fuse_a is None:
            raise _Wrong(f"wire {house.wires[wire].label} has no fuse; write another wire")
        yield Fault("blown", wire=wire)
        return
    ohm = entry.ohm if kind != "short" or entry.ohm is not None else _SHORT_OHM
    conductor = entry.open if kind == "open" else entry.conductor
    made = Fault(kind, conductor=conductor, ohm=ohm)  # type: ignore[arg-type]
    if wire is not None:
        if conductor == "data":
            raise _Wrong(f"'{text}' is a power wire and carries no data; write a place of a run")
        yield replace(made, wire=wire)
        return
    run, position = _place(text, house, at_pixel=kind == "short")
    if conductor != "data" and position in (0, run.count) and kind != "short":
        _refuse_bare_end(run, position, house)
    yield replace(made, run=run.name, position=position)


def _pixels(text: str, house: House) -> tuple[Run, int, int]:
    """Run, first and one behind last of `gable[3]` or `gable[3:6]`."""
    part = run_slice(text)
    run = _run(part.name, house)
    if part.first is None and part.last is None:
        raise _Wrong(f"'{text}' names no pixel; write it like '{run.name}[3]'")
    first = part.first if part.first is not None else 0
    last = part.last if part.last is not None else run.count
    if not 0 <= first < last <= run.count:
        raise _Wrong(f"'{text}' is outside run '{run.name}'; its pixels are 0 to {run.count - 1}")
    return run, first, last


def _place(text: str, house: House, *, at_pixel: bool) -> tuple[Run, int]:
    """The run and the position before which something is, or of the pixel at which it is."""
    name, point = split_end(text)
    run = _run(name, house)
    if point is None:
        do = f"write {name}[40], {name}.start or {name}@2.5 m"
        raise _Wrong(f"'{text}' is a run, or part of a wire; {do}")
    number = pad(run, point, house.units)
    if at_pixel:
        return run, min(max(number - 1, 0), run.count - 1)
    if point.startswith("@"):
        boundary = round(length_at(point, house.units) / run.pitch_m)
        return run, min(boundary, run.count)
    return run, 0 if number == 0 else number - 1


def _run(name: str, house: House) -> Run:
    names = [run.name for run in house.runs]
    if name not in names:
        raise _Wrong(f"unknown run '{name}'; {did_you_mean(name, names)}")
    return house.run(name)


def _refuse_bare_end(run: Run, position: int, house: House) -> None:
    """Refuses a break between an end pad and its pixel where no wire is on that pad."""
    number = 0 if position == 0 else run.count + 1
    ends = [end for wire in house.wires for end in (wire.start, wire.end)]
    if not any(e.kind == "run" and e.name == run.name and e.pad == number for e in ends):
        which = "start" if position == 0 else "end"
        raise _Wrong(
            f"no wire is on the {which} of run '{run.name}', so nothing flows there; "
            "write a position between two pixels"
        )


def wire_of(text: str, house: House) -> int | None:
    """The wire that `text` names as reports do, `loft → gable[70]`; the second such with ` #2`."""
    plain, _, number = text.partition(" #")
    if "→" not in plain and "->" not in plain:
        return None
    wanted = _ends(plain)
    found = [w for w, wire in enumerate(house.wires) if _ends(wire.label) == wanted]
    if not found:
        raise _Wrong(_no_wire(text, house))
    if len(found) == 1 and not number:
        return found[0]
    if not number:
        raise _Wrong(f"{len(found)} wires are called '{plain}'; write '{plain} #1'")
    if not number.isdecimal() or len(number) > 9 or not 1 <= int(number) <= len(found):
        raise _Wrong(f"there is no '{text}'; write '{plain} #1' to '{plain} #{len(found)}'")
    return found[int(number) - 1]


def _ends(label: str) -> tuple[str, ...]:
    return tuple("".join(end.split()) for end in label.replace("->", "→").split("→"))


def _no_wire(text: str, house: House) -> str:
    return f"no wire '{text}'; {did_you_mean(text, [wire.label for wire in house.wires])}"


def _codes(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
