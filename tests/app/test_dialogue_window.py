"""The dialogue of measurements in a window nobody sees: by keys alone, by mouse alone."""

from __future__ import annotations

import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest

from effects import load_scheme
from layouts import load_house
from sim.app.dialogue import Dialogue, run_dialogue
from sim.app.state import measuring as ms
from sim.app.view import theme
from sim.cli.new_form import from_form
from sim.report.check import check_report

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., Dialogue]]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    every: list[Dialogue] = []

    def one(size_px: tuple[int, int] = (960, 600), **more: str) -> Dialogue:
        every.append(
            Dialogue(
                tmp_path / "new", "ft", more, write=lambda m: from_form(tmp_path / "new", m),
                size_px=size_px, scale=1.0,
            )
        )  # fmt: skip
        every[-1].step(1 / 60)
        return every[-1]

    yield one
    for each in every:
        each.painter.close()
    pygame.quit()


def settle(dialogue: Dialogue) -> None:
    """Until the exact picture of what was asked for is on show."""

    def exact() -> bool:
        shown = dialogue.painter.shown
        return dialogue.painter.idle and shown is not None and shown.exact

    wait(exact, lambda: dialogue.step(1 / 60))


def press(dialogue: Dialogue, key: int, text: str = "", mod: int = 0) -> None:
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod, unicode=text))
    pygame.event.post(pygame.event.Event(pygame.KEYUP, key=key, mod=mod))
    dialogue.step(1 / 60)


def typed(dialogue: Dialogue, words: str) -> None:
    for letter in words:
        press(dialogue, pygame.K_SPACE if letter == " " else ord(letter), letter)
    press(dialogue, pygame.K_RETURN, "\r")


def tab_to(dialogue: Dialogue, key: str) -> None:
    for _ in range(40):
        if dialogue.state.focus == key:
            return
        press(dialogue, pygame.K_TAB, "\t")
    raise AssertionError(f"Tab does not come to {key}")


def click(dialogue: Dialogue, name: str) -> None:
    """On the middle of what is called `name`, where the window last drew it."""
    place = dict(dialogue.screen.buttons)[name]
    at = place.x + place.w // 2, place.y + place.h // 2
    for kind in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
        pygame.event.post(pygame.event.Event(kind, pos=at, button=1, rel=(0, 0)))
    dialogue.step(1 / 60)


def test_a_house_by_keys_alone_is_written_and_holds(
    opened: Callable[..., Dialogue], tmp_path: Path
) -> None:
    dialogue = opened()
    tab_to(dialogue, "form")
    press(dialogue, pygame.K_RIGHT)
    tab_to(dialogue, "garage")
    press(dialogue, pygame.K_RIGHT)
    tab_to(dialogue, "width")
    typed(dialogue, "42 ft 6 in")
    tab_to(dialogue, "eave")
    typed(dialogue, "9 ft")
    tab_to(dialogue, "pitch")
    typed(dialogue, "8/12")
    tab_to(dialogue, "name")
    typed(dialogue, "House by keys")
    settle(dialogue)
    assert dialogue.running
    press(dialogue, pygame.K_RETURN, "\r")
    assert not dialogue.running
    assert dialogue.written is not None
    house = load_house(dialogue.written[0])
    assert house.name == "House by keys"
    assert house.units == "ft"
    assert dialogue.state.forming.measures.width == pytest.approx(42.5 * 0.3048)
    facts = dialogue.painter.facts
    assert facts is not None
    assert (facts.runs, facts.pixels) == (len(house.runs), len(house.pixels))
    scheme = load_scheme(dialogue.written[1], house)
    found = {each.code for each in check_report(house, [scheme], seconds=1.0).all}
    assert found == {"no-supplies", "supply-needed"}  # and nothing else: the plan makes them
    assert (tmp_path / "new" / "evening.scheme.yaml").exists()


