"""state + action → state. No clock, no file, no screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from sim.app.state import actions as act
from sim.app.state import (
    closing,
    feedback_update,
    mending,
    proposing,
    sharing,
    sighted,
    told_aside,
    touch,
)
from sim.app.state.choosing_update import ByLooking, by_looking, kept_open, opens
from sim.app.state.comparing import compare
from sim.app.state.drawing_actions import DRAWING_ACTIONS
from sim.app.state.drawing_update import followed, on_board
from sim.app.state.folding import HEAD, folded, listed, listed_control
from sim.app.state.history import redone, rested, settled, undone
from sim.app.state.layer_edits import reverted
from sim.app.state.layer_order import layers_written, rearranged
from sim.app.state.leaving import left
from sim.app.state.questions import FORGET_DRAWING, answered, found_unsaved, said
from sim.app.state.reading import loaded
from sim.app.state.record import EXPOSURE_REACH_EV, SCALES, State
from sim.app.state.ribbon_update import RIBBON_HANDLERS, fresh, kept_in_sight, played
from sim.app.state.settings import set_control
from sim.app.state.which_steps import recorded

#: How long the drawer takes to slide [s].
SLIDE_S = 0.16


def update(state: State, action: act.Action) -> State:
    """The state after `action`. Commands of the loop leave it as it is."""
    if isinstance(action, act.COMMANDS):
        return state
    if isinstance(action, ByLooking):
        return by_looking(state, action, update)
    if isinstance(action, DRAWING_ACTIONS):
        return on_board(state, action)
    after = kept_open(rearranged(_HANDLERS[type(action)](state, action)))
    after = told_aside.fresh(state, kept_in_sight(state, after))
    return followed(recorded(state, after, action))


# --- time ---


def _tick(state: State, action: act.Tick) -> State:
    if state.playing and state.facts and state.drag != "ribbon":
        state = replace(state, time_s=played(state, action.seconds))
    if state.message:
        left_s = state.message.left_s - action.seconds
        state = replace(
            state, message=replace(state.message, left_s=left_s) if left_s > 0 else None
        )
    target = 1.0 if state.drawer else 0.0
    if state.drawer_open != target:
        step = 1.0 if state.calm else action.seconds / SLIDE_S  # nothing slides while it is calm
        moved = state.drawer_open + (step if target else -step)
        state = replace(state, drawer_open=min(max(moved, 0.0), 1.0))
    return rested(state, action.seconds)


def _within(state: State, time_s: float) -> float:
    """A time inside the ribbon: the scheme starts over at its end."""
    span_s = state.facts.span_s if state.facts else 0.0
    return time_s % span_s if span_s > 0 else 0.0


def _seek(state: State, action: act.Seek) -> State:
    if state.facts is None:
        return state
    last_s = (state.facts.frames - 1) / state.facts.fps
    return replace(state, time_s=min(max(action.time_s, 0.0), last_s))


def _step(state: State, action: act.Step) -> State:
    if state.facts is None:
        return state
    time_s = _within(state, (state.frame + action.frames) / state.facts.fps)
    return replace(state, playing=False, time_s=time_s)


def _step_seconds(state: State, action: act.StepSeconds) -> State:
    return replace(state, time_s=_within(state, state.time_s + action.seconds))


def _jump(state: State, action: act.Jump) -> State:
    return _seek(state, act.Seek(0.0 if action.to == "start" else float("inf")))


def _play_pause(state: State, _: act.PlayPause) -> State:
    return replace(state, playing=not state.playing)


# --- files ---


def _loaded(state: State, action: act.Loaded) -> State:
    carded = proposing.is_card(state.question)
    state = fresh(state, loaded(state, action))
    state = proposing.with_card(state) if carded else state
    return replace(state, time_s=_within(state, state.time_s))


def _refused(state: State, action: act.Refused) -> State:
    return replace(state, problems=action.problems)


def _failed(state: State, action: act.Failed) -> State:
    return replace(state, fault=action.text)


def _found_unsaved(state: State, action: act.FoundUnsaved) -> State:
    return found_unsaved(state, action.left)


def _answer(state: State, action: act.Answer) -> State:
    name = answer_of(state, action)
    if name is None:
        return state
    if sharing.is_sharing(state.question):
        return sharing.answered(feedback_update.not_asked(state), name)
    if proposing.is_card(state.question):
        return proposing.answered(state, name)
    if name == closing.STAY:
        return proposing.with_card(closing.stays(state))
    if name == FORGET_DRAWING:
        return closing.forgotten(state)
    return proposing.with_card(answered(state, name))


def _open(state: State, action: act.Open) -> State:
    return replace(state, scheme_path=action.path, question=None)


def _written(state: State, action: act.ValuesWritten) -> State:
    """What is unsaved stays so until the file is read again: then it is seen what it holds."""
    if state.facts is None or action.digest == state.facts.scheme_digest:
        return state  # it was so already, and is not read again
    facts = replace(state.facts, scheme_digest=action.digest)
    history = replace(state.history, listed=layers_written(state))
    return replace(state, facts=facts, history=history)


def answer_of(state: State, action: act.Answer) -> str | None:
    """The name of an answer that may be given by its number; None where it is none."""
    names = [name for name, _ in state.question.answers] if state.question else []
    if isinstance(action.answer, int):
        return names[action.answer - 1] if 0 < action.answer <= len(names) else None
    return action.answer if action.answer in names else None


def _measured(state: State, action: act.CeilingMeasured) -> State:
    return replace(state, ceiling=action.ceiling, ceiling_limit=action.limit)


def _say(state: State, action: act.Say) -> State:
    return replace(state, message=said(action.text))


# --- controls ---


def _set(state: State, action: act.Set) -> State:
    if action.control.startswith(HEAD):
        return folded(state, action.control, bool(action.value))
    return set_control(state, action.control, action.value)


def _nudge(state: State, action: act.Nudge) -> State:
    target = listed_control(state, action.control or state.focus or "")
    if target is None:
        return state
    if target.form == "button":
        return state
    return _set(state, act.Set(target.id, target.stepped(action.steps)))


def _activate(state: State, _: act.Activate) -> State:
    """Buttons that reach outside (`write`) are the loop's; see `window`."""
    pressed = act.BUTTONS.get(state.focus or "") or opens(state)
    if pressed is not None:
        return update(state, pressed)
    return _nudge(state, act.Nudge(1))


