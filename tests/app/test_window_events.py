"""The window without a screen, worked by posted events and commands."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pygame
import pytest

from layouts import EvenfallError
from sim.app.display import NO_DISPLAY
from sim.app.state import actions as act
from sim.app.state.touch_record import OpenThing
from sim.app.state.window_layout import layout
from sim.app.view.touch import pixels_at
from sim.app.window import Window, run_window

Until = Callable[[Window, Callable[[], bool]], None]


def test_a_click_on_a_pixel_tells_about_it(window: Window) -> None:
    x, y = (int(v) for v in pixels_at(window.shown)[45])
    press(window, x, y)
    assert window.state.touch.card is not None
    assert window.state.touch.card.name == "door"
    assert "run door" in window._title  # where screen readers look
    press(window, x, y)
    assert window.state.selection == 45
    press(window, 5, 5)
    assert window.state.selection is None
    assert window.state.touch.card is None


@pytest.mark.parametrize(("size", "scale"), [((960, 600), 1.0), ((960, 600), 2.0)])
def test_a_card_keeps_within_the_picture_and_off_what_it_is_about(
    window: Window, size: tuple[int, int], scale: float, until: Until
) -> None:
    while window.state.scale != scale:
        window.do(act.Zoom(1))
    # What was measured over the whole scheme makes a card its tallest.
    until(window, lambda: window.backstage.idle and "left" in window._screen.touch.watched)
    window.do(act.ToggleOverlay("wires"))
    for thing in window.state.touch.things:
        window.do(OpenThing(thing))
        window.step(0.0)
        made = window._screen.touch.touchable
        assert made.card is not None
        assert made.places is not None
        picture, card = layout(window.state).picture, made.card.card
        assert card.x >= picture.x
        assert card.y >= picture.y
        assert card.right <= picture.right
        assert card.bottom <= picture.bottom
        hidden = [card.holds(x, y) for x, y in made.places.points(thing)]
        assert np.mean(hidden) < (0.05 if scale == 1.0 else 0.5)
        for place, _ in made.card.buttons:
            assert card.holds(place.x, place.y)
            assert place.right <= card.right
        press(window, made.card.shut.x + 3, made.card.shut.y + 3)
        assert window.state.touch.card is None


def test_a_pointer_at_rest_over_a_run_draws_nothing_again(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    x, y = (int(v) for v in pixels_at(window.shown)[45])
    pygame.event.post(
        pygame.event.Event(pygame.MOUSEMOTION, pos=(x, y), rel=(1, 1), buttons=(0, 0, 0))
    )
    for _ in range(5):
        window.step(0.2)
    assert window.state.touch.lit is not None
    drawn: list[int] = []
    monkeypatch.setattr(pygame.display, "flip", lambda: drawn.append(1))
    for _ in range(10):
        window.step(0.2)
    assert not drawn


def press(window: Window, x: int, y: int) -> None:
    for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
        pygame.event.post(pygame.event.Event(kind, button=1, pos=(x, y), touch=False))
    window.step(0.0)


def test_dragging_the_ribbon_moves_in_time(window: Window) -> None:
    curve = layout(window.state).curve
    y = curve.y + 5
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=(curve.x, y)))
    at = curve.x + curve.w // 2
    pygame.event.post(
        pygame.event.Event(pygame.MOUSEMOTION, pos=(at, 3), rel=(9, 0), buttons=(1, 0, 0))
    )
    window.step(0.0)
    assert window.state.facts is not None
    assert window.state.time_s == pytest.approx(window.state.facts.span_s / 2, rel=0.01)
    assert window.state.drag == "ribbon"
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONUP, button=1, pos=(at, 3)))
    window.step(0.0)
    assert window.state.drag is None


def test_what_stands_still_is_not_drawn_again(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    pygame.event.clear()
    for _ in range(5):
        window.step(0.2)
    drawn: list[int] = []
    monkeypatch.setattr(pygame.display, "flip", lambda: drawn.append(1))
    for _ in range(10):
        window.step(0.2)
    assert not drawn
    window.do(act.Step(1))
    window.step(0.0)
    assert len(drawn) == 1


def key(window: Window, kind: int, key: int) -> None:
    pygame.event.post(pygame.event.Event(kind, key=key, mod=0, unicode="", scancode=0))


def test_a_key_held_down_moves_on_but_never_switches_twice(window: Window) -> None:
    key(window, pygame.KEYDOWN, pygame.K_RIGHT)
    for _ in range(20):
        window.step(0.05)
    key(window, pygame.KEYUP, pygame.K_RIGHT)
    window.step(0.05)
    moved = window.state.frame
    assert 10 <= moved <= 16
    key(window, pygame.KEYDOWN, pygame.K_v)
    for _ in range(20):
        window.step(0.05)
    assert window.state.overlays == {"volts"}
    assert window.state.frame == moved


def test_a_picture_of_the_window_is_saved(window: Window) -> None:
    window.step(0.0)
    held = pygame.surfarray.array3d(window.surface)
    window.do(act.Screenshot())
    window.do(act.Screenshot())
    saved = pygame.image.load("shed-winter-window.png")
    assert (pygame.surfarray.array3d(saved) == held).all()
    assert Path("shed-winter-window-2.png").exists()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere there is a screen")
@pytest.mark.parametrize("display", [None, ":9731"])
def test_without_a_display_one_line_says_what_to_do(
    house_file: Path, monkeypatch: pytest.MonkeyPatch, display: str | None
) -> None:
    for name in ("SDL_VIDEODRIVER", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    if display:
        monkeypatch.setenv("DISPLAY", display)
    with pytest.raises(EvenfallError) as refused:
        run_window(house_file)
    assert str(refused.value) == NO_DISPLAY
    assert "\n" not in NO_DISPLAY
    assert "evenfall render" in NO_DISPLAY
    assert "evenfall demo --out" in NO_DISPLAY
