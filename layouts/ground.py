"""Trying out what lies on the ground, whatever the house file says."""

from __future__ import annotations

from dataclasses import replace

from layouts.drawn import GROUNDS
from layouts.records import House


def with_ground(house: House, ground: str | None) -> House:
    """The house with that ground; with any other word, or None, as its file has it."""
    for each in GROUNDS:
        if each == ground:
            return replace(house, drawing=replace(house.drawing, ground=each))
    return house
