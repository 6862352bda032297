"""Any five hundred actions: all taken back is the start, all done again the end."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test

from sim.app.edit.draft import Draft, draft_from_text
from sim.app.state import actions as act
from sim.app.state.history import next_step, redone, stepped, undone
from sim.app.state.record import Facts, Proposed, State
from sim.app.state.update import update

SLIDERS = {"brightness": 1.0, "0.speed": 4.0, "0.count": 12.0}
CHOICES = {
    "colour": ("matched", "raw"),
    "white": ("off", "most", "economy", "common"),
    "0.palette": ("ember", "frost", "leaf"),
    "1.palette": ("ember", "frost", "leaf"),
    "hour": ("dusk", "evening", "late"),  # a way of looking: never a step
    "kind": ("ws2812b", "ws2815"),
}


def written(state: State) -> dict[str, Any]:
    """Everything that can be written to a file."""
    return {
        "brightness": state.shown_brightness,
        "whole": (state.brightness, state.colour, state.white),
        "edits": dict(state.edits),
        "aside": state.aside,
        "collided": state.collided,
        "feeds": bool(state.proposal and state.proposal.accepted),
        "draft": state.draft.text if state.draft else None,
    }  # fmt: skip


def machine(facts: Facts, house: str) -> type[RuleBasedStateMachine]:
    start = replace(update(State("house.yaml"), act.Loaded(facts)), playing=False)

    class Edits(RuleBasedStateMachine):
        @initialize()
        def begin(self) -> None:
            self.state = start
            self.count = 0

        def do(self, *actions: act.Action) -> None:
            for action in actions:
                self.state = update(self.state, action)
                self.count += 1

        @rule(key=st.sampled_from(sorted(SLIDERS)), share=st.floats(0, 1))
        def sets(self, key: str, share: float) -> None:
            self.do(act.Set(key, round(SLIDERS[key] * share, 2)))

        @rule(key=st.sampled_from(sorted(SLIDERS)), shares=st.lists(st.floats(0, 1), max_size=6))
        def drags(self, key: str, shares: list[float]) -> None:
            self.do(act.Drag(key))
            for share in shares:
                self.do(act.Set(key, SLIDERS[key] * share), act.Tick(0.1))
            self.do(act.Drag(None))

        @rule(key=st.sampled_from(sorted(CHOICES)), data=st.data())
        def chooses(self, key: str, data: st.DataObject) -> None:
            self.do(act.Set(key, data.draw(st.sampled_from(CHOICES[key]))))

        @rule(steps=st.integers(-3, 3), presses=st.integers(1, 6), focus=st.integers(-3, 3))
        def presses(self, steps: int, presses: int, focus: int) -> None:
            self.do(act.Focus(focus or 1))
            for _ in range(presses):
                self.do(act.Nudge(steps, self.state.focus if steps else "brightness"))

        @rule(seconds=st.floats(0, 1))
        def waits(self, seconds: float) -> None:
            self.do(act.Tick(seconds), act.StepRun(1))

        @rule(name=st.text("abcé", min_size=1, max_size=4), held=st.booleans())
        def draws(self, name: str, held: bool) -> None:
            text = house.replace("Shed", name)
            before = self.state
            after = replace(before, draft=draft_from_text(text, "house.yaml", "as read"))
            self.state = stepped(before, after, f"draw {name}", "a thing" if held else "")
            self.count += 1

        @rule()
        def drops_the_drawing(self) -> None:
            self.state = stepped(self.state, replace(self.state, draft=None), "drop the drawing")
            self.count += 1

        @rule()
        def accepts(self) -> None:
            if self.state.proposal is None:
                self.do(act.ProposeFeeds())
                number = self.state.asked
                proposal = Proposed(number, None, "Feeds", (), file="house.yaml")
                self.do(act.FeedsProposed(proposal))
            self.do(act.AcceptFeeds())

        @rule()
        def drops_feeds(self) -> None:
            self.do(act.UndoFeeds())

        @rule()
        def reverts(self) -> None:
            self.do(act.Revert())

        @rule(back=st.integers(1, 5), on=st.integers(0, 5))
        def goes_back_and_on(self, back: int, on: int) -> None:
            self.do(*[act.Undo()] * back, *[act.Redo()] * on)

        def teardown(self) -> None:
            if not hasattr(self, "state"):
                return
            while next_step(self.state, "on"):
                self.state = redone(self.state)
            end = written(self.state)
            steps = len(self.state.history.done)
            while next_step(self.state, "back"):
                self.state = undone(self.state)
            assert written(self.state) == written(start)
            assert len(self.state.history.undone) == steps
            while next_step(self.state, "on"):
                self.state = redone(self.state)
            assert written(self.state) == end

    return Edits


def test_all_back_is_the_start_and_all_on_the_end(facts: Facts, house_file: Path) -> None:
    facts = replace(facts, unfed=("door",))
    run_state_machine_as_test(
        machine(facts, house_file.read_text()),
        settings=settings(
            max_examples=12, stateful_step_count=250, deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )  # fmt: skip


def test_ways_of_looking_are_no_steps(state: State) -> None:
    for key in ("hour", "exposure", "0.hide", "0.only", "compare", "type"):
        assert update(state, act.Nudge(1, key)).history.done == ()


def test_a_draft_in_the_history_is_the_drawing_itself_while_it_is_young(state: State) -> None:
    draft = Draft("house.yaml", "as read", {}, "text")
    back = undone(stepped(replace(state, draft=draft), state, "drop"))
    assert back.draft is draft
