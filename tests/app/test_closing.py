"""What is asked before the window closes, and what of unwritten work outlives it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pygame
import pytest

from sim.app.edit.draft import draft_of
from sim.app.state import actions as act
from sim.app.state.closing import CLOSE, STAY, WRITE_CLOSE, unwritten
from sim.app.state.questions import FORGET_DRAWING, USE_DRAWING
from sim.app.state.unsaved import UnsavedDrawing
from sim.app.window import Window
from sim.app.work.kept_drawing import as_json, from_json
from sim.app.work.places import drawing_path

sys.path.insert(0, str(Path(__file__).parent))
from hand import draw, press, scheme_of

Until = Callable[..., None]


# --- closing ---


def test_closing_asks_only_where_something_is_unwritten(window: Window) -> None:
    window.do(act.Set("brightness", 0.6))
    window.do(act.Undo())
    window.do(act.Quit())
    assert not window.running


ANSWERS = [(WRITE_CLOSE, False, True), (CLOSE, False, False), (STAY, True, False)]


@pytest.mark.parametrize(("answer", "running", "written"), ANSWERS)
def test_answers_at_the_end(
    window: Window, answer: str, running: bool, written: bool, until: Until
) -> None:
    path = scheme_of(window)
    window.do(act.Set("brightness", 0.31))
    draw(window, "name: Shed", "name: Barn")
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    window.step(0.0)
    assert window.running
    assert window.state.question.title == "Close the window?"
    number = [key for key, _ in window.state.question.answers].index(answer)
    press((pygame.K_1, pygame.K_2, pygame.K_3)[number])
    window.step(0.0)
    assert window.running == running
    assert (b"0.31" in path.read_bytes()) == written
    assert (b"Barn" in Path(window.state.house_path).read_bytes()) == written
    assert (window.state.question is None) == running or not window.running
    until(window, lambda: window.backstage.idle)


def test_what_cannot_be_written_keeps_the_window(window: Window, until: Until) -> None:
    draw(window, "name: Shed", "name: Barn")
    path = Path(window.state.house_path)
    path.write_text(path.read_text() + "# mine\n")
    held = path.read_bytes()
    window.do(act.Quit())
    window.do(act.Answer(WRITE_CLOSE))
    assert window.running
    assert path.read_bytes() == held
    assert window.state.question.title == "house.yaml was changed meanwhile"
    window.do(act.Answer(1))
    assert path.read_bytes() == held
    assert "Barn" in path.with_name("house.yours.yaml").read_text()
    until(window, lambda: window.backstage.idle)


def test_the_cross_a_second_time_closes_and_keeps(window: Window) -> None:
    window.do(act.Set("brightness", 0.31))
    window.do(act.Quit())
    window.do(act.Quit())
    assert not window.running


# --- what outlives the window ---


def test_a_drawing_is_kept_offered_and_taken_up(
    window: Window, house_file: Path, until: Until
) -> None:
    draw(window, "name: Shed", "name: Barn")
    window.step(0.8)
    kept = drawing_path(str(house_file))
    assert from_json(kept.read_text()).text == window.state.draft.text
    again = Window(house_file, scheme_of(window), scale=1.0, size_px=(960, 600))
    try:
        until(again, lambda: again.state.question is not None)
        assert again.state.draft is None
        draw(again, "name: Shed", "name: Hut")  # before an answer: neither drawing is lost
        again.step(0.8)
        assert "Barn" in kept.read_text()
        assert "Hut" in drawing_path(str(house_file), 2).read_text()
        again.do(act.Answer(USE_DRAWING))
        assert again.state.draft.text == window.state.draft.text
        assert again.state.history.done[-1].label == "take up the drawing"
        again.step(0.8)
        assert "Hut" in drawing_path(str(house_file), 2).read_text()  # for the next window
        assert again.state.left_drawing is None
    finally:
        again.backstage.close()


def test_a_drawing_written_is_not_offered_again(
    window: Window, house_file: Path, until: Until
) -> None:
    kept = drawing_path(str(house_file))
    draw(window, "name: Shed", "name: Barn")
    window.step(0.8)
    assert kept.exists()
    assert window._commands._drafts.write()
    window.step(0.8)
    assert not kept.exists()
    assert window.drawings.found(str(house_file)) is None
    until(window, lambda: window.backstage.idle)


def test_forgetting_removes_it(
    house_file: Path, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    draft = draft_of(house_file)
    kept = drawing_path(str(house_file))
    kept.write_text(as_json(UnsavedDrawing(str(house_file), "old", draft.text + "# more\n")))
    window = Window(house_file, None, scale=1.0, size_px=(640, 400))
    try:
        until(window, lambda: window.state.question is not None)
        assert "changed since" in window.state.question.lines[1]
        window.do(act.Answer(FORGET_DRAWING))
        window.step(0.1)
        assert not kept.exists()
    finally:
        window.backstage.close()


def test_drawings_that_were_left_are_offered_newest_first(
    house_file: Path, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    draft = draft_of(house_file)
    first, second = drawing_path(str(house_file)), drawing_path(str(house_file), 2)
    for path, name, at_s in ((first, "Hut", 2e9), (second, "Barn", 2e9 + 5)):
        text = draft.text.replace("Shed", name)
        path.write_text(as_json(UnsavedDrawing(str(house_file), draft.digest, text)))
        os.utime(path, (at_s, at_s))
    window = Window(house_file, None, scale=1.0, size_px=(640, 400))
    try:
        until(window, lambda: window.state.left_drawing is not None)
        assert "Barn" in window.state.left_drawing.text
        window.do(act.Answer(FORGET_DRAWING))
        assert window.state.left_drawing is None
        window.step(0.1)
        assert not second.exists()
        assert "Hut" in window.state.left_drawing.text
        window.do(act.Answer(USE_DRAWING))
        window.step(0.8)
        assert window.state.question is None
        assert "Hut" in window.state.draft.text
        assert "Hut" in from_json(first.read_text()).text
    finally:
        window.backstage.close()


@pytest.mark.parametrize("text", ["", "[]", '{"format": "evenfall-drawing/1"}', "\0", "[" * 5000])
def test_a_spoiled_record_is_no_drawing(text: str) -> None:
    assert from_json(text) is None


CHILD = """
import sys, platformdirs
from dataclasses import replace
platformdirs.user_state_dir = lambda *_, **__: sys.argv[2]
from sim.app.edit.draft import draft_from_text, draft_of
from sim.app.state import actions as act
from sim.app.state.history import stepped
import sim.app.window as window_module

