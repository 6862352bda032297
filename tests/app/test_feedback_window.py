"""Feedback of the whole window, without a screen: slides, veils, chips, lists, saving."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pygame
import pytest

from sim.app.state import actions as act
from sim.app.state.pointer import on_screen
from sim.app.state.window_layout import Rect, layout
from sim.app.view.settle import fitted
from sim.app.window import Window

Until = Callable[..., None]


def test_a_picture_whose_width_alone_differs_is_moved_never_scaled() -> None:
    pixels = np.random.default_rng(3).integers(0, 256, (300, 40, 3)).astype(np.uint8)
    image = pygame.surfarray.make_surface(pixels)
    for width in range(200, 400, 7):
        made = pygame.surfarray.array3d(fitted(image, Rect(0, 0, width, 40)))
        left = (width - 300) // 2
        if left >= 0:
            assert (made[left : left + 300] == pixels).all()
            assert (made[:left] == pixels[:1]).all()
        else:
            assert (made == pixels[-left : width - left]).all()


def press(window: Window, place: Rect) -> None:
    at = (place.x + place.w // 2, place.y + place.h // 2)
    for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
        pygame.event.post(pygame.event.Event(kind, button=1, pos=at, touch=False))
    window.step(0.0)


def spot(window: Window, action: act.Action) -> Rect:
    window.step(0.0)
    window.redraw()
    return next(one.place for one in window._screen.spots if one.action == action)


def test_marks_crosses_and_lists_by_mouse(
    window: Window, house_file: Path, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    # the slide: the house on show is the old picture, moved, until the new one is there
    window.do(act.ToggleDrawer())
    window.step(0.08)
    assert window.shown.left_image.shape[1] == window.state.size_px[0]
    until(window, lambda: window.backstage.idle and window.state.drawer_open == 1.0)

    # what is under the pointer is explained, not the head it stands on
    parts = layout(window.state)
    only = next(row for row in window._screen.rows if row.control and row.control.id == "0.only")
    place = on_screen(only.place, parts, window.state)
    with monkeypatch.context() as pointer:
        pointer.setattr(pygame.mouse, "get_pos", lambda: (place.x + 4, place.y + 4))
        helped = window._screen._helped(window.state, parts)
    assert helped.control.help.startswith("Only this: ")

    # a list that is open closes with its drawer, and by Esc before it
    widgets = window._screen.widgets
    menu = next(one for one, held in widgets._controls.items() if held.id == "scheme")
    menu.current_state.should_transition = True
    menu.update(0.01)
    assert widgets.held
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode=""))
    window.step(0.02)
    assert not window._screen.widgets.held
    assert window.state.drawer
    menu = next(one for one, held in widgets._controls.items() if held.id == "scheme")
    menu.current_state.should_transition = True
    menu.update(0.01)
    assert widgets.held
    window.do(act.ToggleDrawer())
    window.step(0.02)
    assert not window._screen.widgets.held
    window.step(0.5)

    # one layer alone, with the drawer shut
    window.do(act.Set("1.only", True))
    press(window, spot(window, act.ShowAllLayers()))
    assert window.state.only is None

    # another kind is said at once, and the old picture stays until the new one is there
    before = window.shown
    window.do(act.Set("kind", "ws2815"))
    told: list[str] = []
    monkeypatch.setattr(window._screen._settle, "veil", lambda *asked: told.append(asked[2]))
    window.step(0.0)
    assert told[-1] == "Making the picture with pixels ws2815 …"
    assert window.shown is before
    until(window, lambda: window.shown is not before and window.backstage.idle)
    assert told[-1] == ""

    # a warning is put aside by its cross and brought back by its mark
    good = house_file.read_text()
    house_file.write_text(good.replace("standoff", "standof", 1))
    until(window, lambda: bool(window.state.problems))
    press(window, spot(window, act.PutAside("problems")))
    assert "problems" in window.state.feedback.hushed
    press(window, spot(window, act.TellAgain()))
    assert not window.state.feedback.hushed
    house_file.write_text(good)
    until(window, lambda: not window.state.problems)

    # the title of the window
    window.do(act.Set("brightness", 0.5))
    window.redraw()
    assert pygame.display.get_caption()[0] == "Winter · Shed* · Evenfall"


def test_picture_and_window_are_saved_beside_the_house(
    window: Window, house_file: Path, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.app.work.share.PICTURE_PX", (160, 120))
    window.do(act.AskSharing())
    window.do(act.Answer(1))
    window.step(0.0)
    until(window, lambda: window.sharing.idle)
    made = house_file.parent / "shed-winter.png"
    assert window.state.feedback.saved == str(made)
    assert pygame.image.load(made).get_size() == (160, 120)

    window.do(act.AskSharing())
    window.redraw()
    window.do(act.Answer(3))
    saved = pygame.image.load(house_file.parent / "shed-winter-window.png")
    assert saved.get_size() == window.state.size_px
    assert window.state.question is None

    # a film that is stopped leaves nothing
    window.do(act.ShareNow("film"))
    window.step(0.0)
    window.do(act.Back())
    until(window, lambda: window.sharing.idle)
    kinds = {path.suffix for path in house_file.parent.iterdir()}
    assert kinds <= {".yaml", ".png"}
    assert not any(name.startswith(".evenfall") for name in os.listdir(house_file.parent))
