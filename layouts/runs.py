"""From run entries to runs and the arrays of every pixel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from layouts.catalogue import profiles
from layouts.files.refusals import Refusals
from layouts.place import (
    LEAST_ACROSS,
    across,
    aims_that_work,
    along_path,
    count_and_pitch,
    path_length_m,
)
from layouts.records import Kind, Pixels, Run

if TYPE_CHECKING:
    from layouts.schema import RunEntry

MAX_PIXELS = 200_000


def refuse_beyond(entries: list[RunEntry], viewer_m: float, refusals: Refusals) -> None:
    """Refuses runs that would hang behind whoever looks at the house."""
    for index, entry in enumerate(entries):
        if entry.standoff >= viewer_m:
            what = (
                f"run '{entry.name}' stands off {entry.standoff:g} m, beyond the viewer at"
                f" {viewer_m:g} m"
            )
            do = f"check the unit: '{entry.standoff:g} mm'?" if entry.standoff >= 10 else "check it"
            refusals.add(("runs", index, "standoff"), what, do)


def build_runs(
    entries: list[RunEntry], kinds: Mapping[str, Kind], known: list[str], refusals: Refusals
) -> tuple[tuple[Run, ...], Pixels]:
    """The runs in file order and their pixels.

    `kinds` are those that are whole, `known` every name a file may use for one: a kind that is
    known but not whole has been complained about already.
    """
    if not entries and refusals.complete("runs"):
        refusals.add(("runs",), "there are no runs", "add one")
    runs: list[Run] = []
    places: list[tuple[np.ndarray, np.ndarray, np.ndarray]] = []
    first = 0
    for index, entry in enumerate(entries):
        path = ("runs", index)
        if entry.profile not in profiles():
            refusals.unknown((*path, "profile"), "profile", entry.profile, profiles())
        if entry.pixels not in known:
            refusals.unknown((*path, "pixels"), "kind of pixel", entry.pixels, known)
        path_m = np.array(entry.path, dtype=float)
        length_m = path_length_m(path_m)
        if length_m <= 0:
            refusals.add(
                (*path, "path"), f"the path of run '{entry.name}' has no length", "move a point"
            )
            continue
        if entry.pixels not in kinds or entry.profile not in profiles():
            continue
        kind = kinds[entry.pixels]
        count, pitch_m = count_and_pitch(length_m, kind, entry.count)
        if count == 0:
            pitch = f"{pitch_m * 1000:.4g} mm"
            what = f"the path of run '{entry.name}' is shorter than one pitch of {pitch}"
            refusals.add((*path, "path"), what, "lengthen it, or give a 'count'")
            continue
        if entry.spare_first >= count:
            what = f"run '{entry.name}' has {count} pixels, all of them spare"
            refusals.add((*path, "spare_first"), what, f"write at most {count - 1}")
            continue
        if first + count > MAX_PIXELS:
            what = f"more than {MAX_PIXELS:,} pixels with run '{entry.name}'"
            refusals.add(path, what, "leave some out")
            break
        along_m = (np.arange(count) + 0.5) * pitch_m
        xy_m, directions = along_path(path_m, along_m)
        aim, left = across(entry.aim, directions)
        if left < LEAST_ACROSS:
            what = f"the aim '{_shown(entry.aim)}' points along the path of run '{entry.name}'"
            works = ", ".join(aims_that_work(directions))
            refusals.add((*path, "aim"), what, f"aims that work here: {works}")
            continue
        path_m.flags.writeable = False
        runs.append(
            Run(
                name=entry.name,
                kind=kind,
                path_m=path_m,
                count=count,
                first=first,
                pitch_m=pitch_m,
                length_m=length_m,
                aim=entry.aim,
                standoff_m=entry.standoff,
                profile=profiles()[entry.profile],
                spares=entry.spare_first,
            )
        )
        places.append((xy_m, aim, along_m))
        first += count
    return tuple(runs), pixels_of(runs, places)


def _shown(aim: str | float) -> str:
    return aim if isinstance(aim, str) else f"{aim:g}"


def pixels_of(runs: list[Run], places: list[tuple[np.ndarray, np.ndarray, np.ndarray]]) -> Pixels:
    """The arrays of every pixel; of each run its places [m], aims and distances along it [m]."""
    counts = [run.count for run in runs]
    index = np.repeat(np.arange(len(runs)), counts)
    along_m = np.concatenate([place[2] for place in places]) if places else np.zeros(0)
    within = np.arange(len(index)) - np.repeat([run.first for run in runs], counts)
    pixels = Pixels(
        xy_m=np.concatenate([place[0] for place in places]) if places else np.zeros((0, 2)),
        standoff_m=np.repeat([run.standoff_m for run in runs], counts).astype(float),
        aim=np.concatenate([place[1] for place in places]) if places else np.zeros((0, 3)),
        run=index,
        along_m=along_m,
        spare=within < np.repeat([run.spares for run in runs], counts),
    )
    for array in vars(pixels).values():
        array.flags.writeable = False
    return pixels
