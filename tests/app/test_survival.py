"""Whatever fails, the window and its unsaved values stay; what is wrong in a file is a banner."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pygame
import pytest

from effects import load_scheme
from sim.app.state import actions as act
from sim.app.state.record import OVERLAYS
from sim.app.state.told_aside import next_aside
from sim.app.state.told_aside import told as told_words
from sim.app.state.window_layout import layout
from sim.app.view.plain import printable
from sim.app.window import Window
from sim.app.work import guard
from sim.app.work.kept import from_json
from sim.app.work.places import recovery_path, state_folder
from sim.app.work.watch import Watch, stamp

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait

Until = Callable[..., None]


#: Small: many scenes are made here, and what is asked of them does not depend on it.
SIZE = (640, 400)


@pytest.fixture
def size_px() -> tuple[int, int]:
    return SIZE


class LampWentOutError(RuntimeError):
    """No error of the program's own."""


def boom(*_: object, **__: object) -> None:
    raise LampWentOutError("a lamp\nwent out\0")


@pytest.fixture
def edited(window: Window) -> Window:
    window.do(act.Set("brightness", 0.31))
    window.do(act.Set("0.speed", 1.5))
    window.step(0.0)
    return window


def stands(window: Window) -> bool:
    """Whether window and unsaved values are there."""
    values = (window.state.shown_brightness, window.state.value(0, "speed"))
    return window.running and values == (0.31, 1.5)


def kept(window: Window) -> bool:
    """Whether the unsaved values are on the disk."""
    left = from_json(recovery_path(window.state.facts.scheme_file).read_text())
    return left is not None and dict(left.whole) == {"brightness": 0.31} and len(left.values) == 1


def house_text(path: Path, old: str, new: str) -> bytes:
    text = path.read_text()
    assert old in text
    return text.replace(old, new, 1).encode()


PHOTO = 'drawing:\n  photo: {file: "%s", corners: [[0, 0], [6, 0], [6, 3], [0, 3]]}\n'
#: What is saved while the window runs: (file, what is put for what).
BROKEN_HOUSES = {
    "a NUL in the photo's name": ("drawing:\n", PHOTO % "a\\0b.jpg"),
    "a photo's name of 300 letters": ("drawing:\n", PHOTO % ("a" * 300 + ".jpg")),
    "a wire of 0.2 mm2": ("wire: 18 AWG, length: 2 m", "wire: 0.2 mm2, length: 2 m"),
    "a NUL in a run's name": ("name: door", 'name: "do\\0or"'),
}
BROKEN_SCHEMES = {
    "Latin-1": lambda text: text.replace("winter", "für den Winter").encode("latin-1"),
    "layers empty": lambda text: (text.split("layers:")[0] + "layers:\n").encode(),
    "layers a word": lambda text: (text.split("layers:")[0] + "layers: word\n").encode(),
    "layers in layers": lambda text: (text.split("layers:")[0] + "layers: [[1]]\n").encode(),
    "a list": lambda _: b"[1, 2]\n",
    "a bare word": lambda _: b"word\n",
    "nothing": lambda _: b"",
    "a NUL": lambda text: text.replace("chase", "cha\0se").encode(),
    "a zone with a NUL": lambda text: text.replace("[door]", '["do\\0or"]').encode(),
}


def test_what_is_wrong_in_a_file_saved_while_it_runs_is_a_banner(
    edited: Window, house_file: Path, until: Until
) -> None:
    scheme = Path(edited.state.facts.scheme_file)
    broken = [(name, house_file, house_text(house_file, *put))
              for name, put in BROKEN_HOUSES.items()]  # fmt: skip
    broken += [(name, scheme, make(scheme.read_text())) for name, make in BROKEN_SCHEMES.items()]
    for name, path, raw in broken:
        good = path.read_bytes()
        path.write_bytes(raw)
        until(edited, lambda: bool(edited.state.problems))
        assert edited.state.problems[0].file == str(path), name
        assert edited.state.fault == "", name
        assert stands(edited), name
        edited.do(act.WriteValues())
        assert scheme.read_bytes() == (raw if path == scheme else scheme.read_bytes()), name
        edited.step(0.1)
        edited.do(act.Set("hour", "late" if edited.state.hour == "dusk" else "dusk"))
        until(edited, lambda: edited.backstage.idle)  # other wishes are met all the same
        path.write_bytes(good)
        until(edited, lambda: not edited.state.problems)
        assert stands(edited), name
    edited.do(act.WriteValues())
    until(edited, lambda: not edited.state.changed)
    assert load_scheme(scheme).brightness == 0.31


@pytest.mark.parametrize("name", ["a\0b.scheme.yaml", "a" * 300 + ".scheme.yaml"])
def test_a_scheme_of_an_impossible_name_is_a_banner(
    edited: Window, name: str, until: Until
) -> None:
    before = edited.state.scheme_path
    edited.do(act.Open(name))
    until(edited, lambda: bool(edited.state.problems))
    assert stands(edited)
    edited.do(act.Open(before))
    until(edited, lambda: not edited.state.problems)
    assert stands(edited)


def test_a_file_of_an_impossible_name_is_watched_as_missing() -> None:
    assert stamp(["a\0b"]) == (("a\0b", 0, -1, 0),)
    assert Watch().changed(["a\0b"], 0.0) is False


def key(window: Window) -> None:
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_v, mod=0, unicode=""))


def on(window: Window) -> None:
    window.do(act.Step(1))


def resized(window: Window) -> None:
    window.do(act.Resize((window.state.size_px[0] - 8, SIZE[1])))


def larger(window: Window) -> None:
    window.do(act.Zoom(1 if window.state.scale == 1.0 else -1))