def test_a_house_by_mouse_alone(opened: Callable[..., Dialogue], tmp_path: Path) -> None:
    dialogue = opened((1280, 720))
    click(dialogue, "choose form hip")
    click(dialogue, "choose garage left")
    click(dialogue, "choose chimney right")
    for _ in range(3):
        click(dialogue, "step width 1")
    click(dialogue, "step storeys 1")
    click(dialogue, "choose wall brick-buff")
    click(dialogue, "field lit")
    click(dialogue, "step kind 1")
    click(dialogue, "undo")
    click(dialogue, "undo")
    click(dialogue, "redo")
    measures = dialogue.state.forming.measures
    assert (measures.form, measures.garage, measures.chimney) == ("hip", "left", "right")
    assert measures.width == pytest.approx(31.5 * 0.3048)
    assert (measures.storeys, measures.wall, dialogue.state.forming.lit) == (2, "brick-buff", False)
    assert measures.kind == "ws2815"
    click(dialogue, "units m")
    assert dialogue.state.forming.units == "m"
    click(dialogue, "sight dusk")
    assert dialogue.state.sight == "dusk"
    click(dialogue, "accept")
    assert not dialogue.running
    assert load_house(tmp_path / "new" / "house.yaml").units == "m"


def test_leaving_leaves_nothing_behind(opened: Callable[..., Dialogue], tmp_path: Path) -> None:
    dialogue = opened()
    click(dialogue, "step width 1")
    click(dialogue, "leave")
    assert dialogue.running
    assert dialogue.state.leaving
    click(dialogue, "leave")
    assert not dialogue.running
    assert dialogue.written is None
    assert not (tmp_path / "new").exists()


def test_the_cross_of_the_window_asks_and_then_closes(opened: Callable[..., Dialogue]) -> None:
    dialogue = opened()
    click(dialogue, "step width 1")
    for running in (True, False):
        pygame.event.post(pygame.event.Event(pygame.QUIT))
        dialogue.step(1 / 60)
        assert dialogue.running is running


def test_what_cannot_be_written_is_told_and_nothing_measured_is_lost(
    opened: Callable[..., Dialogue], tmp_path: Path
) -> None:
    dialogue = opened()
    click(dialogue, "step width 1")
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / "house.yaml").write_text("mine")
    before = dialogue.state.forming
    press(dialogue, pygame.K_RETURN, "\r")
    assert dialogue.running
    assert "already there" in dialogue.state.told
    assert dialogue.state.forming == before
    assert (tmp_path / "new" / "house.yaml").read_text() == "mine"
    assert sorted(one.name for one in (tmp_path / "new").iterdir()) == ["house.yaml"]


def test_the_picture_is_coarse_at_once_and_exact_at_rest(
    opened: Callable[..., Dialogue], monkeypatch: pytest.MonkeyPatch
) -> None:
    dialogue, seen = opened(), threading.Event()
    settle(dialogue)
    shown = dialogue.painter.shown
    assert shown is not None
    place = ms.picture(dialogue.state)
    assert shown.rgb.shape == (place.h, place.w, 3)
    drawn = dialogue.painter._drawn

    def after_the_coarse(*asked: Any, exact: bool) -> np.ndarray:
        # A window that is held up takes both at once, the coarse one never on show.
        assert not exact or seen.wait(240)
        return drawn(*asked, exact=exact)

    monkeypatch.setattr(dialogue.painter, "_drawn", after_the_coarse)
    met = []

    def turn() -> None:
        nonlocal shown
        dialogue.step(1 / 60)
        if dialogue.painter.shown is not shown:
            shown = dialogue.painter.shown
            assert shown is not None
            met.append(shown.exact)
            seen.set()

    press(dialogue, pygame.K_UP)
    wait(lambda: bool(met) and met[-1], turn, rest_s=0.002)
    assert met == [False, True]
    on_screen = pygame.surfarray.array3d(dialogue.surface)[: place.w, : place.h]
    assert np.array_equal(on_screen, np.swapaxes(shown.rgb, 0, 1))


