"""Values not written yet: asked about where the file is newer, kept for the next start."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from effects import load_scheme
from layouts import InputError
from layouts.files.writeback import Conflict, digest_of, write_values
from sim.app.state import actions as act
from sim.app.state.layers import LayerMark, LayerValue
from sim.app.state.question import question_places
from sim.app.state.questions import BESIDE, FORGET, KEEP_FILE, OVER, USE, found_unsaved, unsaved
from sim.app.state.record import Facts, Question, State
from sim.app.state.unsaved import Unsaved
from sim.app.state.update import update
from sim.app.state.window_layout import layout
from sim.app.window import Window
from sim.app.work.kept import Keeper, as_json, from_json
from sim.app.work.places import recovery_path

Until = Callable[..., None]


def scheme_of(window: Window) -> Path:
    return Path(window.state.facts.scheme_file)


# --- the file has another value since ---


@pytest.fixture
def collided(window: Window, until: Until) -> Window:
    """The slider stands at 0.31 unsaved, another layer is edited, and an editor saved 0.9."""
    window.do(act.Set("brightness", 0.31))
    window.do(act.Set("1.opacity", 0.25))
    path = scheme_of(window)
    path.write_text(path.read_text().replace("brightness: 0.8", "brightness: 0.9"))
    until(window, lambda: window.state.question is not None)
    return window


def test_a_newer_value_in_the_file_is_not_written_over_unasked(collided: Window) -> None:
    path = scheme_of(collided)
    before = path.read_bytes()
    assert "file says 90 %, this window 31 %" in collided.state.question.lines[0]
    collided.do(act.WriteValues())
    assert path.read_bytes() == before
    assert collided.state.shown_brightness == 0.31
    collided.do(act.Back())
    assert collided.state.question is None
    collided.do(act.WriteValues())
    assert path.read_bytes() == before
    assert collided.state.question is not None


def test_keeping_the_files_drops_only_what_was_asked_about(collided: Window, until: Until) -> None:
    collided.do(act.Answer(KEEP_FILE))
    assert collided.state.shown_brightness == 0.9
    assert collided.state.value(1, "opacity") == 0.25
    collided.do(act.WriteValues())
    until(collided, lambda: not collided.state.changed)
    scheme = load_scheme(scheme_of(collided))
    assert (scheme.brightness, scheme.layers[1].opacity) == (0.9, 0.25)


def test_mine_goes_over_it_when_asked(collided: Window, until: Until) -> None:
    collided.do(act.Answer(OVER))
    until(collided, lambda: not collided.state.changed)
    assert collided.state.question is None
    text = scheme_of(collided).read_text()
    assert "brightness: 0.31   # as on the ladder" in text
    assert load_scheme(scheme_of(collided)).layers[1].opacity == 0.25


def test_mine_goes_beside_it_when_asked(collided: Window, until: Until) -> None:
    path = scheme_of(collided)
    before = path.read_bytes()
    collided.do(act.Answer(BESIDE))
    until(collided, lambda: scheme_of(collided) != path)
    assert path.read_bytes() == before
    beside = load_scheme(path.with_name("winter-2.scheme.yaml"))
    assert (beside.brightness, beside.layers[1].opacity) == (0.31, 0.25)
    assert not collided.state.changed


def test_the_answers_are_on_keys_and_buttons(collided: Window) -> None:
    import pygame

    places = question_places(collided.state.question, layout(collided.state))
    x, y = places.buttons[0].x + 5, places.buttons[0].y + 5
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=(x, y)))
    collided.step(0.0)
    assert collided.state.question is None
    assert collided.state.shown_brightness == 0.9


def test_a_save_not_seen_yet_is_not_written_over(window: Window, until: Until) -> None:
    """The editor saved a moment ago, and the window has not read it: layers have moved."""
    window.do(act.Set("1.opacity", 0.25))
    path = scheme_of(window)
    first = "layers:\n  - {zones: [eave], effect: steady, palette: ['#ffffff'], opacity: 0.9}\n"
    path.write_text(path.read_text().replace("layers:\n", first))
    saved = path.read_bytes()
    window.do(act.WriteValues())
    assert path.read_bytes() == saved
    assert "changed since it was read" in window.state.message.text
    until(window, lambda: len(window.state.facts.layers) == 3)
    assert window.state.value(2, "opacity") == 0.25
    window.do(act.WriteValues())
    until(window, lambda: not window.state.changed)
    assert [layer.opacity for layer in load_scheme(path).layers] == [0.9, 1.0, 0.25]


def test_what_the_scheme_reader_would_refuse_is_not_written(window: Window) -> None:
    path = scheme_of(window)
    before = path.read_bytes()
    mark = window.state.facts.marks[0]
    for name, value in (("speed", 1e9), ("glow", 0.5)):
        window.state = replace(window.state, edits={(mark, name): value})
        rows = {"layers": (("layers", 0, "set", name))}
        with pytest.raises(InputError, match=name):
            write_values(path, {rows["layers"]: value}, expected=digest_of(path),
                         validate=lambda text: _read(window, text))  # fmt: skip
        assert path.read_bytes() == before
    window.state = replace(window.state, edits={(mark, "speed"): 1e9})
    window.do(act.WriteValues())
    assert "Not written" in window.state.message.text
    assert path.read_bytes() == before
    assert window.state.changed


def _read(window: Window, text: str) -> object:
    from effects.load import scheme_from_text

    return scheme_from_text(text, "a.scheme.yaml", window.backstage.stage.house)


def test_a_content_other_than_expected_is_a_conflict(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("brightness: 0.8\n")
    seen = digest_of(path)
    path.write_text("brightness: 0.9\n")
    with pytest.raises(Conflict):
        write_values(path, {("brightness",): 0.3}, expected=seen)
    assert path.read_text() == "brightness: 0.9\n"

    def editor(_: str) -> None:
        path.write_text("brightness: 0.7\n")

    with pytest.raises(Conflict):
        write_values(path, {("brightness",): 0.3}, expected=digest_of(path), validate=editor)
    assert path.read_text() == "brightness: 0.7\n"


# --- kept for the next start ---


def test_unsaved_values_outlive_the_window_and_are_offered(
    window: Window, house_file: Path, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.do(act.Set("brightness", 0.31))
    window.do(act.Set("0.speed", 1.5))
    path = scheme_of(window)
    kept = recovery_path(str(path))
    for _ in range(4):
        window.step(0.3)
    assert kept.exists()
    kept_bytes = kept.read_bytes()
    again = Window(house_file, path, scale=1.0, size_px=(960, 600))  # the first was killed, say
    try:
        until(again, lambda: again.state.question is not None)
        assert not again.state.changed
        assert any("31 %" in line for line in again.state.question.lines)
        until(again, lambda: again.backstage.idle)
        assert kept.read_bytes() == kept_bytes
        again.do(act.Answer(1))
        assert again.state.shown_brightness == 0.31
        assert again.state.value(0, "speed") == 1.5
        again.do(act.WriteValues())
        until(again, lambda: not again.state.changed)
        for _ in range(4):
            again.step(0.3)
        assert not kept.exists()
    finally:
        again.backstage.close()
    assert load_scheme(path).brightness == 0.31


def test_closing_keeps_what_is_unsaved_at_once(
    house_file: Path, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    one = Window(house_file, house_file.parent / "winter.scheme.yaml", size_px=(640, 400))
    until(one, lambda: one.shown is not None)
    path = recovery_path(one.state.facts.scheme_file)
    one.do(act.Set("brightness", 0.2))
    one.close()
    left = from_json(path.read_text())
    assert left is not None
    assert left.whole == (("brightness", 0.2),)


def test_another_scheme_and_back_again_offers_them(window: Window, until: Until) -> None:
    window.do(act.Set("brightness", 0.31))
    window.do(act.Set("scheme", "Plain"))
    until(window, lambda: window.state.facts.scheme == "Plain")
    assert not window.state.changed
    window.do(act.Set("scheme", "Winter"))
    until(window, lambda: window.state.question is not None)
    window.do(act.Answer(USE))
    assert window.state.shown_brightness == 0.31


def test_until_it_is_answered_what_was_found_stays_kept(state: State, facts: Facts) -> None:
    left = Unsaved(facts.scheme_file, (("brightness", 0.2), ("white", "off")),
                   (LayerValue(facts.marks[0], "speed", 2.0),), facts.marks)  # fmt: skip
    asked = update(update(state, act.FoundUnsaved(left)), act.Set("brightness", 0.5))
    kept = unsaved(asked)
    assert dict(kept.whole) == {"brightness": 0.5, "white": "off"}
    assert kept.values == left.values
    used = update(asked, act.Answer(USE))
    assert (used.shown_brightness, used.white, used.value(0, "speed")) == (0.5, "off", 2.0)
    assert (used.recovered, used.question) == (None, None)
    assert unsaved(update(asked, act.Answer(FORGET))).values == ()


def test_what_the_file_holds_by_now_or_cannot_hold_is_not_offered(
    state: State, facts: Facts
) -> None:
    mark = facts.marks[0]
    for name, value in (("speed", 0.5), ("speed", 99.0), ("speed", "fast"), ("glow", 1.0)):
        values = (LayerValue(mark, name, value),)
        left = Unsaved(facts.scheme_file, (("brightness", 0.8),), values, facts.marks)
        assert found_unsaved(state, left).question is None
    elsewhere = Unsaved("other.scheme.yaml", (("brightness", 0.1),))
    assert found_unsaved(state, elsewhere) is state


WORDS = st.text(max_size=8)
MARKS = st.builds(
    LayerMark, WORDS, st.lists(WORDS, max_size=2).map(tuple),
    st.one_of(WORDS, st.lists(WORDS, max_size=2).map(tuple)),
    st.lists(st.tuples(WORDS, st.floats(-9, 9)), max_size=2).map(tuple),
)  # fmt: skip


@given(st.lists(MARKS, max_size=3).map(tuple), st.floats(0, 1), WORDS)
def test_what_is_kept_is_read_back_the_same(marks: tuple, bright: float, name: str) -> None:
    values = tuple(LayerValue(mark, name, bright) for mark in marks)
    left = Unsaved(name, (("brightness", bright), ("white", name)), values, marks)
    assert from_json(as_json(left)) == left


@pytest.mark.parametrize(
    "text",
    ["", "[", "[]", "3", '{"format": "evenfall-unsaved/1"}', '{"format": "x", "scheme_file": "a"}',
     json.dumps({"format": "evenfall-unsaved/1", "scheme_file": 3}), "[" * 5000, "\0"],
)  # fmt: skip
def test_a_spoiled_record_is_no_record(text: str) -> None:
    assert from_json(text) is None


def test_a_folder_that_cannot_be_written_harms_nothing(
    state: State, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sim.app.work.kept.put", refuse)
    keeper = Keeper()
    keeper.follow(update(state, act.Set("brightness", 0.1)), 60.0)
    keeper.leave()


# --- where a question stands ---


@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("size", [(1280, 720), (640, 400), (320, 480), (160, 120), (200, 60)])
def test_the_buttons_of_a_question_never_meet_and_stay_on_the_card(
    state: State, size: tuple[int, int], scale: float
) -> None:
    asked = Question("Which?", ("a",) * 12, (("a", "A"), ("b", "B"), ("c", "C")))
    parts = layout(replace(state, size_px=size, scale=scale))
    places = question_places(asked, parts)
    assert len(places.buttons) == 3
    for index, one in enumerate(places.buttons):
        assert one.w > 0
        assert one.h > 0
        assert places.card.x <= one.x
        assert one.right <= places.card.right
        assert one.bottom <= places.card.bottom
        assert not any(one.meets(other) for other in places.buttons[:index])
