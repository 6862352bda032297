"""What clicks and keys do to the state. No display is needed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts import Problem
from sim.app.state import actions as act
from sim.app.state.folding import listed
from sim.app.state.record import Facts, State
from sim.app.state.told_aside import told
from sim.app.state.update import SLIDE_S, update


def after(state: State, *actions: act.Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


def test_nothing_is_changed_in_place(state: State) -> None:
    before = replace(state)
    update(state, act.Set("brightness", 0.3))
    update(state, act.Set("0.speed", 2.0))
    assert state == before


def test_playing_time_goes_on_and_starts_over_at_the_end(state: State) -> None:
    playing = after(state, act.PlayPause(), act.Tick(0.25))
    assert playing.time_s == pytest.approx(0.25)
    assert after(playing, act.Tick(9.9)).time_s == pytest.approx(0.15)


def test_time_stands_still_while_paused_or_while_the_ribbon_is_dragged(state: State) -> None:
    assert after(state, act.Tick(1.0)).time_s == 0
    dragged = after(state, act.PlayPause(), act.Drag("ribbon"), act.Seek(4.0), act.Tick(1.0))
    assert dragged.time_s == 4.0
    assert after(dragged, act.Drag(None), act.Tick(1.0)).time_s == pytest.approx(5.0)


def test_what_is_shown_is_a_frame_the_controller_sends(state: State) -> None:
    shown = after(state, act.Seek(1.0374))
    assert shown.frame == 41
    assert shown.frame_s == pytest.approx(41 / 40)


def test_one_step_is_one_frame_and_stops(state: State) -> None:
    stepped = after(state, act.PlayPause(), act.Step(3))
    assert (stepped.frame, stepped.playing) == (3, False)
    assert after(stepped, act.Step(-4)).frame == 399


@pytest.mark.parametrize("frames", range(1, 400, 7))
def test_steps_never_stick_on_a_rounding(state: State, frames: int) -> None:
    at = state
    for _ in range(frames):
        at = update(at, act.Step(1))
    assert at.frame == frames


def test_seeking_stays_inside_the_ribbon(state: State) -> None:
    assert after(state, act.Seek(-3)).time_s == 0
    assert after(state, act.Jump("end")).frame == 399
    assert after(state, act.Jump("end"), act.Jump("start")).frame == 0


def test_brightness_back_at_the_files_value_is_no_change(state: State) -> None:
    changed = after(state, act.Set("brightness", 0.5))
    assert changed.shown_brightness == 0.5
    assert changed.changed
    back = after(changed, act.Set("brightness", 0.8))
    assert back.brightness is None
    assert not back.changed


def test_a_parameter_set_back_is_no_change(state: State) -> None:
    changed = after(state, act.Set("0.speed", 2.0), act.Set("1.palette", "frost"))
    assert changed.value(0, "speed") == 2.0
    chase, steady = changed.facts.marks
    assert dict(changed.edits) == {(chase, "speed"): 2.0, (steady, "palette"): "frost"}
    back = after(changed, act.Set("0.speed", 0.5), act.Set("1.palette", "ember"))
    assert not back.changed


def test_revert_returns_to_the_file(state: State) -> None:
    changed = after(state, act.Set("brightness", 0.1), act.Set("0.count", 5.0),
                    act.Set("colour", "raw"), act.Set("white", "off"))  # fmt: skip
    reverted = after(changed, act.Revert())
    assert replace(reverted, history=state.history) == state
    assert [step.label for step in reverted.history.done][-1] == "back to the file"


def test_edits_that_the_file_now_holds_are_gone_after_reading(state: State, facts: Facts) -> None:
    changed = after(state, act.Set("0.speed", 2.0), act.Set("brightness", 0.4))
    chase = facts.layers[0]
    held = tuple(replace(one, value=2.0) if one.name == "speed" else one
                 for one in chase.parameters)  # fmt: skip
    layers = (replace(chase, parameters=held), facts.layers[1])
    read = after(changed, act.Loaded(replace(facts, layers=layers, brightness=0.4)))
    assert not read.changed


def test_edits_survive_a_save_that_does_not_touch_them(state: State, facts: Facts) -> None:
    changed = after(state, act.Set("0.speed", 2.0), act.Select(7))
    read = after(changed, act.Loaded(replace(facts, brightness=0.9)))
    assert dict(read.edits) == {(facts.marks[0], "speed"): 2.0}
    assert read.selection == 7


def test_another_scheme_starts_without_edits(state: State, facts: Facts) -> None:
    changed = after(state, act.Set("0.speed", 2.0), act.Set("brightness", 0.2),
                    act.Set("0.hide", True), act.Set("scheme", "plain"))  # fmt: skip
    assert changed.scheme_path == "plain.scheme.yaml"
    read = after(changed, act.Loaded(replace(facts, scheme="plain",
                                             scheme_file="plain.scheme.yaml")))  # fmt: skip
    assert not read.changed
    assert not read.hidden


def test_a_house_with_fewer_pixels_and_layers_loses_what_pointed_at_them(
    state: State, facts: Facts
) -> None:
    looked = after(state, act.Select(55), act.Set("1.only", True), act.Set("1.hide", True))
    fewer = replace(facts, runs=facts.runs[:1], layers=facts.layers[:1])
    read = after(looked, act.Loaded(fewer))
    assert (read.selection, read.only, read.hidden) == (None, None, frozenset())


def test_a_broken_file_keeps_everything_and_says_where(state: State) -> None:
    problem = Problem("house.yaml", 14, 7, "unknown key 'lenght'", "did you mean 'length'?")
    broken = after(state, act.Refused((problem,)))
    assert broken == replace(state, problems=(problem,))
    hidden = after(broken, act.Back())
    assert (hidden.problems, hidden.feedback.hushed) == ((problem,), {"problems"})
    assert after(broken, act.Loaded(state.facts)).problems == ()


def test_comparing_takes_a_kind_from_across_the_white_channel(state: State) -> None:
    compared = after(state, act.ToggleCompare())
    assert (compared.compare, compared.other) == (True, "sk6812-rgbw-warm")
    assert after(state, act.Set("other", "ws2815"), act.ToggleCompare()).other == "ws2815"
    assert not after(compared, act.ToggleCompare()).compare


def test_the_divider_stays_on_the_picture(state: State) -> None:
    assert after(state, act.MoveDivider(1.7)).divider == 1.0
    assert after(state, act.MoveDivider(0.01), act.NudgeDivider(-0.5)).divider == 0.0


def test_keys_walk_through_every_control_and_open_the_drawer(state: State) -> None:
    names = [control.id for control in listed(state)]
    seen = []
    at = state
    for _ in names:
        at = update(at, act.Focus(1))
        seen.append(at.focus)
    assert seen == names
    assert at.drawer
    assert after(state, act.Focus(-1)).focus == names[-1]


def test_the_focused_control_moves_by_its_step(state: State) -> None:
    focused = replace(state, focus="0.speed")
    assert after(focused, act.Nudge(1)).value(0, "speed") == pytest.approx(0.55)
    assert after(focused, act.Nudge(-100)).value(0, "speed") == 0.0
    counted = replace(state, focus="0.count")
    assert after(counted, act.Nudge(2)).value(0, "count") == 5
    chosen = replace(state, focus="0.palette")
    assert after(chosen, act.Nudge(-1)).value(0, "palette") == "leaf"


def test_escape_leaves_one_thing_at_a_time(state: State) -> None:
    deep = replace(state, help=True, focus="brightness", selection=3, drawer=True,
                   problems=(Problem("a", 1, 1, "x"),))  # fmt: skip
    for left in ("help", "focus", "selection", "problems", "drawer"):
        assert getattr(told(deep), left)
        deep = after(deep, act.Back())
        assert not getattr(told(deep), left)


def test_pixels_and_runs_are_walked_with_keys(state: State) -> None:
    assert after(state, act.StepPixel(1)).selection == 0
    assert after(state, act.StepPixel(-1)).selection == 59
    assert after(state, act.Select(59), act.StepPixel(1)).selection == 0
    assert after(state, act.Select(12), act.StepRun(1)).selection == 40
    assert after(state, act.Select(50), act.StepRun(1)).selection == 0


def test_the_drawer_slides(state: State) -> None:
    opening = after(state, act.ToggleDrawer(), act.Tick(SLIDE_S / 2))
    assert opening.drawer_open == pytest.approx(0.5)
    assert after(opening, act.Tick(SLIDE_S)).drawer_open == 1.0
    shut = after(opening, act.Tick(1), act.ToggleDrawer(), act.Tick(1))
    assert shut.drawer_open == 0.0


def test_a_message_goes_by_itself(state: State) -> None:
    told = after(state, act.Say("Saved a"))
    assert after(told, act.Tick(1)).message is not None
    assert after(told, act.Tick(1), act.Tick(3.5)).message is None
    long = after(state, act.Say("x" * 200))
    assert after(long, act.Tick(5)).message is not None


def test_type_grows_in_steps_up_to_twice(state: State) -> None:
    scales = [after(state, *[act.Zoom(1)] * steps).scale for steps in range(6)]
    assert scales == [1.0, 1.25, 1.5, 1.75, 2.0, 2.0]
    assert after(state, act.Zoom(-1)).scale == 1.0


def test_before_any_file_is_read_no_action_fails() -> None:
    empty = State("house.yaml")
    actions = [act.Tick(0.1), act.PlayPause(), act.Seek(3), act.Step(1), act.StepSeconds(1),
               act.Jump("end"), act.Set("brightness", 0.5), act.Nudge(1, "kind"), act.Activate(),
               act.Focus(1), act.Back(), act.ToggleOverlay("volts"), act.ToggleCompare(),
               act.StepPixel(1), act.StepRun(1), act.Expose(1), act.Scroll(10, 0)]  # fmt: skip
    for action in actions:
        update(empty, action)
