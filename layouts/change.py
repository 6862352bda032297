"""Changing one thing about a house; the result is a new house."""

from __future__ import annotations

from dataclasses import replace

from layouts.records import House, Kind


def with_kind(house: House, kind: Kind) -> House:
    """The same house with every run of `kind`: same pixels in the same places, same supplies."""
    return replace(house, runs=tuple(replace(run, kind=kind) for run in house.runs))
