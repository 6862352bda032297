"""A frame made beside the window is the frame that the window would have made itself."""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from effects import load_scheme
from layouts import load_house
from sim.app.state.record import State
from sim.app.state.shown import Shown, Side, Stage
from sim.app.work.beside import beside
from sim.app.work.file_facts import facts_of
from sim.app.work.player import Player
from sim.frame import frame, rig_for, scene
from sim.light import picture

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait

COTTAGE = Path(__file__).parents[2] / "demo/cottage"
STEP_S = 1 / 40


@pytest.fixture(scope="module")
def stage() -> Stage:
    house = load_house(COTTAGE / "house.yaml")
    scheme = load_scheme(next(iter(sorted(COTTAGE.glob("*.scheme.yaml")))), house)
    scene_of = scene(house, (160, 90), across=32)
    return Stage(house, scheme, Side(None, rig_for(house, scheme), scene_of), None, 4.0)


def state_of(player: Player, stage: Stage) -> State:
    bare = State("house.yaml")
    show = player.show(bare, stage)
    assert stage.scheme is not None
    return replace(bare, facts=facts_of(stage.house, stage.scheme, show, ""))


def played(player: Player, stage: Stage, state: State, turns: int) -> tuple[State, list[Shown]]:
    seen = []
    for _ in range(turns):
        state = replace(state, time_s=state.time_s + STEP_S)
        seen.append(player.shown(state, stage, STEP_S))
        time.sleep(0.02)
    return state, seen


def test_what_plays_is_what_is_computed_for_its_time(stage: Stage) -> None:
    player = Player()
    try:
        state = state_of(player, stage)
        first = player.shown(state, stage, 0.0)
        now, seen = state, [first]

        def turn() -> None:
            nonlocal now
            now, more = played(player, stage, now, 1)
            seen.extend(more)

        wait(lambda: len(seen) > 12 and seen[-1] is not first, turn)  # it goes on
    finally:
        assert any(player.close() for _ in range(60))
    shown = seen[-1]
    assert shown.left is not None
    assert shown.show is not None
    alone = frame(stage.left.rig, shown.show, float(shown.left.time_s), state.shown_brightness)
    assert np.array_equal(shown.left.codes, alone.codes)
    want = picture(stage.left.scene, alone.light, exposure_ev=stage.exposure_ev)
    assert np.array_equal(shown.left_image, want)


def test_a_pause_and_a_jump_show_their_own_frame_at_once(stage: Stage) -> None:
    player = Player()
    try:
        state = state_of(player, stage)
        player.shown(state, stage, 0.0)
        state, _ = played(player, stage, state, 3)
        paused = replace(state, playing=False)
        shown = player.shown(paused, stage, STEP_S)
        assert shown.left is not None
        assert float(shown.left.time_s) == pytest.approx(paused.frame_s)
        far = replace(state, time_s=state.time_s + 5.0)
        shown = player.shown(far, stage, STEP_S)
        assert shown.left is not None
        assert float(shown.left.time_s) == pytest.approx(far.frame_s)
    finally:
        player.close()


def test_a_change_of_brightness_is_never_shown_late(stage: Stage) -> None:
    player = Player()
    try:
        state = state_of(player, stage)
        player.shown(state, stage, 0.0)
        state, _ = played(player, stage, state, 3)
        dark = replace(state, brightness=0.0, time_s=state.time_s + STEP_S)
        shown = player.shown(dark, stage, STEP_S)
        assert shown.left is not None
        assert not shown.left.codes.any()
    finally:
        player.close()


def test_work_beside_gives_its_result_or_its_error() -> None:
    assert beside(lambda: 3)() == 3

    def fails() -> int:
        raise KeyError("here")

    with pytest.raises(KeyError, match="here"):
        beside(fails)()