def _focus(state: State, action: act.Focus) -> State:
    names = [one.id for one in listed(state)]
    if not names:
        return state
    if state.focus in names:
        at = (names.index(state.focus) + action.steps) % len(names)
    else:
        at = 0 if action.steps > 0 else len(names) - 1
    return replace(state, focus=names[at], drawer=True)


def _revert(state: State, _: act.Revert) -> State:
    return reverted(state)


# --- what is laid over, and where one looks ---


def _toggle_overlay(state: State, action: act.ToggleOverlay) -> State:
    if action.name == "bands":  # not over the house: over its load
        return replace(state, bands=not state.bands)
    return replace(state, overlays=state.overlays ^ {action.name})


def _toggle_drawer(state: State, _: act.ToggleDrawer) -> State:
    if state.choosing is not None:  # the drawer comes in the place of the page
        return replace(state, choosing=None, drawer=True, focus=None)
    if state.mending.page is not None:
        return replace(mending.closed(state), drawer=True, focus=None)
    return replace(state, drawer=not state.drawer, focus=None)


def _toggle_help(state: State, _: act.ToggleHelp) -> State:
    return replace(state, help=not state.help)


def _toggle_compare(state: State, _: act.ToggleCompare) -> State:
    return compare(state, not state.compare)


def _move_divider(state: State, action: act.MoveDivider) -> State:
    return replace(state, divider=min(max(action.to, 0.0), 1.0))


def _nudge_divider(state: State, action: act.NudgeDivider) -> State:
    return _move_divider(state, act.MoveDivider(state.divider + action.by))


def _drag(state: State, action: act.Drag) -> State:
    if action.what is None:
        state = settled(state)
    return replace(state, drag=action.what, grip_px=action.grip_px)


def _select(state: State, action: act.Select) -> State:
    return replace(state, selection=action.pixel)


