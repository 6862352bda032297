"""Sentences about kinds and the profiles they are pushed into."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from layouts.units import length_text

_SHOWN = {
    "blue": "shine blue",
    "pattern": "run a pattern of their own",
    "lit": "may light up",
}


def _length(found: Finding, metres: float | None) -> str:
    units = found.detail.get("units", "m")
    if units == "m":
        return f"{1000 * (metres or 0.0):.4g} mm"
    return length_text(metres or 0.0, units)


def _supply_above_max(found: Finding) -> str:
    return (
        f"supply {found.detail['supply']} gives {found.value:g} V, {found.detail['kind']} pixels of"
        f" run {found.where} bear at most {found.limit:g} V; set the supply lower, before they are"
        " connected"
    )


def _trim_above_max(found: Finding) -> str:
    return (
        f"supply {found.detail['supply']} can be trimmed up to {found.value:g} V,"
        f" {found.detail['kind']} pixels of run {found.where} bear at most {found.limit:g} V;"
        " measure it before they are connected"
    )


def _lit_without_data(found: Finding) -> str:
    what = _SHOWN[found.detail["boots"]]
    return (
        f"{found.detail['kind']} pixels of {found.where} {what} when they have power and no data,"
        " as while the controller starts; switch their supply off with it, or after it"
    )


def _levels_unused(found: Finding) -> str:
    return (
        f"{found.detail['kind']} pixels of {found.where} take {found.limit:,.0f} steps a channel;"
        f" the codes here have {found.value:.0f}, so that their darkest steps are no finer than"
        " those of other kinds"
    )


def _track_pitch(found: Finding) -> str:
    told = found.detail
    return (
        f"the pixels of run {found.where} are {_length(found, found.value)} apart, the holes of"
        f" {told['profile']} {_length(found, told['hole_m'])}: nodes and holes part after a few;"
        f" put them {_length(found, found.limit)} apart, or take another track"
    )


def _bar_pitch(found: Finding) -> str:
    told = found.detail
    return (
        f"a bar of {told['profile']}, {_length(found, found.value)} long, holds no whole number of"
        f" pitches of {_length(found, told['apart_m'])}; cut the bars of run {found.where} to"
        f" {_length(found, found.limit)}, or the pitch breaks where they meet"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "supply-above-max": _supply_above_max,
    "trim-above-max": _trim_above_max,
    "lit-without-data": _lit_without_data,
    "levels-unused": _levels_unused,
    "track-pitch": _track_pitch,
    "bar-pitch": _bar_pitch,
}
