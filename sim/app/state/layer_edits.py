"""Layers added, copied, removed and moved in the window; each is one step of the history. Pure."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from effects import Layer, effects
from sim.app.state.history import stepped
from sim.app.state.layer_actions import AddLayer, CopyLayer, LayerEdit, RemoveLayer
from sim.app.state.layer_facts import layer_facts
from sim.app.state.layer_order import as_written, made_mark, rearranged
from sim.app.state.layers import LayerMark
from sim.app.state.questions import said
from sim.app.state.record import State

#: So many a scheme file may have; and one it must.
MOST = 64
#: What a layer is when it is added: a plain warm white, to be changed from there.
FIRST_EFFECT, FIRST_PALETTE = "steady", ("3000 K",)


def layers_edited(state: State, action: LayerEdit) -> State:
    """The state after an edit of the list of layers, with a step of the history for it."""
    facts = state.facts
    if facts is None or not facts.layers:
        return state
    marks = list(facts.marks)
    at = None if isinstance(action, AddLayer) else action.layer
    if at is not None and not 0 <= at < len(marks):
        return state
    if isinstance(action, AddLayer | CopyLayer) and len(marks) >= MOST:
        return replace(state, message=said(f"A scheme has {MOST} layers at most"))
    if isinstance(action, AddLayer):
        settings = effects()[FIRST_EFFECT].settle({})
        zones = ("all",) if "all" in facts.zones or not facts.zones else facts.zones[:1]
        plain = layer_facts(Layer(FIRST_EFFECT, zones, FIRST_PALETTE, settings))
        marks.append(made_mark(facts, plain.mark, _seen(state)))
        label = f"add layer {len(marks)}"
    elif isinstance(action, CopyLayer):
        mark = marks[action.layer]
        values = {name: value for (one, name), value in state.edits.items() if one == mark}
        copy = as_written(facts.layers[action.layer], values)
        marks.insert(action.layer + 1, made_mark(facts, copy, _seen(state)))
        label = f"copy layer {action.layer + 1}"
    elif isinstance(action, RemoveLayer):
        if len(marks) == 1:
            return replace(state, message=said("A scheme has at least one layer"))
        label = f"remove layer {action.layer + 1}, {facts.layers[action.layer].effect}"
        del marks[action.layer]
    else:
        to = min(max(action.layer + action.by, 0), len(marks) - 1)
        marks.insert(to, marks.pop(action.layer))
        label = f"move layer {action.layer + 1} to {to + 1}"
    only = state.only if state.only in marks else None
    after = rearranged(replace(state, order=tuple(marks), only=only, focus=None))
    return stepped(state, after, label)


def reverted(state: State) -> State:
    """What the file says, in everything that can be written to it."""
    asked = state.question if state.recovered is not None else None
    held = state.facts.file_marks if state.facts else ()
    # Values of layers made here wait for these to be back by a step of the history.
    made = {key: value for key, value in state.edits.items() if key[0] not in held}
    return replace(state, brightness=None, colour=None, white=None, edits=MappingProxyType(made),
                   aside=(), order=None, collided=frozenset(), question=asked)  # fmt: skip


def _seen(state: State) -> tuple[LayerMark, ...]:
    """Every mark that the history still speaks of: a new layer must not be taken for an old one."""
    history = state.history
    found = {mark for mark, _ in state.edits}
    for step in (*history.done, *history.undone):
        for marks in step.order or ():
            found.update(marks)
    return tuple(found)
