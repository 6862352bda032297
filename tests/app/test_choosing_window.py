"""Pages of choosing in a window: small pictures, a click, what it is opened with."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pygame
import pytest

from sim.app import window as module
from sim.app.state import actions as act
from sim.app.state.choosing_actions import OpenPage, PointAtPart
from sim.app.state.choosing_pages import sheet
from sim.app.state.layer_actions import MoveLayer
from sim.app.state.record import State
from sim.app.state.window_layout import layout
from sim.app.window import Window

Until = Callable[..., None]


def middle_of(window: Window, key: str) -> tuple[int, int]:
    """Where a part of the page stands on the screen [px]."""
    found = sheet(window.state, layout(window.state))
    part = next(one for one in found.parts if one.key == key)
    return (found.body.x + part.place.x + part.place.w // 2,
            found.body.y + part.place.y + part.place.h // 3)  # fmt: skip


def click(at: tuple[int, int]) -> None:
    for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
        pygame.event.post(pygame.event.Event(kind, pos=at, button=1))


def _of_its_size(window: Window) -> bool:
    """Whether the picture on show is the one for the room beside the page, not the one before."""
    place = layout(window.state).scene
    return window.backstage.made_all and window.shown.left_image.shape[:2] == (place.h, place.w)


def test_small_pictures_live_and_a_click_opens_the_scheme(window: Window, until: Until) -> None:
    window.do(OpenPage("schemes"))
    (plain, _), (winter, _) = window.state.facts.schemes
    until(window, lambda: len(window.small.films) == 2 and window.small.films[winter].each_s)
    moving, still = window.small.films[winter], window.small.films[plain]
    assert (moving.title, still.title) == ("Winter", "Plain")
    assert len(still.images) == 1  # it stands still
    assert max(np.abs(one.astype(int) - moving.images[0]).max() for one in moving.images) > 8
    click(middle_of(window, plain))
    until(window, lambda: window.state.facts.scheme == "Plain")
    assert window.state.choosing is None
    assert not window.small.films


def test_an_effect_is_drawn_on_the_house_and_taken_by_a_click(window: Window, until: Until) -> None:
    window.do(OpenPage("effects", 0))
    until(window, lambda: "wick" in window.small.films and _of_its_size(window))
    before = window.shown.left_image
    window.do(PointAtPart("steady"))
    window.step(0.0)
    assert np.abs(window.shown.left_image.astype(int) - before).max() > 8
    window.do(PointAtPart(None))
    window.step(0.0)
    assert np.array_equal(window.shown.left_image, before)
    click(middle_of(window, "steady"))
    window.step(0.0)
    assert window.state.facts.layers[0].effect == "steady"


def test_moved_layers_are_written_and_the_writing_is_undone(window: Window, until: Until) -> None:
    path = Path(window.state.facts.scheme_file)
    before = path.read_text()
    window.do(MoveLayer(0, 1))
    window.do(act.WriteValues())
    assert path.read_text().index("steady") < path.read_text().index("chase")
    until(window, lambda: not window.state.changed)
    window.do(act.Undo())
    assert path.read_text() == before
    until(window, lambda: window.state.facts.filed is not None and window.backstage.made_all)
    assert [layer.effect for layer in window.state.facts.layers] == ["steady", "chase"]
    window.do(act.Undo())
    assert not window.state.changed


@pytest.mark.parametrize("named", [False, True])
def test_a_house_without_a_scheme_named_opens_on_its_schemes(
    named: bool, house_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    seen: list[State] = []
    monkeypatch.setattr(Window, "run", lambda self: seen.append(self.state))
    module.run_window(house_file, house_file.parent / "winter.scheme.yaml" if named else None)
    page = seen[0].choosing
    assert (page is not None and page.page == "schemes") is not named


def test_a_page_over_the_house_lets_the_window_come_to_rest(window: Window, until: Until) -> None:
    until(window, lambda: window.backstage.idle)
    window.do(act.Set("brightness", 0.37))
    window.step(0.02)  # a measurement is about to begin
    assert not window.backstage.idle
    window.do(OpenPage("schemes"))
    until(window, lambda: window.backstage.idle)
    begun = window.backstage.desk.begun
    window.do(act.Back())
    until(window, lambda: window.backstage.desk.begun > begun and window.backstage.idle)
    assert window.backstage.loads["left"].whole
