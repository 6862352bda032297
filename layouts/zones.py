"""From zone entries to zones: pixels in the order a layer travels them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from layouts.files.names import ALL
from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.points import run_slice
from layouts.records import Run, Zone


def build_zones(
    entries: Mapping[str, list[str]],
    runs: tuple[Run, ...],
    refusals: Refusals,
) -> dict[str, Zone]:
    """Every zone by name: the runs, `all`, and those of the file."""
    run_names = refusals.names("runs")
    by_name = {run.name: run for run in runs}
    zones = {run.name: zone(run.name, [(run, 0, run.count)]) for run in runs}
    zones[ALL] = zone(ALL, [(run, 0, run.count) for run in runs])
    for name, items in entries.items():
        path = ("zones", name)
        if name == ALL or name in run_names:
            what = (
                f"'{ALL}' is every pixel"
                if name == ALL
                else f"'{name}' is a run, so a zone already"
            )
            refusals.add(path, what, "choose another name", key=True)
            continue
        if not items:
            refusals.add(path, f"zone '{name}' names no run", "list runs, or remove it")
            continue
        parts = [
            _part(item, (*path, index), by_name, run_names, entries, refusals)
            for index, item in enumerate(items)
        ]
        made = zone(name, [part for part in parts if part is not None], tuple(items))
        if None not in parts:
            _check(made, path, refusals)
        zones[name] = made
    return zones


def _check(made: Zone, path: Path, refusals: Refusals) -> None:
    if len(made.pixels) == 0:
        what = f"zone '{made.name}' has only spare pixels, which stay dark"
        refusals.add(path, what, "add others, or remove it")
    elif len(np.unique(made.pixels)) < len(made.pixels):
        what = f"zone '{made.name}' has some pixels twice"
        refusals.add(path, what, "list every part of a run once")


def _part(
    text: str,
    path: Path,
    runs: Mapping[str, Run],
    run_names: list[str],
    entries: Mapping[str, list[str]],
    refusals: Refusals,
) -> tuple[Run, int, int] | None:
    try:
        part = run_slice(text)
    except ValueError as error:
        refusals.add_error(path, error)
        return None
    if part.name not in run_names:
        if part.name in entries or part.name == ALL:
            refusals.add(path, f"'{part.name}' is a zone, not a run", "list its runs")
        else:
            refusals.unknown_run(path, part.name)
        return None
    if part.name not in runs:
        return None  # complained about already
    run = runs[part.name]
    first = part.first if part.first is not None else 0
    last = part.last if part.last is not None else run.count
    if not 0 <= first < last <= run.count:
        what = f"'{text}' is outside run '{run.name}', which has {run.count} pixels"
        refusals.add(path, what, f"write '{run.name}[a:b]' with 0 ≤ a < b ≤ {run.count}")
        return None
    return run, first, last


def zone(name: str, parts: list[tuple[Run, int, int]], written: tuple[str, ...] = ()) -> Zone:
    """The zone of pixels `first` to `last` of each run, joined end to end.

    Spares are left out, and positions without a pixel, which keep their length of it.
    """
    pixels, along = [], []
    length_m = 0.0
    for run, begin, end in parts:
        first = max(begin, run.spares)
        count = max(end - first, 0)
        there = run.has_pixel[first : first + count]
        pixels.append(run.first + first + np.flatnonzero(there))
        along.append(length_m + (np.flatnonzero(there) + 0.5) * run.pitch_m)
        length_m += count * run.pitch_m
    made = Zone(
        name=name,
        pixels=np.concatenate(pixels) if pixels else np.zeros(0, dtype=int),
        along_m=np.concatenate(along) if along else np.zeros(0),
        length_m=length_m,
        parts=written,
    )
    made.pixels.flags.writeable = False
    made.along_m.flags.writeable = False
    return made
