"""The same house with pixels of another kind."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from layouts import entries
from layouts.change import change
from layouts.place import count_and_pitch
from layouts.points import run_slice, split_end
from layouts.records import House, Kind, Run, WireEnd


def with_kind(house: House, kind: Kind, keep: Literal["pixels", "metres"] = "pixels") -> House:
    """The house with every run of `kind`: same supplies, same wires.

    `keep="pixels"`: the same pixels in the same places, whatever the kind's own pitch.
    `keep="metres"`: every run fills its path at the kind's pitch, as bought; parts of runs in
    zones, cuts and the pads of wires stay where they are along the run, to the nearest pixel. A
    string stays a string: where `kind` is a strip, its pixels hang on the leads there were, as many
    and as far apart.

    Raises InputError where the new house would be refused.
    """
    if keep == "pixels":
        return replace(house, runs=tuple(replace(run, kind=kind) for run in house.runs))
    new = {run.name: _Exchange(run, kind) for run in house.runs}
    return change(
        house,
        kinds=_unlisted(house, kind),
        runs={name: each.entry() for name, each in new.items()},
        zones={name: _parts(parts, new) for name, parts in entries.zone_entries(house).items()},
        wires=[
            {
                **entries.wire_entry(wire),
                "from": _end(wire.start, new),
                "to": _end(wire.end, new),
            }
            for wire in house.wires
        ],
    )


def _unlisted(house: House, kind: Kind) -> dict[str, Kind]:
    """`kind`, where nothing has its name yet."""
    from layouts.catalogue import kinds

    return {} if kind.name in {**kinds(), **house.kinds} else {kind.name: kind}


class _Exchange:
    """One run before and after: where its positions go."""

    def __init__(self, run: Run, kind: Kind):
        self.run = run
        stays = run.kind.mount == "string" and kind.mount == "strip"
        if stays:
            self.kind = replace(
                kind,
                mount="string",
                pitch_m=run.kind.pitch_m,
                rail_ohm_per_m=run.kind.rail_ohm_per_m,
            )
            self.count, self.scale = run.count, 1.0
            self._written = run.count if run.spread else None
        else:
            self.kind = kind
            filled, pitch_m = count_and_pitch(run.length_m, kind, None)
            self.count, self.scale = max(filled, 1), run.pitch_m / pitch_m
            self._written = None if filled else 1

    def entry(self) -> entries.Entry:
        """What changes in the run's entry."""
        cuts = sorted({self.boundary(cut) for cut in self.run.cuts} - {0, self.count})
        return {
            "pixels": self.kind,
            "count": self._written,
            "spare_first": min(self.run.spares, self.count - 1),
            "cuts": cuts,
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
        if part.first is None and part.last is None:
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
    if end.kind != "run" or point is None or not point.startswith("["):
        return end.text
    return f"{name}[{new[name].pixel(end.pad - 1)}]"
