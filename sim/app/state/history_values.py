"""Values of the scheme in the history: what is in force, keyed by layer and name. Pure."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from sim.app.state.history_record import FileStep, ValueStep, What
from sim.app.state.layers import Value
from sim.app.state.questions import pending
from sim.app.state.record import Facts, State
from sim.app.state.setting import Setting
from sim.app.state.settings import setting, settings

#: What a whole scheme has, beside its layers.
WHOLE = ("brightness", "colour", "white")


def value_steps(before: State, after: State) -> tuple[ValueStep, ...]:
    """What is in force after and was not before, for one reading of the files."""
    facts = after.facts
    same_edits = before.edits is after.edits and before.collided == after.collided
    whole = [(None, name) for name in WHOLE
             if getattr(before, name) != getattr(after, name) or not same_edits]  # fmt: skip
    if facts is None or before.facts is None or not (whole or not same_edits):
        return ()
    keys: list[What] = [*whole]
    if not same_edits:
        held = before.edits.keys() | after.edits.keys()
        keys += [key for key in held if key[0] in facts.marks]
    found = []
    for what in keys:
        key = key_of(facts, what)
        row = setting(facts, key) if key else None
        if key is None or row is None:
            continue
        old, new = in_force(before, row), in_force(after, row)
        asked = key in before.collided, key in after.collided
        if old != new or asked[0] != asked[1]:
            found.append(ValueStep(what, old, new, *asked))
    return tuple(found)


def values_to_write(state: State) -> tuple[ValueStep, ...]:
    """What a writing changes in the scheme file: what it holds, and what the window has."""
    facts = state.facts
    found = []
    for row in settings(facts) if facts else ():
        mine = row.file.mine(state) if row.file else None
        if facts is None or row.file is None or mine is None:
            continue
        number, _, name = row.key.partition(".")
        what: What = (facts.marks[int(number)], name) if name else (None, row.key)
        found.append(ValueStep(what, row.file.held(facts), mine))
    return tuple(found)


def with_layers(step: FileStep, state: State) -> FileStep:
    """A writing, with the layers that the file held before and those that it was given."""
    facts = state.facts
    if facts is None:
        return step
    listed = tuple((mark, mark) for mark in facts.file_marks)
    return replace(step, listed=listed, order=facts.marks)


def in_force(state: State, row: Setting) -> Value:
    """The value of a row: the window's own, or the file's."""
    assert row.file is not None
    assert state.facts is not None
    mine = row.file.mine(state)
    return row.file.held(state.facts) if mine is None else mine


def put_back(state: State, step: ValueStep, back: bool) -> State | None:
    """The state with one value set back or on; None where its layer has none such now."""
    facts = state.facts
    key = key_of(facts, step.what) if facts else None
    row = setting(facts, key) if facts and key else None
    mark, name = step.what
    if key is not None and row is None and mark is not None:  # its effect has none such now
        edits = {one: value for one, value in state.edits.items() if one != step.what}
        if back:
            edits[mark, name] = step.before
        return replace(state, edits=MappingProxyType(edits))
    if key is None or row is None or row.file is None:
        return None
    state = row.put(state, step.before if back else step.after)
    asked = step.asked_before if back else step.asked_after
    changed = row.file.mine(state) is not None
    collided = state.collided | {key} if asked and changed else state.collided - {key}
    return state if collided == state.collided else replace(state, collided=collided)


def key_of(facts: Facts, what: What) -> str | None:
    """The id of the control that shows a value; None where its layer is not in the file."""
    mark, name = what
    if mark is None:
        return name
    return f"{facts.marks.index(mark)}.{name}" if mark in facts.marks else None


def asked_about(state: State) -> State:
    """The question about values that collided, where none other waits."""
    if not state.collided or state.question is not None:
        return state
    return replace(state, question=pending(state))