class Watched(window_module.Window):
    told = False
    def step(self, seconds):
        super().step(seconds)
        if self.state.facts and not self.state.draft:
            self.do(act.Set("brightness", 0.31))
            draft = draft_of(self.state.house_path)
            made = draft_from_text(draft.text.replace("Shed", "Barn"), draft.file, draft.digest)
            self.state = stepped(self.state, replace(self.state, draft=made), "draw")
        elif self.state.facts and not self.told and self.drawings._path and self.keeper._held:
            self.told = True
            print("kept", flush=True)

window_module.Window = Watched
window_module.run_window(sys.argv[1])
print("closed", flush=True)
"""


@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM"])
def test_unwritten_work_outlives_a_kill(
    house_file: Path, own_state_folder: Path, until: Until, how: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    before = house_file.read_bytes()
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(house_file), str(own_state_folder)],
        stdout=subprocess.PIPE, text=True, env=dict(os.environ),
    )  # fmt: skip
    try:
        assert child.stdout is not None
        assert child.stdout.readline() == "kept\n"
        child.send_signal(getattr(signal, how))
        rest = child.stdout.read()
        child.wait(300)
    finally:
        child.kill()
        child.wait()
        child.stdout.close()
    assert (child.returncode, rest) == ((-9, "") if how == "SIGKILL" else (0, "closed\n"))
    assert house_file.read_bytes() == before
    again = Window(house_file, None, scale=1.0, size_px=(640, 400))
    try:
        until(again, lambda: again.state.question is not None and again.state.left_drawing)
        again.do(act.Answer(1))
        again.do(act.Answer(1))
        assert again.state.shown_brightness == 0.31
        assert "Barn" in again.state.draft.text
        assert json.loads(drawing_path(str(house_file)).read_text())["text"]
        assert len(unwritten(again.state)) == 2
    finally:
        again.backstage.close()
