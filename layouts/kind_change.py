"""The same house with pixels of another kind."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Literal

from layouts import entries
from layouts.catalogue import kinds
from layouts.change import change
from layouts.kind_extras import as_sold, set_as
from layouts.place import count_and_pitch
from layouts.points import run_slice, split_end
from layouts.records import House, Kind, Run, WireEnd


def with_kind(
    house: House,
    kind: Kind,
    keep: Literal["metres", "pixels"] = "metres",
    runs: Collection[str] | None = None,
) -> House:
    """The house with `runs` (left out: every run) of another kind; same supplies, same wires.

    `keep="metres"`: every run covers the path it covers, at the new kind's density. A run that was
    filled is filled again; one whose pixels were spread stays spread, by the ratio of the pitches.
    Parts of runs in zones, cuts and the pads of wires stay where they are along the run, to the
    nearest pixel. `keep="pixels"`: the same pixels in the same places, whatever the kind's pitch.
    The same part at another density stays set to the current it is set to.

    Raises InputError where the new house would be refused, as for too many pixels.
    """
    chosen = {run.name for run in house.runs} if runs is None else set(runs)
    if keep == "pixels":
        made = (
            replace(run, kind=set_as(run.kind, kind)) if run.name in chosen else run
            for run in house.runs
        )
        return replace(house, runs=tuple(made))
    new = {run.name: _Exchange(run, kind) for run in house.runs if run.name in chosen}
    listed = {**kinds(), **house.kinds}
    return change(
        house,
        kinds={} if kind.name in listed else {kind.name: kind},
        runs={name: each.entry() for name, each in new.items()},
        zones={name: _parts(parts, new) for name, parts in entries.zone_entries(house).items()},
        wires=[
            {**entries.wire_entry(wire), "from": _end(wire.start, new), "to": _end(wire.end, new)}
            for wire in house.wires
        ],
    )


class _Exchange:
    """One run before and after: where its positions go."""

    def __init__(self, run: Run, kind: Kind):
        self.run, self.kind = run, set_as(run.kind, kind)
        spread = run.spread or abs(run.pitch_m - run.kind.pitch_m) > 1e-9
        if spread:
            self.count = max(1, round(run.count * run.kind.pitch_m / kind.pitch_m))
            pitch_m = run.count * run.pitch_m / self.count
        else:
            filled, pitch_m = count_and_pitch(run.length_m, kind, None)
            self.count = max(1, filled)  # a run shorter than one pitch keeps one pixel
            spread = filled == 0
        self.scale = run.pitch_m / pitch_m
        self._written = self.count if spread else None

    def entry(self) -> entries.Entry:
        """What changes in the run's entry."""
        return {
            "pixels": as_sold(self.kind)[0],
            "set_ma": self.kind.set_ma,
            "count": self._written,
            "spare_first": min(self.run.spares, self.count - 1),
            "missing": None,  # what is put up new is whole
            "cuts": sorted({self.boundary(cut) for cut in self.run.cuts} - {0, self.count}),
        }

    def boundary(self, before: int) -> int:
        """The boundary between pixels nearest to the one before pixel `before`."""
        return min(round(before * self.scale), self.count)

    def pixel(self, index: int) -> int:
        """The pixel that covers the middle of pixel `index`."""
        return min(int((index + 0.5) * self.scale), self.count - 1)


def _parts(parts: list[str], new: dict[str, _Exchange]) -> list[str]:
    """The parts of a zone where they are now; one too short for a pixel is left out.

    Of a zone that has nothing else, the nearest pixel stays.
    """
    kept, first = [], ""
    for text in parts:
        part = run_slice(text)
        if part.name not in new or (part.first is None and part.last is None):
            kept.append(text)
            continue
        run = new[part.name]
        begin = run.boundary(part.first or 0)
        end = run.boundary(run.run.count if part.last is None else part.last)
        first = first or f"{part.name}[{run.pixel(part.first or 0)}]"
        if end > begin:
            kept.append(f"{part.name}[{begin}:{end}]")
    return kept or [first]


def _end(end: WireEnd, new: dict[str, _Exchange]) -> str:
    """The end of a wire where it is now; only `run[75]` counts pixels."""
    name, point = split_end(end.text)
    if end.kind != "run" or name not in new or point is None or not point.startswith("["):
        return end.text
    return f"{name}[{new[name].pixel(end.pad - 1)}]"
