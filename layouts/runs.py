"""From run entries to runs and the arrays of every pixel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from layouts.cuts import cuts_of
from layouts.errors import KindError
from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.kind_extras import at_current
from layouts.known import Known
from layouts.missing import missing_of
from layouts.place import (
    LEAST_ACROSS,
    across,
    aims_that_work,
    along_path,
    count_and_pitch,
    path_length_m,
)
from layouts.records import Kind, Pixels, Profile, Run, placing
from layouts.units import METRES, length_text

if TYPE_CHECKING:
    from layouts.schema import RunEntry

MAX_PIXELS = 200_000

#: Of the pixels of a run: places (n, 2) [m], aims (n, 3) and distances along it (n,) [m].
_Places = tuple[np.ndarray, np.ndarray, np.ndarray]


def refuse_beyond(entries: list[RunEntry], viewer_m: float, units: str, refusals: Refusals) -> None:
    """Refuses runs that would hang behind whoever looks at the house, told in its `units`."""
    less = "in" if units in ("ft", "in") else "mm"
    for index, entry in enumerate(entries):
        if entry.standoff >= viewer_m:
            what = (
                f"run '{entry.name}' stands off {length_text(entry.standoff, units)}, beyond the"
                f" viewer at {length_text(viewer_m, units)}"
            )
            written = f"{entry.standoff / METRES[units]:g} {less}"
            far = units != less and entry.standoff >= 10
            do = f"check the unit: '{written}'?" if far else "check it"
            refusals.add(("runs", index, "standoff"), what, do)


def build_runs(
    entries: list[RunEntry],
    known: Known,
    kinds: Mapping[str, Kind],
    names: list[str],
    refusals: Refusals,
    before: Placed | None = None,
    units: str = "m",
) -> Placed:
    """The runs in file order and their pixels.

    `kinds` are those that are whole, `names` every name a file may use for one: a kind that is
    known but not whole has been complained about already. Runs that stand as they did `before`
    keep their pixels. Refusals tell lengths in `units`.
    """
    if not entries and refusals.complete("runs"):
        refusals.add(("runs",), "there are no runs", "add one")
    made = _Making(known.profiles, kinds, names, refusals, before, units)
    for index, entry in enumerate(entries):
        if not made.add(entry, ("runs", index)):
            break
    return made.placed()


@dataclass(frozen=True)
class Placed:
    """Runs and their pixels; `untouched` names the runs to be taken over as they are."""

    runs: tuple[Run, ...]
    pixels: Pixels
    untouched: frozenset[str] = frozenset()


class _Making:
    """Runs as they are made, one entry after the other."""

    def __init__(
        self,
        profiles: Mapping[str, Profile],
        kinds: Mapping[str, Kind],
        names: list[str],
        refusals: Refusals,
        before: Placed | None,
        units: str,
    ):
        self._profiles, self._kinds, self._names = profiles, kinds, names
        self._refusals, self._before, self._units = refusals, before, units
        self._old = {run.name: run for run in before.runs} if before else {}
        self._runs: list[Run] = []
        self._places: list[_Places] = []
        self._first = 0

    def add(self, entry: RunEntry, path: Path) -> bool:
        """Makes one more run, or says why not. False where no more can follow."""
        run = self._run(entry, path)
        if run is None:
            return True
        if self._first + run.count > MAX_PIXELS:
            what = f"more than {MAX_PIXELS:,} pixels with run '{entry.name}'"
            self._refusals.add(path, what, "leave some out")
            return False
        places = self._as_before(run) or self._place(run, path)
        if places is not None:
            self._runs.append(run)
            self._places.append(places)
            self._first += run.count
        return True

    def _run(self, entry: RunEntry, path: Path) -> Run | None:
        refusals = self._refusals
        if self._before and entry.name in self._before.untouched & self._old.keys():
            return replace(self._old[entry.name], first=self._first)
        if entry.profile not in self._profiles:
            refusals.unknown((*path, "profile"), "profile", entry.profile, self._profiles)
        if entry.pixels not in self._names:
            refusals.unknown((*path, "pixels"), "kind of pixel", entry.pixels, self._names)
        path_m = np.array(entry.path, dtype=float)
        length_m = path_length_m(path_m)
        if length_m <= 0:
            what = f"the path of run '{entry.name}' has no length"
            refusals.add((*path, "path"), what, "move a point")
            return None
        if entry.pixels not in self._kinds or entry.profile not in self._profiles:
            return None
        kind = self._kinds[entry.pixels]
        if entry.set_ma is not None:
            try:
                kind = at_current(kind, entry.set_ma)
            except KindError as error:
                refusals.add((*path, "set_ma"), error.what, error.do)
                return None
        count, pitch_m = count_and_pitch(length_m, kind, entry.count)
        if count == 0:
            pitch = f"{pitch_m * 1000:.4g} mm"
            what = f"the path of run '{entry.name}' is shorter than one pitch of {pitch}"
            refusals.add((*path, "path"), what, "lengthen it, or give a 'count'")
            return None
        if entry.spare_first >= count:
            what = f"run '{entry.name}' has {count} pixels, all of them spare"
            refusals.add((*path, "spare_first"), what, f"write at most {count - 1}")
            return None
        cuts = cuts_of(entry, count, pitch_m, (*path, "cuts"), refusals, self._units)
        path_m.flags.writeable = False
        return Run(
            name=entry.name,
            kind=kind,
            path_m=path_m,
            count=count,
            first=self._first,
            pitch_m=pitch_m,
            length_m=length_m,
            aim=entry.aim,
            standoff_m=entry.standoff,
            profile=self._profiles[entry.profile],
            spares=entry.spare_first,
            spread=entry.count is not None,
            cuts=cuts,
            missing=missing_of(entry, count, (*path, "missing"), refusals),
            lens_deg=entry.lens,
        )

    def _as_before(self, run: Run) -> _Places | None:
        old = self._old.get(run.name)
        if self._before is None or old is None or placing(old)[1:] != placing(run)[1:]:
            return None
        pixels, part = self._before.pixels, old.pixels
        return pixels.xy_m[part], pixels.aim[part], pixels.along_m[part]

    def _place(self, run: Run, path: Path) -> _Places | None:
        along_m = (np.arange(run.count) + 0.5) * run.pitch_m
        xy_m, directions = along_path(run.path_m, along_m)
        aim, left = across(run.aim, directions)
        if left >= LEAST_ACROSS:
            return xy_m, aim, along_m
        what = f"the aim '{_shown(run.aim)}' points along the path of run '{run.name}'"
        works = ", ".join(aims_that_work(directions))
        self._refusals.add((*path, "aim"), what, f"aims that work here: {works}")
        return None

    def placed(self) -> Placed:
        runs, before = tuple(self._runs), self._before
        if before and [placing(run) for run in runs] == [placing(run) for run in before.runs]:
            return Placed(runs, before.pixels)
        return Placed(runs, _pixels(self._runs, self._places))


def _shown(aim: str | float) -> str:
    return aim if isinstance(aim, str) else f"{aim:g}"


def _pixels(runs: list[Run], places: list[_Places]) -> Pixels:
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