def test_pictures_go_on_while_a_number_is_held(opened: Callable[..., Dialogue]) -> None:
    dialogue = opened()
    settle(dialogue)
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_UP, mod=0, unicode=""))
    shown, widths = dialogue.painter.shown, set()

    def turn() -> None:
        nonlocal shown
        dialogue.step(1 / 60)
        if dialogue.painter.shown is not shown:
            shown = dialogue.painter.shown
            widths.add(dialogue.state.forming.measures.width)

    # new pictures while it stands at one width, at another and at a third
    wait(lambda: len(widths) == 3, turn, rest_s=1 / 60)
    assert min(widths) > 30 * 0.3048
    assert len(dialogue.state.past) == 1  # all of it is one step back


def test_the_last_good_house_stays_while_a_number_is_wrong(opened: Callable[..., Dialogue]) -> None:
    dialogue = opened()
    settle(dialogue)
    shown = dialogue.painter.shown
    tab_to(dialogue, "width")
    typed(dialogue, "9 miles")
    for _ in range(20):
        dialogue.step(1 / 60)
        time.sleep(0.01)
    assert dialogue.painter.shown is shown
    pixels = pygame.surfarray.array3d(dialogue.surface)[ms.panel(dialogue.state).x :]
    assert (pixels == theme.OVER).all(axis=-1).any()  # words and frame beside the field
    press(dialogue, pygame.K_RETURN, "\r")
    assert dialogue.running


def test_the_wheel_steps_the_field_that_has_the_keys_alone(opened: Callable[..., Dialogue]) -> None:
    dialogue = opened((1280, 720))
    for key, width in (("eave", 30.0), ("width", 31.0)):
        place = dict(dialogue.screen.buttons)[f"field {key}"]
        at = (place.x + place.w // 2, place.y + place.h // 2)
        pygame.event.post(pygame.event.Event(pygame.MOUSEMOTION, pos=at, rel=(0, 0)))
        pygame.event.post(pygame.event.Event(pygame.MOUSEWHEEL, y=2, x=0))
        dialogue.step(1 / 60)
        assert dialogue.state.forming.measures.width == pytest.approx(width * 0.3048)


@pytest.mark.parametrize("size", [(1280, 720), (1024, 600), (640, 400), (320, 200), (200, 120)])
@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_it_is_drawn_at_any_size(
    opened: Callable[..., Dialogue], size: tuple[int, int], scale: float
) -> None:
    dialogue = opened(garage="right", porch="10 ft", eave="no")
    dialogue.surface = pygame.Surface(size)
    for focus in ("form", "name", "accept"):
        dialogue.state = replace(
            dialogue.state, size_px=size, scale=scale, focus=focus, follow=True, told="Not yet"
        )
        dialogue.step(1 / 60)
        assert pygame.surfarray.array3d(dialogue.surface).std() > 3


def test_the_field_that_has_the_keys_is_in_sight(opened: Callable[..., Dialogue]) -> None:
    dialogue = opened(garage="right", porch="10 ft")
    dialogue.surface = pygame.Surface((1280, 720))
    dialogue.state = replace(dialogue.state, size_px=(1280, 720), scale=2.0)
    for key in ms.order(dialogue.state):
        tab_to(dialogue, key)
        names = [name for name, place in dialogue.screen.buttons if place.h >= 20]
        assert any(key in name.split() for name in names), key


def test_who_ends_the_program_from_outside_is_not_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    turns = []

    def step(self: Dialogue, seconds: float) -> None:
        turns.append(seconds)
        if len(turns) == 3:
            signal.raise_signal(signal.SIGTERM)

    monkeypatch.setattr(Dialogue, "step", step)
    before = signal.getsignal(signal.SIGTERM)
    written = run_dialogue(tmp_path / "new", None, {}, lit=True, write=lambda _: [])
    assert (written, len(turns)) == (None, 3)
    assert signal.getsignal(signal.SIGTERM) is before
    assert not (tmp_path / "new").exists()
