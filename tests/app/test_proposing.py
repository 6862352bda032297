"""Feeds asked for, shown, accepted and undone, in the state alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sim.app.state import actions as act
from sim.app.state.controls import control, controls
from sim.app.state.proposing import ACCEPT, NOT_NOW, UNDO, WRITE, is_card
from sim.app.state.record import Proposed, Question, State
from sim.app.state.told_aside import told as aside
from sim.app.state.update import update


@pytest.fixture
def bare(state: State) -> State:
    """A house whose runs no supply reaches."""
    assert state.facts is not None
    return replace(state, facts=replace(state.facts, unfed=("eave", "door")))


def answer(state: State) -> State:
    """The state once its asking has been answered."""
    assert state.asking is not None
    found = Proposed(state.asking.number, state.asking.kind, "Proposed: 1 supply", ("12.00 USD",))
    return update(state, act.FeedsProposed(found))


def buttons(state: State) -> set[str]:
    return {one.id for one in controls(state) if one.section == "Feeds" and one.form == "button"}


def test_asking_is_for_the_brightness_and_kind_on_show(bare: State) -> None:
    asked = update(replace(bare, brightness=0.4, kind="ws2815"), act.ProposeFeeds())
    assert asked.asking is not None
    assert (asked.asking.brightness, asked.asking.kind) == (0.4, "ws2815")
    assert update(asked, act.ProposeFeeds()) == asked
    assert update(asked, act.FeedsSought(0.5)).planned_share == 0.5


def test_without_a_scheme_every_channel_is_full(bare: State) -> None:
    assert bare.facts is not None
    dark = replace(bare, facts=replace(bare.facts, brightness=0.0))
    asked = update(dark, act.ProposeFeeds()).asking
    assert asked is not None
    assert asked.brightness == 1.0


def test_a_wired_house_is_told_so(state: State) -> None:
    after = update(state, act.ProposeFeeds())
    assert after.asking is None
    assert after.message is not None
    assert "propose" not in buttons(state)


def test_the_answer_lays_wires_over_the_house_and_asks(bare: State) -> None:
    shown = answer(update(bare, act.ProposeFeeds()))
    assert shown.asking is None
    assert "wires" in shown.overlays
    assert shown.question is not None
    assert [key for key, _ in shown.question.answers] == [ACCEPT, UNDO]
    assert shown.question.lines == ("12.00 USD",)


@pytest.mark.parametrize("how", [act.Answer(2), act.Answer(UNDO), act.UndoFeeds()])
def test_undo_goes_back(bare: State, how: act.Action) -> None:
    after = update(answer(update(bare, act.ProposeFeeds())), how)
    assert (after.proposal, after.question, after.overlays) == (None, None, bare.overlays)
    assert buttons(after) == {"propose"}


def test_undo_leaves_wires_that_were_on_show_before(bare: State) -> None:
    before = update(bare, act.ToggleOverlay("wires"))
    after = update(answer(update(before, act.ProposeFeeds())), act.UndoFeeds())
    assert "wires" in after.overlays


@pytest.mark.parametrize("how", [act.Answer(1), act.Answer(ACCEPT), act.AcceptFeeds()])
def test_accepted_feeds_stay_until_undone(bare: State, how: act.Action) -> None:
    kept = update(answer(update(bare, act.ProposeFeeds())), how)
    assert kept.proposal is not None
    assert kept.proposal.accepted
    assert kept.question is None
    assert buttons(kept) == {"undo"}
    assert update(kept, act.UndoFeeds()).proposal is None


def test_what_can_be_written_is_offered(bare: State) -> None:
    asked = update(bare, act.ProposeFeeds())
    found = Proposed(1, None, "Proposed", (), file="house.yaml")
    kept = update(update(asked, act.FeedsProposed(found)), act.AcceptFeeds())
    assert kept.question is not None
    assert [key for key, _ in kept.question.answers] == [WRITE, NOT_NOW]
    assert "house.yaml" in kept.question.answers[0][1]
    assert buttons(kept) == {"write-feeds", "undo"}
    later = update(kept, act.Answer(2))
    assert later.question is None
    assert later.proposal == kept.proposal
    assert update(later, act.FeedsWritten()).proposal is None
    assert update(kept, act.UndoFeeds()).question is None


def test_the_card_can_be_put_off_and_brought_back(bare: State) -> None:
    shown = answer(update(bare, act.ProposeFeeds()))
    later = update(shown, act.Back())
    assert later.question is None
    assert later.proposal == shown.proposal
    assert buttons(later) == {"accept", "undo"}
    assert update(later, act.ProposeFeeds()).question == shown.question


def test_another_question_goes_before_the_card(bare: State) -> None:
    other = Question("Which?", (), (("keep-file", "Keep"),))
    asked = replace(update(bare, act.ProposeFeeds()), question=other)
    shown = answer(asked)
    assert shown.question == other
    assert is_card(update(shown, act.Answer("keep-file")).question)


def test_the_card_stays_while_a_scheme_file_is_read_again(bare: State) -> None:
    shown = answer(update(bare, act.ProposeFeeds()))
    assert bare.facts is not None
    assert update(shown, act.Loaded(replace(bare.facts, scheme_file="other.yaml"))).question == (
        shown.question
    )


def test_what_nobody_waits_for_is_not_shown(bare: State) -> None:
    asked = update(bare, act.ProposeFeeds())
    assert asked.asking is not None
    late = Proposed(asked.asking.number, None, "late", ())
    assert update(update(asked, act.StopProposing()), act.FeedsProposed(late)).proposal is None
    again = update(update(asked, act.StopProposing()), act.ProposeFeeds())
    assert update(again, act.FeedsProposed(late)).proposal is None
    assert update(again, act.NoFeeds(asked.asking.number, "late")).no_plan == ""


def test_why_there_are_none_is_said_until_hidden(bare: State) -> None:
    asked = update(bare, act.ProposeFeeds())
    assert asked.asking is not None
    told = update(asked, act.NoFeeds(asked.asking.number, "no supply of 12 V can be bought"))
    assert told.asking is None
    assert told.no_plan == "no supply of 12 V can be bought"
    assert aside(update(told, act.Back())).no_plan == ""
    assert update(told, act.ProposeFeeds()).no_plan == ""


def test_a_changed_house_file_takes_the_proposal_along(bare: State) -> None:
    kept = update(answer(update(bare, act.ProposeFeeds())), act.AcceptFeeds())
    gone = update(kept, act.FeedsLost())
    assert gone.proposal is None
    assert gone.message is not None
    assert update(bare, act.FeedsLost()) == bare


def test_buttons_do_what_their_keys_do(bare: State) -> None:
    focused = replace(bare, focus="propose")
    assert update(focused, act.Activate()).asking is not None
    found = control(bare, "propose")
    assert found is not None
    assert found.spoken == "Propose feeds for runs without a supply"
