"""Which openings a wall has: floors aligned above each other, nothing cut by a corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layouts.forms.body import Body
from layouts.forms.measures import FormMeasures
from layouts.forms.openings import (
    BAY,
    CLEAR,
    CORNER,
    DOOR,
    FRAME,
    Span,
    centres,
    glass_width,
    window,
    within,
)
from layouts.forms.paint import Painting
from layouts.forms.usual import FLOOR

SILL = 0.9  # of a window above its floor [m]
HEAD = 2.1  # of windows and doors above the floor
MARGIN = CORNER + CLEAR + FRAME


@dataclass(frozen=True)
class Floor:
    """One storey of a wall: heights of its floor, window sill and window head [m]."""

    level: float
    sill: float
    head: float


def floors_of(m: FormMeasures) -> list[Floor]:
    """The storeys below the eave, from the ground up."""
    tall = (m.eave_m - FLOOR) / m.floors
    head = min(HEAD, tall - 0.42)
    sill = min(SILL, head - 0.7)
    levels = [FLOOR + tall * number for number in range(m.floors)]
    return [Floor(level, level + sill, level + head) for level in levels]


def clear_spans(body: Body, hidden: Sequence[Span] = ()) -> list[Span]:
    """Stretches of wall that windows may stand in, widest first."""
    spans = [(body.left + MARGIN, body.right - MARGIN)]
    for gap in hidden:
        spans = within(spans, (gap[0] - 0.3, gap[1] + 0.3))
    return sorted((s for s in spans if s[1] - s[0] > 0.7), key=lambda s: s[0] - s[1])


def door_place(m: FormMeasures, spans: Sequence[Span]) -> float:
    """Where the front door stands: in the middle of the widest stretch."""
    places = centres(spans[0], odd=True)
    right = m.garage == "left" or m.form == "cross-gable"
    return places[len(places) // 2] if len(places) % 2 else places[len(places) // 2 - (not right)]


def windows(
    sheet: Painting,
    m: FormMeasures,
    body: Body,
    spans: Sequence[Span],
    *,
    door: float | None = None,
    about: float = BAY,
    prefix: str = "window",
) -> None:
    """A window in every bay of every storey but where the door is."""
    number = 0
    for floor_number, floor in enumerate(floors_of(m)):
        for index, span in enumerate(spans):
            places = centres(span, about, odd=door is not None and index == 0)
            wide = glass_width(span, len(places))
            for place in places:
                if floor_number == 0 and door is not None and abs(place - door) < 1e-6:
                    continue
                number += 1
                at = (place - wide / 2, floor.sill, place + wide / 2, floor.head)
                # somebody sleeps already
                lit = m.lit and not (floor_number and not body.name and number % 6 == 2)
                window(sheet, f"{prefix}-{number}", body.wall, at, lit=lit, brick=m.brick)


def door_height(m: FormMeasures) -> float:
    """Of the door's leaf [m]."""
    return min(DOOR[1], m.eave_m - FLOOR - 0.3)
