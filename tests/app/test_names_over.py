"""What lies over the house has names too: cells of sheets, buttons of cards, marks and crosses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from layouts import load_house
from layouts.faults import Fault
from sim.app.state.mending_record import BreakIt, HouseThere, OpenSheet
from sim.app.state.names import Named, Seen, named
from sim.app.state.record import State
from sim.app.state.touch import things_of
from sim.app.state.touch_buttons import buttons_of
from sim.app.state.touch_pointer import CardPlaces, Touchable
from sim.app.state.touch_record import OpenThing
from sim.app.state.update import update
from sim.app.state.window_layout import Rect
from sim.app.view.screen import Screen


@pytest.fixture(autouse=True)
def no_screen(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.init()
    pygame.font.init()
    pygame.display.set_mode((64, 64))
    yield
    pygame.quit()


@pytest.fixture
def broken(state: State, house_file: Path) -> State:
    """A pixel of the eave is dead, and the eave is open."""
    house = load_house(house_file)
    there = update(update(state, things_of(house)), HouseThere(house))
    there = update(there, BreakIt(Fault("dead", "eave", 3)))
    return update(there, OpenThing(there.touch.things[0], 5))


def table(state: State) -> tuple[Named, ...]:
    screen = Screen()
    screen.draw(pygame.Surface(state.size_px), state, None, {}, 60.0, 1.0, {}, 0.0)
    return named(state, screen.seen)


@pytest.mark.parametrize(
    ("page", "cell"),
    [
        ("break", "dead: no light, no data"),
        ("broken", "pixel 3 of eave is dead"),
        ("seen", "Flickers"),
    ],
)
def test_cells_of_the_sheet_are_named_by_what_stands_on_them(
    broken: State, page: str, cell: str
) -> None:
    lines = table(replace(update(broken, OpenSheet(page)), drawer_open=1.0))  # type: ignore[arg-type]
    assert all(line.name.strip() for line in lines)
    keys = {line.name: line.keys for line in lines}
    assert cell in keys
    assert keys["shut the sheet"] == "Esc"


def test_buttons_of_a_card_are_named(broken: State) -> None:
    buttons = buttons_of(broken, "run", broken.touch.card)
    places = tuple((Rect(0, 40 * n, 60, 30), action) for n, (_, action) in enumerate(buttons))
    card = CardPlaces(Rect(0, 0, 200, 200), places, Rect(170, 0, 28, 28))
    lines = named(broken, Seen(touch=Touchable(card=card)))
    assert {line.name: line.keys for line in lines if line.id.startswith("card")} == {
        "shut the card": "Esc", "look at this pixel": "Enter",
        "what can break here, for a trial": "B",
    }  # fmt: skip


def test_every_mark_of_what_was_put_aside_has_a_name_of_its_own(state: State) -> None:
    aside = replace(state.feedback, hushed=frozenset({"fault", "no_plan"}))
    told = replace(state, fault="a", no_plan="b", feedback=aside)
    names = {line.name for line in table(told)}
    assert {"Something failed inside", "No feeds proposed"} <= names
