"""Whether pixels meet the holes of their track, and holes the ends of its bars."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.finding import Finding, Remedy
from layouts.records import House, Run

#: Share of a pitch: a track of 300 mm and nodes of 12 in (1.6 % more) part by a whole pitch in 62.
HOLE_SLACK = 0.01
#: Of the pitches in a bar, what is rounding of the bar and not a hole too many.
_WHOLE = 0.02


def track_findings(house: House) -> Iterator[Finding]:
    """Codes `track-pitch` and `bar-pitch`, of runs pushed into the holes of a profile."""
    for run in house.runs:
        if run.profile.hole_mm is not None and run.kind.mount == "string":
            yield from _holes(run)
            yield from _bars(run)


def _holes(run: Run) -> Iterator[Finding]:
    """Nodes may pass over holes, each the same number of them."""
    if run.profile.hole_pitch_mm is None or run.count < 2:
        return
    hole_m = run.profile.hole_pitch_mm / 1000
    wanted_m = max(1, round(run.pitch_m / hole_m)) * hole_m
    if abs(run.pitch_m / wanted_m - 1) <= HOLE_SLACK:
        return
    yield Finding(
        "warning",
        "track-pitch",
        run.name,
        value=run.pitch_m,
        limit=wanted_m,
        unit="m",
        remedies=(
            Remedy("change-count", run.name, int(run.length_m / wanted_m + 1e-6), "pixels"),
            Remedy("change-profile", run.name),
        ),
        detail={"profile": run.profile.name, "hole_m": hole_m},
    )


def _bars(run: Run) -> Iterator[Finding]:
    """Where bars meet, the distance from hole to hole goes on only in bars of whole pitches."""
    bar_m = run.profile.bar_m
    if bar_m is None or run.length_m <= bar_m:
        return
    hole_mm = run.profile.hole_pitch_mm
    apart_m = run.pitch_m if hole_mm is None else hole_mm / 1000
    pitches = bar_m / apart_m
    if abs(pitches - round(pitches)) <= _WHOLE:
        return
    yield Finding(
        "note",
        "bar-pitch",
        run.name,
        value=bar_m,
        limit=int(pitches) * apart_m,
        unit="m",
        remedies=(Remedy("cut-bars", run.name, int(pitches) * apart_m, "m"),),
        detail={"profile": run.profile.name, "apart_m": apart_m},
    )
