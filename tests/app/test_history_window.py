"""Undo in the window: values, what was written, files that change around it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pygame

from layouts.files.write import backup_of
from sim.app.state import actions as act
from sim.app.state.closing import STAY, unwritten
from sim.app.state.controls import control
from sim.app.state.titles import in_front
from sim.app.window import Window

sys.path.insert(0, str(Path(__file__).parent))
from hand import draw, press, scheme_of

Until = Callable[..., None]


def test_keys_take_back_and_do_again(window: Window) -> None:
    window.do(act.Set("brightness", 0.6))
    press(pygame.K_z, pygame.KMOD_LCTRL)
    window.step(0.0)
    assert window.state.brightness is None
    assert window.state.message.text == "Undone: brightness 60 %"
    for key, mod in ((pygame.K_y, pygame.KMOD_LCTRL),
                     (pygame.K_z, pygame.KMOD_LCTRL | pygame.KMOD_LSHIFT)):  # fmt: skip
        press(key, mod)
        window.step(0.0)
        assert window.state.brightness == 0.6
        assert window.state.message.text == "Redone: brightness 60 %"
        window.do(act.Undo())


def test_a_slider_dragged_is_one_step(window: Window) -> None:
    window.do(act.Drag("brightness"))
    for percent in range(80, 30, -1):
        window.do(act.Set("brightness", percent / 100))
        window.step(0.1)
    window.do(act.Drag(None))
    assert [step.label for step in window.state.history.done] == ["brightness 31 %"]
    window.do(act.Undo())
    assert not window.state.changed


def test_changed_values_are_marked_and_said(window: Window) -> None:
    assert not control(window.state, "brightness").changed
    assert control(window.state, "write") is None  # it is there while something is unwritten
    window.do(act.Set("brightness", 0.6))
    assert control(window.state, "brightness").changed
    assert control(window.state, "write").changed
    assert not control(window.state, "0.speed").changed
    window.state = replace(window.state, focus="brightness")
    assert in_front(window.state) == "Brightness of the scheme: 60 %, not written"


# --- writing ---


def test_a_writing_is_taken_back_and_done_again(window: Window, until: Until) -> None:
    path = scheme_of(window)
    before = path.read_bytes()
    window.do(act.Set("brightness", 0.31))
    window.do(act.Set("0.speed", 1.5))
    window.do(act.WriteValues())
    until(window, lambda: not window.state.changed)
    written = path.read_bytes()
    assert written != before
    for _ in range(2):
        window.do(act.Undo())
        assert path.read_bytes() == before
        assert backup_of(path).read_bytes() == written
        until(window, lambda: window.state.facts.brightness == 0.8)
        assert window.state.question is None
        assert (window.state.shown_brightness, window.state.value(0, "speed")) == (0.31, 1.5)
        assert len(unwritten(window.state)) == 1
        window.do(act.Redo())
        until(window, lambda: not window.state.changed)
        assert path.read_bytes() == written
    for _ in range(3):
        window.do(act.Undo())
        until(window, lambda: window.backstage.idle)
    assert path.read_bytes() == before
    assert not window.state.changed
    assert window.state.question is None


def test_undo_without_waiting_for_the_file_to_be_read(window: Window, until: Until) -> None:
    path = scheme_of(window)
    before = path.read_bytes()
    window.do(act.Set("brightness", 0.31))
    window.do(act.Set("0.speed", 1.5))
    window.do(act.WriteValues())
    for _ in range(3):
        window.do(act.Undo())
    until(window, lambda: window.backstage.idle)
    assert path.read_bytes() == before
    assert not window.state.changed
    assert window.state.question is None
    for _ in range(2):
        window.do(act.Redo())
    until(window, lambda: window.backstage.idle)
    assert window.state.shown_brightness == 0.31
    window.do(act.Redo())
    until(window, lambda: not window.state.changed)
    assert b"brightness: 0.31" in path.read_bytes()


def test_a_file_changed_since_it_was_written_stays(window: Window, until: Until) -> None:
    path = scheme_of(window)
    window.do(act.Set("brightness", 0.31))
    window.do(act.WriteValues())
    until(window, lambda: not window.state.changed)
    path.write_text(path.read_text() + "# a note\n")
    noted = path.read_bytes()
    window.do(act.Undo())
    assert path.read_bytes() == noted
    assert "was changed since it was written" in window.state.message.text
    until(window, lambda: window.backstage.idle)
    window.do(act.Undo())
    assert window.state.shown_brightness == 0.8
    assert window.state.changed
    assert path.read_bytes() == noted


def test_a_drawing_written_is_taken_back_and_done_again(window: Window, until: Until) -> None:
    path = Path(window.state.house_path)
    before = path.read_bytes()
    draw(window, "name: Shed", "name: Barn")
    drawn_text = window.state.draft.text
    window.do(act.Quit())
    window.do(act.Answer(STAY))
    assert window._commands._drafts.write()
    assert b"name: Barn" in path.read_bytes()
    assert unwritten(window.state) == ()
    window.do(act.Undo())
    assert path.read_bytes() == before
    assert window.state.draft.text == drawn_text
    assert len(unwritten(window.state)) == 1
    window.do(act.Redo())
    assert b"name: Barn" in path.read_bytes()
    for _ in range(2):
        window.do(act.Undo())
    assert path.read_bytes() == before
    assert window.state.draft is None
    until(window, lambda: window.backstage.idle)


# --- files that change around it ---


def test_steps_follow_their_layer_when_the_file_is_edited(window: Window, until: Until) -> None:
    window.do(act.Set("1.opacity", 0.25))
    window.do(act.Set("1.opacity", 0.75))
    path = scheme_of(window)
    first = "layers:\n  - {zones: [eave], effect: steady, palette: ['#ffffff'], opacity: 0.9}\n"
    path.write_text(path.read_text().replace("layers:\n", first))
    until(window, lambda: len(window.state.facts.layers) == 3)
    window.state = replace(window.state, history=replace(window.state.history, open_s=0.0))
    window.do(act.Undo())
    assert window.state.value(2, "opacity") == 0.5
    assert window.state.value(0, "opacity") == 0.9
    window.do(act.Redo())
    assert window.state.value(2, "opacity") == 0.75


def test_a_step_whose_layer_has_gone_is_told_and_passed(window: Window, until: Until) -> None:
    window.do(act.Set("brightness", 0.6))
    window.do(act.Set("1.opacity", 0.25))
    path = scheme_of(window)
    lines = path.read_text().splitlines(keepends=True)
    path.write_text("".join(line for line in lines if "steady" not in line))
    until(window, lambda: len(window.state.facts.layers) == 1)
    window.do(act.Undo())
    assert window.state.message.text.startswith("Not undone: opacity of layer 2")
    assert [kept.value for kept in window.state.aside] == [0.25]
    window.do(act.Undo())
    assert window.state.message.text == "Undone: brightness 60 %"


def test_steps_of_a_scheme_wait_while_another_is_on_show(window: Window, until: Until) -> None:
    window.do(act.Set("brightness", 0.31))
    window.do(act.Set("scheme", "Plain"))
    until(window, lambda: window.state.facts.scheme == "Plain")
    window.do(act.Set("brightness", 0.5))
    window.do(act.Undo())
    assert not window.state.changed
    window.do(act.Undo())
    assert window.state.message.text == "Nothing to undo"
    window.do(act.Set("scheme", "Winter"))
    until(window, lambda: window.state.question is not None)
    window.do(act.Answer(1))
    assert window.state.shown_brightness == 0.31
    for _ in range(2):
        window.do(act.Undo())
    assert not window.state.changed


def test_going_back_to_the_file_can_be_undone_and_is_asked_about_again(
    window: Window, until: Until
) -> None:
    window.do(act.Set("brightness", 0.31))
    path = scheme_of(window)
    path.write_text(path.read_text().replace("brightness: 0.8", "brightness: 0.9"))
    until(window, lambda: window.state.question is not None)
    window.do(act.Revert())
    assert window.state.shown_brightness == 0.9
    window.do(act.Undo())
    assert window.state.shown_brightness == 0.31
    assert "file says 90 %" in window.state.question.lines[0]
    window.do(act.WriteValues())
    assert b"0.9" in path.read_bytes()
    until(window, lambda: window.backstage.idle)
