"""Changing one thing about a house; the result is a new house."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Literal

import numpy as np

from layouts.errors import EvenfallError
from layouts.place import across, along_path, count_and_pitch
from layouts.records import House, Kind, Run, Wire, WireEnd, Zone
from layouts.runs import MAX_PIXELS, pixels_of
from layouts.zones import zone


def with_kind(
    house: House,
    kind: Kind,
    keep: Literal["metres", "pixels"] = "metres",
    runs: Collection[str] | None = None,
) -> House:
    """The same house with `runs` (left out: every run) of another kind, same supplies and wires.

    keep : "metres": every run covers the path it covers, at the new kind's density; zones and the
        ends of wires stay where they are on the house, to the nearest pixel. "pixels": the same
        pixels in the same places, whatever the kind's pitch.
    Raises EvenfallError for more than `MAX_PIXELS`.
    """
    chosen = {run.name for run in house.runs} if runs is None else set(runs)
    if keep == "pixels":
        changed = (replace(run, kind=kind) if run.name in chosen else run for run in house.runs)
        return replace(house, runs=tuple(changed))
    new, first = [], 0
    for run in house.runs:
        if run.name in chosen:
            count, pitch_m = _density(run, kind)
            spares = min(run.spares, count - 1)
            run = replace(run, kind=kind, count=count, pitch_m=pitch_m, spares=spares)
        new.append(replace(run, first=first))
        first += run.count
    if first > MAX_PIXELS:
        raise EvenfallError(
            f"with {kind.name} the house has {first:,} pixels, more than {MAX_PIXELS:,}"
        )
    return _moved(house, new)


def _density(run: Run, kind: Kind) -> tuple[int, float]:
    """How many pixels of `kind` the run takes, and their pitch as mounted [m].

    A run that was filled is filled again; one whose pixels were spread stays spread, by the ratio
    of the pitches. A run shorter than one pitch keeps one pixel.
    """
    if run.kind.pitch_m == kind.pitch_m:
        return run.count, run.pitch_m
    if abs(run.pitch_m - run.kind.pitch_m) < 1e-9:
        count, pitch_m = count_and_pitch(run.length_m, kind, None)
        return (count, pitch_m) if count else (1, run.length_m)
    count = max(1, round(run.count * run.kind.pitch_m / kind.pitch_m))
    return count, run.count * run.pitch_m / count


def _moved(house: House, runs: list[Run]) -> House:
    """The house with these runs in place of its own; pixels, zones and wires follow."""
    places = []
    for run in runs:
        along_m = (np.arange(run.count) + 0.5) * run.pitch_m
        xy_m, directions = along_path(run.path_m, along_m)
        places.append((xy_m, across(run.aim, directions)[0], along_m))
    pairs = {old.name: (old, new) for old, new in zip(house.runs, runs, strict=True)}
    return replace(
        house,
        runs=tuple(runs),
        pixels=pixels_of(runs, places),
        zones={name: _zone(house, pairs, each) for name, each in house.zones.items()},
        wires=tuple(_wire(pairs, wire) for wire in house.wires),
    )


def _zone(house: House, pairs: dict[str, tuple[Run, Run]], old: Zone) -> Zone:
    """The zone over the same parts of the house."""
    run_of = house.pixels.run[old.pixels]
    breaks = np.flatnonzero((np.diff(old.pixels) != 1) | (np.diff(run_of) != 0)) + 1
    parts = []
    for piece in np.split(old.pixels, breaks) if len(old.pixels) else ():
        before, after = pairs[house.runs[house.pixels.run[piece[0]]].name]
        scale = before.pitch_m / after.pitch_m
        begin, end = int(piece[0]) - before.first, int(piece[-1]) + 1 - before.first
        first = 0 if begin <= before.spares else min(round(begin * scale), after.count - 1)
        last = after.count if end == before.count else min(round(end * scale), after.count)
        parts.append((after, first, max(last, first + 1)))
    return zone(old.name, parts)


def _wire(pairs: dict[str, tuple[Run, Run]], wire: Wire) -> Wire:
    return replace(wire, start=_end(pairs, wire.start), end=_end(pairs, wire.end))


def _end(pairs: dict[str, tuple[Run, Run]], end: WireEnd) -> WireEnd:
    """The pad nearest to where the wire ended."""
    if end.kind != "run" or end.pad == 0:
        return end
    before, after = pairs[end.name]
    if end.pad == before.count + 1:
        return replace(end, pad=after.count + 1)
    along_m = (end.pad - 0.5) * before.pitch_m
    pixel = int(np.clip(round(along_m / after.pitch_m - 0.5), 0, after.count - 1))
    text = f"{end.name}[{pixel}]" if "[" in end.text else end.text
    return replace(end, pad=pixel + 1, text=text)
