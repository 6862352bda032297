"""What of the house a person has in hand: lit under the pointer, or opened as a card. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

ThingForm = Literal["run", "wire", "supply"]


@dataclass(frozen=True)
class Thing:
    """A run, wire or supply of the house on show: its number in the house's order, its name."""

    form: ThingForm
    index: int
    name: str

    @property
    def spoken(self) -> str:
        """As a person would call it."""
        return f"{self.form} {self.name}"


@dataclass(frozen=True)
class Touch:
    """What is lit, what is opened, and all there is, in the order in which keys go through it."""

    things: tuple[Thing, ...] = ()
    firsts: tuple[int, ...] = ()  # of each thing the pixel that is meant where none is pointed at
    lit: Thing | None = None
    by_keys: bool = False  # lit by keys: its name stands beside it, not beside the pointer
    card: Thing | None = None
    pixel: int | None = None  # of the house: where on a run its card was asked for
    part: int = 0  # which part of a card is on show where all of it has no room


# --- what can happen to it ---


@dataclass(frozen=True)
class ThingsThere:
    """The house on show has these things; `firsts` as `Touch` has them."""

    things: tuple[Thing, ...]
    firsts: tuple[int, ...]


@dataclass(frozen=True)
class PointAt:
    """The pointer came to a thing, or left all."""

    thing: Thing | None


@dataclass(frozen=True)
class OpenThing:
    """Open the card of a thing, or shut it; `pixel` is where on a run it was asked for."""

    thing: Thing | None
    pixel: int | None = None


@dataclass(frozen=True)
class StepTouch:
    """To the next or previous thing: its card where one is open, else it is lit."""

    by: int


@dataclass(frozen=True)
class LookCloser:
    """Open what is lit; from the card of a run, go on to its pixel."""


@dataclass(frozen=True)
class MoreOfCard:
    """The next part of a card that has not room for all."""


TouchAction = ThingsThere | PointAt | OpenThing | StepTouch | LookCloser | MoreOfCard
