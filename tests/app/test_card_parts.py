"""Cards in large type: the type grows with its size, and what has no room comes in parts."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pygame
import pytest

from sim.app.state.keys import action_for, bind
from sim.app.state.record import State
from sim.app.state.touch_card import CardRow, TouchCard
from sim.app.state.touch_record import MoreOfCard, OpenThing, PointAt, StepTouch, Thing, ThingsThere
from sim.app.state.update import update
from sim.app.state.window_layout import Rect, layout
from sim.app.view.brush import Brush, Kit
from sim.app.view.drawing_panel import Panel
from sim.app.view.touch import AWAITED, TouchScreen, _area
from sim.app.view.touch_card import LEAST_SHARE, MORE, in_parts, shaped

LABELS = ("This pixel", "Break")
CARD = TouchCard(
    "run", "eave-left",
    tuple(CardRow(name, values) for name, values in (
        ("kind", ("ws2812b-v5 · 342 pixels",)), ("lit by", ("1 chase, 4 glint",)),
        ("least now", ("4.92 V at [341]",)), ("least in all", ("4.91 V at [341], at 5:55.48",)),
        ("most lost", ("2 % of 5 V",)), ("draws", ("0.614 A · peak 0.634 A",)),
        ("wires", ("porch-box to eave-left[84]", "porch-joint to eave-left[252]")),
        ("supplied by", ("porch-box",)), ("address", ("output A · 1 / 1 to 3 / 4",)),
        ("nearest limit", ("the voltage along run eave-left", "83 % left")),
    )),
    (("warning", "The far end of the run is below what full colour needs in 12 frames."),), True,
)  # fmt: skip


@pytest.fixture(scope="module")
def kit() -> Kit:
    pygame.font.init()
    return Kit()


@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("size", [(960, 600), (1280, 720), (1920, 1080)])
def test_type_of_cards_grows_with_its_size_and_nothing_is_left_out(
    state: State, kit: Kit, size: tuple[int, int], scale: float
) -> None:
    state = replace(state, size_px=size, scale=scale)
    area = _area(state, layout(state))
    brush = Brush(pygame.Surface((8, 8)), scale, kit)
    made = in_parts(brush, CARD, LABELS, (area.w, area.h))
    labels = LABELS if len(made) == 1 else (*LABELS, MORE)
    for part in made:
        shape = shaped(brush, part, labels, (area.w, area.h))
        assert shape.brush.scale >= LEAST_SHARE * scale - 0.06  # it is tried in steps of 0.05
        assert shape.size[0] <= area.w
        assert shape.size[1] <= area.h
    told = [value for part in made for row in part.rows for value in row.values]
    assert told == [value for row in CARD.rows for value in row.values]
    assert [note for part in made for note in part.notes] == list(CARD.notes)
    assert [part.caution for part in made].count(True) == 1
    assert len(made) <= 6
    if scale == 1.0 and size[0] >= 1280:
        assert made == (CARD,)


def test_the_next_part_by_key_and_the_first_with_another_card(state: State) -> None:
    press = bind("", "shift+return", MoreOfCard(), "").presses[0]
    action = action_for(state, press)
    assert action == MoreOfCard()
    further = update(update(state, OpenThing(Thing("run", 0, "eave"))), action)
    assert further.touch.part == 1
    assert update(further, OpenThing(Thing("run", 1, "door"))).touch.part == 0


def test_a_panel_outside_a_window_just_made_smaller_is_not_drawn(state: State, kit: Kit) -> None:
    """The surface is smaller at once, the state hears of it with the next event."""
    state = replace(state, size_px=(960, 600), drawer=True, drawer_open=1.0)
    small = pygame.Surface((200, 150))
    panel = Panel()
    panel.draw(Brush(small, 1.0, kit), state, layout(state), (), (-1, -1))
    assert pygame.surfarray.array3d(small).max() == 0
    whole = pygame.Surface((960, 600))
    panel.draw(Brush(whole, 1.0, kit), state, layout(state), (), (-1, -1))
    assert pygame.surfarray.array3d(whole).max() > 0


def test_keys_name_what_they_come_to_while_its_picture_is_made(state: State, kit: Kit) -> None:
    eave, door = Thing("run", 0, "eave"), Thing("run", 1, "door")
    state = update(replace(state, size_px=(640, 400)), ThingsThere((eave, door), (0, 40)))
    at_none = TouchScreen()
    press = bind("", "t", StepTouch(1), "").presses[0]
    found = []
    for each in (eave, door):
        state = update(state, action_for(state, press))
        surface = pygame.Surface(state.size_px)
        brush = Brush(surface, 1.0, kit)
        told = Told(brush)
        at_none.wait(told, state, layout(state))
        assert told.words == [each.name, AWAITED]
        assert at_none.spoken == each.spoken
        assert at_none.touchable.places is None  # and nothing can be pointed at
        place, picture = told.cards[0], layout(state).picture
        assert picture.holds(place.x, place.y)
        assert picture.holds(place.right - 1, place.bottom - 1)
        found.append(pygame.surfarray.array3d(surface))
    assert (found[0] != found[1]).any()
    # What only the pointer lit is not named: what it points at is not this picture's.
    pointed = update(state, PointAt(eave))
    told = Told(Brush(pygame.Surface(state.size_px), 1.0, kit))
    at_none.wait(told, pointed, layout(pointed))
    assert told.words == []
    assert at_none.spoken == ""


class Told(Brush):
    """A brush that keeps what it wrote, and on which cards."""

    def __init__(self, brush: Brush):
        super().__init__(brush.surface, brush.scale, brush.kit)
        self.words: list[str] = []
        self.cards: list[Rect] = []

    def text(self, text: str, *args: Any, **more: Any) -> Any:
        self.words.append(text)
        return super().text(text, *args, **more)

    def card(self, place: Rect, *args: Any, **more: Any) -> Any:
        self.cards.append(place)
        return super().card(place, *args, **more)
