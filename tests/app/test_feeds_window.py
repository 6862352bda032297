"""Feeds proposed in the whole window, without a screen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pygame
import pytest

import sim.app.work.planner as planner
from layouts import load_house
from sim.app.state import actions as act
from sim.app.state.proposing import LOST, is_card
from sim.app.state.question import question_places
from sim.app.state.window_layout import layout
from sim.app.window import Window

Until = Callable[[Window, Callable[[], bool]], None]
SIZE = (960, 600)


@pytest.fixture
def bare_file(house_file: Path) -> Path:
    """The small house without supplies and wires."""
    text = house_file.read_text()
    house_file.write_text(text[: text.index("supplies:")] + text[text.index("outputs:") :])
    return house_file


@pytest.fixture
def bare(bare_file: Path, monkeypatch: pytest.MonkeyPatch, until: Until) -> Iterator[Window]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.chdir(bare_file.parent)
    one = Window(bare_file, bare_file.parent / "winter.scheme.yaml", scale=1.0, size_px=SIZE)
    until(one, lambda: one.shown is not None and one.backstage.idle)
    yield one
    one.close()


def press(window: Window, key: int) -> None:
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=0, unicode=""))
    window.step(0.02)
    pygame.event.post(pygame.event.Event(pygame.KEYUP, key=key, mod=0))
    window.step(0.02)


def wired(window: Window) -> bool:
    stage = window.backstage.stage
    if stage is None or not stage.left.rig.house.wires:
        return False
    return stage.left.hung is not None and stage.left.hung.ways is not None


def test_proposed_accepted_and_undone(bare: Window, bare_file: Path, until: Until) -> None:
    file, frame = bare_file.read_bytes(), bare.state.frame
    assert bare.state.facts is not None
    assert bare.state.facts.unfed == ("eave", "door")
    press(bare, pygame.K_p)
    assert bare.state.asking is not None
    until(bare, lambda: bare.state.proposal is not None)
    assert bare.state.frame != frame  # the picture went on
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    assert is_card(bare.state.question)
    stage = bare.backstage.stage
    assert stage is not None
    house = stage.left.rig.house
    # 60 pixels of 3 x 12 mA (WS2812B, the kind's own sheet) draw 2.2 A and their idle current.
    assert bare.state.proposal is not None
    assert bare.state.proposal.title.startswith("Proposed: 1 supply")
    assert {run.name for run in house.runs} <= {w.end.name for w in house.wires} | {
        w.start.name for w in house.wires
    }
    assert bare.backstage.loads["left"].names == tuple(s.name for s in house.supplies)
    press(bare, pygame.K_1)
    assert bare.state.proposal.accepted
    until(bare, lambda: bare.backstage.idle)
    assert wired(bare)
    press(bare, pygame.K_u)
    until(bare, lambda: not wired(bare) and bare.backstage.idle)
    assert bare.state.proposal is None
    assert bare_file.read_bytes() == file
    assert not bare.state.fault


def test_wires_and_card_are_drawn_and_taken_by_the_mouse(bare: Window, until: Until) -> None:
    bare.do(act.PlayPause())
    bare.step(0.5)
    before = pygame.surfarray.array3d(bare.surface).astype(int)
    bare.do(act.ProposeFeeds())
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    after = pygame.surfarray.array3d(bare.surface).astype(int)
    assert bare.state.question is not None
    places = question_places(bare.state.question, layout(bare.state))
    card = places.card
    assert (np.abs(after - before)[card.x : card.right, card.y : card.bottom] > 8).mean() > 0.5
    button = places.buttons[1]  # Undo
    pygame.event.post(pygame.event.Event(
        pygame.MOUSEBUTTONDOWN, button=1, pos=(button.x + 5, button.y + 5)))  # fmt: skip
    bare.step(0.02)
    assert bare.state.proposal is None


def test_the_drawer_has_a_button(bare: Window, until: Until) -> None:
    bare.do(act.ToggleDrawer())
    for _ in range(3):
        bare.step(0.3)
    row = next(row for row in bare._screen.rows if row.control and row.control.id == "propose")
    assert row.control is not None
    assert row.control.label == "Propose feeds"
    widgets = bare._screen.widgets
    assert widgets is not None
    element = next(e for e, one in widgets._controls.items() if getattr(one, "id", "") == "propose")
    import pygame_gui

    pygame.event.post(pygame.event.Event(pygame_gui.UI_BUTTON_PRESSED, ui_element=element))
    bare.step(0.02)
    assert bare.state.asking is not None
    bare.do(act.StopProposing())
    until(bare, lambda: bare.backstage.idle)
    assert bare.state.proposal is None


def test_why_nothing_is_proposed_stands_on_a_banner(
    bare: Window, bare_file: Path, until: Until
) -> None:
    bare_file.write_text(bare_file.read_text() + "places:\n  - {name: shed, at: [2, 1]}\n")
    until(
        bare, lambda: bare.backstage.stage is not None and bool(bare.backstage.stage.house.places)
    )
    bare.do(act.ProposeFeeds())
    until(bare, lambda: bool(bare.state.no_plan))
    assert "mains" in bare.state.no_plan
    assert bare.state.asking is None
    assert not bare.state.fault


def test_a_fault_in_the_planner_leaves_the_window_alive(
    bare: Window, monkeypatch: pytest.MonkeyPatch, until: Until
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a fault of the test")

    monkeypatch.setattr(planner, "plan_house", broken)
    bare.do(act.ProposeFeeds())
    until(bare, lambda: bool(bare.state.fault))
    assert "ZeroDivisionError" in bare.state.fault
    assert bare.state.asking is None
    monkeypatch.undo()
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    bare.do(act.Back())
    frame = bare.state.frame
    bare.step(0.1)
    assert bare.state.frame != frame
    bare.do(act.ProposeFeeds())
    until(bare, lambda: bare.state.proposal is not None)


def test_another_house_file_takes_the_proposal_along(
    bare: Window, bare_file: Path, until: Until
) -> None:
    bare.do(act.ProposeFeeds())
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    bare_file.write_text(bare_file.read_text().replace("count: 40", "count: 30"))
    until(bare, lambda: bare.state.proposal is None)
    until(bare, lambda: bare.backstage.idle)
    assert not wired(bare)
    assert bare.state.facts is not None
    assert bare.state.facts.runs[0].count == 30


def test_a_step_brings_back_no_feeds_of_an_older_house_file(
    bare: Window, bare_file: Path, until: Until
) -> None:
    bare.do(act.ProposeFeeds())
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    press(bare, pygame.K_1)  # keep them
    bare_file.write_text(bare_file.read_text().replace("count: 40", "count: 30"))
    until(bare, lambda: bool(bare.state.facts and bare.state.facts.runs[0].count == 30))
    until(bare, lambda: bare.backstage.idle and bare.state.proposal is None)
    bare.do(act.Undo())
    assert bare.state.proposal is not None
    bare.step(0.02)
    assert bare.state.proposal is None
    assert bare.state.message is not None
    assert bare.state.message.text == LOST
    until(bare, lambda: bare.backstage.idle)
    assert not wired(bare)
    assert bare.state.fault == ""


def test_accepted_feeds_are_written_to_the_house_file(
    bare: Window, bare_file: Path, until: Until
) -> None:
    bare.do(act.ProposeFeeds())
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    stage = bare.backstage.stage
    assert stage is not None
    proposed = [wire.label for wire in stage.left.rig.house.wires]
    press(bare, pygame.K_1)
    assert bare.state.question is not None
    press(bare, pygame.K_1)
    assert bare.state.proposal is None
    until(bare, lambda: bare.state.facts is not None and not bare.state.facts.unfed)
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    assert bare_file.read_text().startswith("# Invented for a test.")
    assert [wire.label for wire in load_house(bare_file).wires] == proposed
    assert not bare.state.fault


def test_a_house_file_changed_meanwhile_is_not_overwritten(
    bare: Window, bare_file: Path, until: Until
) -> None:
    bare.do(act.ProposeFeeds())
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    bare.do(act.AcceptFeeds())
    bare_file.write_text(bare_file.read_text() + "# by somebody else\n")
    theirs = bare_file.read_bytes()
    bare.do(act.WriteFeeds())
    assert bare_file.read_bytes() == theirs
    assert bare.state.message is not None
    assert "changed by somebody else" in bare.state.message.text


def test_wires_lie_where_the_file_says_supplies_hang(
    house_file: Path, monkeypatch: pytest.MonkeyPatch, until: Until
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    text = house_file.read_text()
    house_file.write_text(text.replace("{name: box, ", "{name: box, at: [1, 0.35], "))
    one = Window(house_file, size_px=SIZE, scale=1.0)
    try:
        until(one, lambda: one.shown is not None and one.backstage.idle)
        stage = one.backstage.stage
        assert stage is not None
        assert stage.left.hung is not None
        assert stage.left.hung.ways is not None
        # By hand: 2 m straight up from the box to the start of the eave.
        np.testing.assert_allclose(stage.left.hung.ways.ways[0], [[1, 0.35], [1, 2.35]])
        before = pygame.surfarray.array3d(one.surface).astype(int)
        one.do(act.ToggleOverlay("wires"))
        one.step(0.1)
        after = pygame.surfarray.array3d(one.surface).astype(int)
        x, y = np.rint(stage.left.scene.view.to_px(np.array([1.0, 1.0]))).astype(int)
        near = np.abs(after - before)[x - 3 : x + 4, y - 3 : y + 4]
        assert near.max() > 100  # amber where nothing was
        assert not one.state.fault
    finally:
        one.close()


def test_feeds_written_are_taken_back_and_written_again(
    bare: Window, bare_file: Path, until: Until
) -> None:
    before = bare_file.read_bytes()
    bare.do(act.ProposeFeeds())
    until(bare, lambda: wired(bare) and bare.backstage.idle)
    press(bare, pygame.K_1)
    press(bare, pygame.K_1)
    written = bare_file.read_bytes()
    until(bare, lambda: bare.state.facts is not None and not bare.state.facts.unfed)
    until(bare, lambda: bare.backstage.idle)
    for _ in range(2):
        bare.do(act.Undo())
        assert bare_file.read_bytes() == before
        until(bare, lambda: bool(bare.state.facts) and wired(bare) and bare.backstage.idle)
        assert bare.state.proposal is not None
        assert bare.state.proposal.accepted
        bare.do(act.Redo())
        assert bare_file.read_bytes() == written
        until(bare, lambda: bare.backstage.idle)
    bare.do(act.Undo())
    bare.do(act.Undo())  # and the accepting: the card asks again
    assert bare.state.proposal is not None
    assert is_card(bare.state.question)
    assert bare_file.read_bytes() == before