#: Every stage of a turn: where the exception is put in, and what leads there.
STAGES: dict[str, tuple[str, Callable[[Window], None]]] = {
    "an event": ("sim.app.hearing.action_of_key", key),
    "an action": ("sim.app.window.update", on),
    "following the files": ("sim.app.work.backstage.wanted", on),
    "a frame": ("sim.app.work.player.frame_now", on),
    "a picture": ("sim.app.work.player.screen_picture", on),
    "the ribbon": ("sim.app.view.ribbon.curve_image", larger),
    "the drawer": ("sim.app.view.screen.draw_drawer", lambda w: w.do(act.ToggleDrawer())),
    "the widgets": ("sim.app.view.widgets.Widgets.sync", on),
    "all drawing": ("sim.app.view.screen.layout", on),
    "the words of a control": ("sim.app.window.title", on),
    "keeping values": ("sim.app.work.kept.unsaved", lambda w: w.do(act.Set("1.opacity", 0.25))),
    "the thread of stages": ("sim.app.work.stage.scene", resized),
    "the thread of loads": (
        "sim.app.work.measure.blocks",
        lambda w: w.do(act.Set("kind", "ws2813")),
    ),
    "writing": ("sim.app.commands.write", lambda w: w.do(act.WriteValues())),
    "a picture saved": (
        "sim.app.work.share_files.create_atomically",
        lambda w: w.do(act.Screenshot()),
    ),
    "flipping": ("pygame.display.flip", on),
}


@pytest.mark.parametrize("stage", STAGES)
def test_an_exception_in_any_stage_leaves_window_and_values(
    edited: Window, stage: str, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    where, lead_there = STAGES[stage]
    told = state_folder() / "faults.txt"
    with monkeypatch.context() as broken:
        broken.setattr(where, boom)
        lead_there(edited)
        wait(told.exists, lambda: edited.step(0.3))
        for _ in range(5):
            lead_there(edited)
            edited.step(0.6)
        assert "LampWentOutError" in told.read_text()
        assert stands(edited)
        assert "LampWentOutError" in edited.state.fault
        if stage != "keeping values":
            assert kept(edited)
    for _ in range(3):
        on(edited)
        resized(edited)
        edited.step(1.5)
    until(edited, lambda: edited.backstage.idle)
    while next_aside(edited.state):  # what was told is put aside, and leaves a mark
        edited.do(act.Back())
    on(edited)
    edited.step(0.1)
    picture = layout(edited.state).picture
    drawn = pygame.surfarray.array3d(edited.surface)[: picture.w, : picture.h]
    assert drawn.std() > 10  # the house is there again
    assert told_words(edited.state).fault == ""
    assert stands(edited)
    edited.do(act.WriteValues())
    until(edited, lambda: not edited.state.changed)
    assert load_scheme(edited.state.scheme_path).brightness == 0.31


def test_a_window_that_cannot_be_drawn_says_so_in_plain_words(
    edited: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(edited._screen, "draw", boom)
    edited.do(act.Step(1))
    edited.step(0.1)
    shot = pygame.surfarray.array3d(edited.surface)
    assert (shot.reshape(-1, 3) == (243, 235, 221)).all(axis=1).sum() > 200
    assert edited.guard.rests("drawing")
    edited.step(0.2)
    assert edited.guard.rests("drawing")
    monkeypatch.undo()
    edited.step(1.5)
    edited.step(0.1)
    assert not edited.guard.rests("drawing")


def test_the_record_of_faults_does_not_grow_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "MOST_BYTES", 2000)
    sizes = []
    for _ in range(60):
        path = guard.write_down("a test", LampWentOutError("again"))
        assert path is not None
        sizes.append(path.stat().st_size)
    assert max(sizes) < 2500


def test_text_no_font_can_draw_is_drawn_with_a_mark(window: Window, until: Until) -> None:
    assert printable("a\0b\nc\ud800d é") == "a\ufffdb\ufffdc\ufffdd é"
    window.do(act.ToggleDrawer())
    window.do(act.Say("a\0b\nc\ud800d"))
    window.do(act.Failed("x\0y"))
    from dataclasses import replace

    facts = replace(window.state.facts, house="Sh\0ed", schemes=(("p", "a\0\nb"), ("q", "c")))
    window.state = replace(window.state, facts=facts)
    for _ in range(5):
        window.step(0.2)
    assert window.state.fault == "x\0y"
    until(window, lambda: window.backstage.idle)


SIZES = [(160, 120), (160, 80), (200, 60), (300, 30), (120, 20), (1280, 100), (1280, 40), (60, 700),
         (320, 240), (10, 10), (1, 1)]  # fmt: skip


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_a_window_of_any_size_is_drawn(window: Window, scale: float, until: Until) -> None:
    window.do(act.Set("type", f"{100 * scale:.0f} %"))
    window.do(act.Select(12))
    for overlay in OVERLAYS:
        window.do(act.ToggleOverlay(overlay))
    for size in SIZES:
        window.surface = pygame.Surface(size)
        window.do(act.Resize(size))
        for compared in (False, True):
            if window.state.compare != compared:
                window.do(act.ToggleCompare())
            until(window, lambda: window.backstage.idle)
            for action in (act.ToggleDrawer(), act.Focus(1), act.Say("word " * 30),
                           act.ToggleHelp(), act.ToggleHelp(), act.ToggleDrawer()):  # fmt: skip
                window.do(action)
                for _ in range(3):
                    window.step(0.1)
            assert window.state.fault == "", (size, window.state.fault)
        if min(size) >= 20:
            assert pygame.surfarray.array3d(window.surface).std() > 3, size
