"""The key table: complete, without collisions, and the same as what the help shows."""

from __future__ import annotations

from dataclasses import replace

import pygame
import pytest

from sim.app.state import actions as act
from sim.app.state import feed_actions, feedback_actions, ribbon_actions
from sim.app.state.keys import BINDINGS, Press, action_for
from sim.app.state.record import State
from sim.app.state.update import update
from sim.app.view.brush import Brush, Kit
from sim.app.view.cards import LEAST_TYPE, _column_width, _fitted, draw_help, help_columns


def test_no_press_means_two_things_at_once() -> None:
    for focused in (False, True):
        taken = [press for binding in BINDINGS if binding.focused in (None, focused)
                 for press in binding.presses]  # fmt: skip
        assert len(taken) == len(set(taken))


def test_arrows_belong_to_the_control_that_has_the_keys(state: State) -> None:
    assert action_for(state, Press("right")) == act.Step(1)
    assert action_for(state, Press("up")) == act.Nudge(1, "brightness")
    focused = replace(state, focus="0.speed")
    assert action_for(focused, Press("right")) == act.Nudge(1)
    assert action_for(focused, Press("space")) == act.Activate()


def test_required_keys(state: State) -> None:
    assert action_for(state, Press("space")) == act.PlayPause()
    assert action_for(state, Press("f1")) == act.ToggleHelp()
    assert action_for(state, Press("f12")) == act.Screenshot()
    assert action_for(state, Press("f5")) is None


def test_the_help_shows_every_line_of_the_table() -> None:
    for height in (300, 700, 2000):
        shown = [label for column in help_columns(height, 22) for _, label in column]
        assert {binding.label for binding in BINDINGS} <= set(shown)


def test_everything_the_mouse_reaches_the_keys_reach_too() -> None:
    kinds = {type(binding.action) for binding in BINDINGS}
    by_mouse_alone = {act.Drag, act.MoveDivider, act.Seek, act.Select, act.Scroll, act.Set,
                      ribbon_actions.HoldTime, ribbon_actions.ShiftHeld, ribbon_actions.LoopHeld,
                      ribbon_actions.PointAtTime, ribbon_actions.OpenMark}  # fmt: skip
    by_escape = {act.PutAside, act.StopSharing, act.HushSaved}
    while_the_list_is_open = {act.ScrollHelp}
    inward = {act.Tick, act.Loaded, act.Refused, act.CeilingMeasured, act.Say, act.Resize,
              act.Failed, act.FoundUnsaved, act.Open, act.ValuesWritten, act.FeedsSought,
              act.FeedsProposed, act.NoFeeds, act.FeedsLost, act.FeedsWritten,
              act.SharedSoFar, act.Shared, act.NotShared,
              ribbon_actions.MarksFound, ribbon_actions.InstantFound}  # fmt: skip
    modules = (act.__name__, feed_actions.__name__, ribbon_actions.__name__,
               feedback_actions.__name__)  # fmt: skip
    every = {value for value in (*vars(act).values(), *vars(ribbon_actions).values())
             if isinstance(value, type) and value.__module__ in modules}  # fmt: skip
    assert every - kinds == by_mouse_alone | by_escape | while_the_list_is_open | inward


@pytest.mark.parametrize(
    ("size", "scale"), [((960, 600), 1.0), ((1280, 720), 1.5), ((1280, 720), 2.0)]
)
def test_the_list_of_keys_is_scrolled_where_its_type_would_be_too_small(
    state: State, size: tuple[int, int], scale: float
) -> None:
    pygame.font.init()
    brush = Brush(pygame.Surface(size), scale, Kit())
    asked = replace(state, size_px=size, scale=scale, help=True)
    limit = draw_help(brush, asked, scrolls=True)
    assert limit > 0
    fitted, columns = _fitted(brush, *size, BINDINGS, LEAST_TYPE)
    assert fitted.scale >= LEAST_TYPE * scale - 0.001
    assert len(columns) * _column_width(fitted, columns) <= size[0] - fitted.px(20)
    last = max(map(len, columns)) * fitted.px(22) + fitted.px(64) - limit * scale
    assert last <= size[1] - fitted.px(15)  # scrolled to its end, the last line is in sight
    below = update(asked, act.ScrollHelp(1e6, limit))
    assert below.feedback.help_y == limit
    assert update(below, act.ScrollHelp(-1e6, limit)).feedback.help_y == 0.0
