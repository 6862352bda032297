"""The drawing board in a window of SDL's dummy driver: keys alone, light that follows, writing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pygame
import pytest
from typer.testing import CliRunner

from layouts import load_house
from sim.app.display import NO_DISPLAY
from sim.app.edit.commands import Item
from sim.app.state import actions as act
from sim.app.state import drawing_actions as draw
from sim.app.state.drawing import Pick
from sim.app.state.drawing_words import unwritten
from sim.app.state.settings import HOUSE_KINDS
from sim.app.window import Window
from sim.cli.main import app

SIZE = (960, 600)
EMPTY = """\
# An invented shed with next to nothing on it yet.
format: evenfall-house/1
name: Bare shed
units: m
drawing:
  size: [6, 3.4]
  viewer: 8
  surfaces:
    - {name: wall, material: lap-siding-white, outline: [[1, 0], [5, 0], [5, 2.4], [1, 2.4]]}
runs:
  - {name: stub, pixels: ws2812b, path: [[1.2, 0.3], [1.5, 0.3]], aim: wall, standoff: 0.05}
"""


@pytest.fixture
def bare(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    until: Callable[..., None],
    closed: Callable[[Window], bool],
) -> Iterator[Window]:
    file = tmp_path / "bare" / "house.yaml"
    file.parent.mkdir()
    file.write_text(EMPTY)
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.chdir(file.parent)
    one = Window(file, scale=1.0, size_px=SIZE)
    until(one, lambda: one.shown is not None and one.backstage.idle)
    yield one
    assert closed(one)


def keys(window: Window, *names: str) -> None:
    """Press keys one after the other; "shift+d" with a modifier, "'2.5 m" types characters."""
    for name in names:
        if name.startswith("'"):
            for one in name[1:]:
                _down(window, pygame.K_F15, one, 0)
            continue
        *held, key = name.split("+")
        mod = (pygame.KMOD_SHIFT if "shift" in held else 0) | (
            pygame.KMOD_CTRL if "ctrl" in held else 0)  # fmt: skip
        _down(window, pygame.key.key_code(key), key if len(key) == 1 and not mod else "", mod)


def _down(window: Window, key: int, text: str, mod: int) -> None:
    for kind in (pygame.KEYDOWN, pygame.KEYUP):
        pygame.event.post(pygame.event.Event(kind, key=key, unicode=text, mod=mod, scancode=0))
    window.step(0.02)
    assert not window.state.fault


def test_from_a_bare_house_to_a_run_by_keys_alone(bare: Window, until: Callable[..., None]) -> None:
    keys(bare, "shift+d")
    until(bare, lambda: bare.state.board is not None and bare.backstage.idle)
    # a run: its first corner at a typed place, 4 m to the right, then a pitch of 6/12 upwards
    keys(bare, "r", "'1, 2.3", "return", "space", "shift+right", "'4 m", "return")
    keys(bare, "shift+left", "shift+up", "'1 m, 90°", "return", "return")
    keys(bare, "page down", "'eave", "return", "escape")
    # what it is made of, from the lists
    keys(bare, "page down", "page down", "]", "escape")
    # a zone of it, a place, a supply there, a feed
    keys(bare, "z", "'1, 2.3", "return", "space", "return", "escape")
    keys(bare, "p", "'4.5, 0.5", "return", "space")
    keys(bare, "page down", "page down", "]", "escape")
    keys(bare, "b", "'4.5, 0.5", "return", "space")
    keys(bare, "f", "'1, 2.3", "return", "space", "w")
    until(bare, lambda: bare.backstage.idle)
    assert bare.state.board is not None
    assert bare.state.board.fault == ""
    house = load_house("house.yaml")
    assert house.run("eave").path_m.tolist() == [[1, 2.3], [5, 2.3], [5, 3.3]]
    assert house.zones["zone"].parts == ("eave",)
    assert house.places[0].xy_m == (4.5, 0.5)
    assert house.places[0].mains
    assert house.supplies[0].at == "place"
    assert (house.wires[0].start.text, house.wires[0].end.text) == ("supply", "eave.start")
    written = Path("house.yaml").read_text()
    lines = written.splitlines()
    assert [line for line in lines if line in EMPTY.splitlines()] == EMPTY.splitlines()
    told = CliRunner().invoke(app, ["check", "house.yaml"])
    assert told.exit_code in (0, 1), told.output  # read, and judged: no error of the file


def test_light_follows_a_drag_and_is_exact_when_let_go(
    window: Window, until: Callable[..., None]
) -> None:
    window.do(draw.OpenBoard())
    until(window, lambda: window.backstage.idle)
    window.do(draw.PressAt((3.0, 2.35), 0.05))
    window.do(draw.ToggleCatch())
    window.do(draw.PointTo((3.2, 2.0), 0.05))
    until(window, lambda: window.backstage.stage is not None and window.backstage.stage.held)
    stage = window.backstage.stage
    assert stage is not None
    assert stage.left.rig.house.run("eave").path_m[0].tolist() == pytest.approx([1.2, 2.0])
    held = np.array(window.shown.left_image) if window.shown else np.zeros(0)
    assert window.state.draft is None
    window.do(draw.LetGo())
    until(window, lambda: window.backstage.idle and not window.backstage.stage.held)  # type: ignore[union-attr]
    assert window.shown is not None
    exact = window.shown.left_image
    assert exact.shape == held.shape
    assert 0 < np.abs(exact.astype(float) - held).mean() < 6
    assert window.state.draft is not None
    assert len(window.state.history.done) == 1


def test_a_file_changed_meanwhile_is_kept_beside(
    window: Window, house_file: Path, until: Callable[..., None]
) -> None:
    window.do(draw.OpenBoard())
    window.do(draw.Choose(Pick(Item("run", "eave"))))
    window.do(draw.Arrow(0, -5))
    theirs = house_file.read_text() + "# theirs\n"
    house_file.write_text(theirs)
    window.do(draw.WriteDraft())
    assert window.state.question is not None
    window.do(act.Answer(1))
    assert window.state.question is None
    assert house_file.read_text() == theirs
    ours = load_house(house_file.with_name("house.yours.yaml"))
    assert ours.run("eave").path_m[0].tolist() == pytest.approx([1.0, 2.3])
    until(window, lambda: window.backstage.idle)


def test_written_twice_and_undone_past_the_writing(
    window: Window, house_file: Path, until: Callable[..., None]
) -> None:
    before = house_file.read_text()
    window.do(draw.OpenBoard())
    window.do(draw.Choose(Pick(Item("run", "eave"))))
    window.do(draw.Arrow(0, -5))
    window.do(draw.WriteDraft())
    once = house_file.read_text()
    assert once != before
    assert not unwritten(window.state)
    window.do(act.Undo())  # the writing
    assert house_file.read_text() == before
    assert unwritten(window.state)
    window.do(act.Undo())  # what was drawn
    assert not unwritten(window.state)
    assert window.state.board is not None
    assert window.state.board.draft.text == before
    for _ in range(2):
        window.do(act.Redo())
    assert house_file.read_text() == once
    assert not unwritten(window.state)
    window.do(draw.OpenBoard())  # left, taken back, opened again
    window.do(act.Undo())
    window.do(draw.OpenBoard())
    assert house_file.read_text() == before
    assert unwritten(window.state)
    assert window.state.board is not None
    assert window.state.board.draft is window.state.draft
    window.do(draw.WriteDraft())
    assert house_file.read_text() == once
    until(window, lambda: window.backstage.idle)


def test_what_is_drawn_is_shown_with_other_pixels_too(
    window: Window, until: Callable[..., None]
) -> None:
    window.do(draw.OpenBoard())
    window.do(draw.Choose(Pick(Item("run", "eave"))))
    window.do(draw.Arrow(0, -5))
    window.do(draw.OpenBoard())
    until(window, lambda: window.backstage.idle)
    for kind in ("sk6812-rgbw-warm", None):
        window.do(act.Set("kind", kind or HOUSE_KINDS))
        until(window, lambda: window.backstage.idle)
        stage = window.backstage.stage
        assert stage is not None
        run = stage.left.rig.house.run("eave")
        assert run.path_m[0].tolist() == pytest.approx([1.0, 2.3])
        assert (run.kind.name == "sk6812-rgbw-warm") == bool(kind)
    window.do(act.ToggleCompare())
    until(window, lambda: window.backstage.idle)
    stage = window.backstage.stage
    assert stage is not None
    assert stage.right is not None
    for side in (stage.left, stage.right):
        assert side.rig.house.run("eave").path_m[0].tolist() == pytest.approx([1.0, 2.3])
    assert stage.left.rig.house.run("eave").kind != stage.right.rig.house.run("eave").kind


def test_the_mouse_in_the_panel(window: Window, until: Callable[..., None]) -> None:
    window.do(draw.OpenBoard())
    until(window, lambda: window.backstage.idle)
    from sim.app.state.window_layout import layout

    drawer = layout(window.state).drawer
    for text in ("Zone", "Daylight", "Select"):
        part = next(one for one in window._screen.panel if one.text == text)
        at = (drawer.x + part.place.x + 4, drawer.y + part.place.y + 4)
        for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            pygame.event.post(pygame.event.Event(kind, pos=at, button=1))
            window.step(0.02)
    board = window.state.board
    assert board is not None
    assert (board.tool, board.daylight) == ("select", False)
    until(window, lambda: window.backstage.idle)


def test_draw_without_a_display(house_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    told = CliRunner().invoke(app, ["draw", str(house_file)])
    assert told.exit_code == 2
    assert NO_DISPLAY in told.output
    wrong = CliRunner().invoke(app, ["draw", str(house_file.with_name("no.yaml"))])
    assert wrong.exit_code == 2
