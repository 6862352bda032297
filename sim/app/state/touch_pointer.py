"""What the pointer means over the house: what is lit, opened, looked at more closely. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.app.state import actions as act
from sim.app.state.question import asked_at
from sim.app.state.record import State
from sim.app.state.touch_places import TouchPlaces
from sim.app.state.touch_record import OpenThing, PointAt, Thing
from sim.app.state.window_layout import Layout, Rect


@dataclass(frozen=True)
class CardPlaces:
    """Where an open card and what can be pressed on it stand [px of the screen]."""

    card: Rect
    buttons: tuple[tuple[Rect, act.Action], ...]
    shut: Rect  # what leads back to the house

    def at(self, x: float, y: float) -> act.Action | None:
        """What a press at a point means; None beside every button."""
        if self.shut.holds(x, y):
            return OpenThing(None)
        return next((action for place, action in self.buttons if place.holds(x, y)), None)

    def moved(self, dx: int, dy: int) -> CardPlaces:
        """The same so far to the right and down [px]."""
        card, shut = (one._replace(x=one.x + dx, y=one.y + dy) for one in (self.card, self.shut))
        buttons = tuple((place._replace(x=place.x + dx, y=place.y + dy), action)
                        for place, action in self.buttons)  # fmt: skip
        return CardPlaces(card, buttons, shut)


@dataclass(frozen=True, eq=False)
class Touchable:
    """What the last drawing left to be touched."""

    places: TouchPlaces | None = None
    card: CardPlaces | None = None


def wires_shown(state: State) -> bool:
    """Whether wires and boxes are laid over the house."""
    return "wires" in state.overlays


def thing_at(state: State, parts: Layout, touch: Touchable, x: float, y: float) -> Thing | None:
    """The thing under a point of the screen; None where something lies over the house."""
    picture = parts.picture
    if touch.places is None or state.help or state.board is not None or not picture.holds(x, y):
        return None
    if asked_at(state, parts, x, y):
        return None
    if touch.card is not None and touch.card.card.holds(x, y):
        return None
    return touch.places.under(x - picture.x, y - picture.y, wires_shown(state))


def pointed(
    state: State, parts: Layout, touch: Touchable, at: tuple[int, int] | None
) -> Iterator[act.Action]:
    """The pointer moved to `at`, or out of the window, while nothing is dragged."""
    thing = None if at is None else thing_at(state, parts, touch, *at)
    if thing != state.touch.lit or (state.touch.by_keys and thing is not None):
        yield PointAt(thing)


def touched(
    state: State, parts: Layout, touch: Touchable, x: float, y: float
) -> Iterator[act.Action]:
    """A press on the house: the card of what is there; on the same spot again, its pixel."""
    thing, places = thing_at(state, parts, touch, x, y), touch.places
    if thing is None or places is None:
        yield OpenThing(None)
        return
    x, y = x - parts.picture.x, y - parts.picture.y
    pixel, before = places.pixel(thing, x, y), state.touch.pixel
    first = places.first[thing.index] if thing.form == "run" else -1
    if (
        pixel is not None
        and state.selection is not None
        and (first <= state.selection < first + places.count[thing.index])
    ):
        yield act.Select(pixel)
    elif thing == state.touch.card and before is not None and places.near(before, x, y):
        yield act.Select(before)
    else:
        yield OpenThing(thing, pixel)