def _step_pixel(state: State, action: act.StepPixel) -> State:
    if state.facts is None or not state.facts.pixels:
        return state
    start = 0 if action.by > 0 else -1
    at = start if state.selection is None else state.selection + action.by
    return replace(state, selection=at % state.facts.pixels)


def _step_run(state: State, action: act.StepRun) -> State:
    if state.facts is None or not state.facts.runs:
        return state
    runs = state.facts.runs
    if state.selection is None:
        return replace(state, selection=runs[0 if action.by > 0 else -1].first)
    at = max(index for index, run in enumerate(runs) if run.first <= state.selection)
    return replace(state, selection=runs[(at + action.by) % len(runs)].first)


def _expose(state: State, action: act.Expose) -> State:
    moved = state.exposure_offset_ev + action.by_ev
    limit = EXPOSURE_REACH_EV
    return replace(state, exposure_offset_ev=min(max(moved, -limit), limit))


def _resize(state: State, action: act.Resize) -> State:
    return replace(state, size_px=action.size_px)


def _zoom(state: State, action: act.Zoom) -> State:
    nearest = min(range(len(SCALES)), key=lambda index: abs(SCALES[index] - state.scale))
    at = min(max(nearest + action.steps, 0), len(SCALES) - 1)
    return replace(state, scale=SCALES[at], scroll=0.0)


def _scroll(state: State, action: act.Scroll) -> State:
    moved = state.scroll + action.by
    return replace(state, scroll=min(max(moved, 0.0), max(action.limit, 0.0)))


_HANDLERS: dict[type, Callable[[State, Any], State]] = {
    **RIBBON_HANDLERS,
    act.Tick: _tick,
    act.Loaded: _loaded,
    act.Refused: _refused,
    act.Failed: _failed,
    act.FoundUnsaved: _found_unsaved,
    act.Answer: _answer,
    act.Open: _open,
    act.ValuesWritten: _written,
    act.CeilingMeasured: _measured,
    act.Say: _say,
    act.PlayPause: _play_pause,
    act.Seek: _seek,
    act.Step: _step,
    act.StepSeconds: _step_seconds,
    act.Jump: _jump,
    act.Set: _set,
    act.Nudge: _nudge,
    act.Activate: _activate,
    act.Focus: _focus,
    act.Back: left,
    act.ToggleOverlay: _toggle_overlay,
    act.ToggleDrawer: _toggle_drawer,
    act.ToggleHelp: _toggle_help,
    act.ToggleCompare: _toggle_compare,
    act.MoveDivider: _move_divider,
    act.NudgeDivider: _nudge_divider,
    act.Drag: _drag,
    act.Select: _select,
    act.StepPixel: _step_pixel,
    act.StepRun: _step_run,
    act.Expose: _expose,
    act.Resize: _resize,
    act.Zoom: _zoom,
    act.Scroll: _scroll,
    act.Revert: _revert,
    act.MoreTools: lambda state, _: replace(
        state, access=replace(state.access, row=state.access.row + 1)
    ),
    **touch.HANDLERS,
    **mending.HANDLERS,
    **sighted.HANDLERS,
    act.FoundDrawing: lambda state, action: closing.found_drawing(state, action.left),
    act.TakeUpDrawing: lambda state, action: closing.taken_up(state, action.draft),
    act.Undo: lambda state, _: proposing.with_proposal_shown(undone(state)),
    act.Redo: lambda state, _: proposing.with_proposal_shown(redone(state)),
    act.ProposeFeeds: lambda state, _: proposing.propose(state),
    act.StopProposing: lambda state, _: proposing.stop(state),
    act.AcceptFeeds: lambda state, _: proposing.accept(state),
    act.UndoFeeds: lambda state, _: proposing.undo(state),
    act.FeedsSought: lambda state, action: proposing.share_done(state, action.share),
    act.FeedsProposed: lambda state, action: proposing.proposed(state, action.proposal),
    act.NoFeeds: lambda state, action: proposing.not_proposed(state, action.number, action.why),
    act.FeedsWritten: lambda state, _: proposing.written(state),
    act.FeedsLost: lambda state, _: proposing.lost(state),
    **feedback_update.HANDLERS,
}
