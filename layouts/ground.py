"""Trying out what lies on the ground and how light goes on, whatever the house file says."""

from __future__ import annotations

from dataclasses import replace

from layouts.drawn import BOUNCES, GROUNDS
from layouts.records import House


def with_ground(house: House, ground: str | None) -> House:
    """The house with that ground; with any other word, or None, as its file has it."""
    for each in GROUNDS:
        if each == ground:
            return replace(house, drawing=replace(house.drawing, ground=each))
    return house


def with_bounces(house: House, bounces: int | None) -> House:
    """The house with its light thrown on so often; with any other number, or None, as its file."""
    for each in BOUNCES:
        if each == bounces:
            return replace(house, drawing=replace(house.drawing, bounces=each))
    return house
