"""What is asked of the person, and what the answers do to the state."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import PurePath
from types import MappingProxyType

from sim.app.state.controls import any_control
from sim.app.state.layer_order import arranged, merged, rearranged
from sim.app.state.layers import (
    ALWAYS,
    LayerMark,
    LayerValue,
    Value,
    bare_zones,
    matched,
    numbered,
    same,
)
from sim.app.state.left_over import still_left
from sim.app.state.record import EditKey, Facts, Message, Question, State
from sim.app.state.settings import setting, white_name
from sim.app.state.unsaved import Unsaved, UnsavedDrawing

#: What `Answer` says. The loop does `OVER` and `BESIDE`, because those reach the disk.
KEEP_FILE, OVER, BESIDE, USE, FORGET = "keep-file", "over", "beside", "use", "forget"
#: And of a drawing that was left; the first is the loop's too.
USE_DRAWING, FORGET_DRAWING = "use-drawing", "forget-drawing"


def said(text: str) -> Message:
    """A line that stays as long as it takes to read it."""
    return Message(text, 4.0 + len(text) / 25)


def said_aside(state: State, values: tuple[LayerValue, ...]) -> State:
    """The state with a word about values whose layer is in doubt."""
    text = (f"Set aside, as their layer is not certain in the changed file: {_listed(values)}. "
            "They come back with the layer.")  # fmt: skip
    return replace(state, message=said(text))


def _listed(values: Iterable[LayerValue]) -> str:
    return ", ".join(f"{one.name.replace('_', ' ')} {_text(one.value)} of {one.layer.effect}"
                     for one in values)  # fmt: skip


def _text(value: Value) -> str:
    return f"{value:.4g}" if isinstance(value, float) else str(value)


def conflict(state: State) -> Question | None:
    """What to do about values that were set here and, since then, in the file."""
    lines = []
    for key in sorted(state.collided):
        row, mine = setting(state.facts, key) if state.facts else None, any_control(state, key)
        if row is None or row.file is None or mine is None or state.facts is None:
            continue
        if row.file.mine(state) is None:
            continue
        held = row.file.held(state.facts)
        shown = white_name(held) if key == "white" and not isinstance(held, bool) else held
        file = replace(mine, value=shown).text
        lines.append(f"{row.spoken or row.label}: the file says {file}, this window {mine.text}")
    if not lines:
        return None
    return Question(
        "The file was changed since; which value holds?",
        tuple(lines),
        ((KEEP_FILE, "Keep the file's"), (OVER, "Write mine over it"),
         (BESIDE, "Write mine beside it")),
    )  # fmt: skip


def recovery(state: State, left: Unsaved) -> Question:
    """What to do about values that an earlier window left unsaved."""
    lines = [f"{name}: {_percent(name, value)}" for name, value in left.whole]
    if left.order:
        lines.append(_list_told(left))
    lines += [f"{one.name.replace('_', ' ')} {_text(one.value)} of {one.layer.effect} on "
              f"{', '.join(one.layer.zones)}" for one in left.values]  # fmt: skip
    return Question(
        "The last window left values that are not in the file",
        tuple(lines),
        ((USE, "Take them up again"), (FORGET, "Forget them")),
    )


def _list_told(left: Unsaved) -> str:
    """What became of the list of layers, in words."""
    added = sum(mark not in left.layers for mark in left.order)
    gone = sum(mark not in left.order for mark in left.layers)
    moved = not (added or gone)
    words = [f"{added} added"] * bool(added) + [f"{gone} removed"] * bool(gone)
    return f"layers: {'in another order' if moved else ', '.join(words)}"


def drawing_left(left: UnsavedDrawing) -> Question:
    """What to do with it."""
    name = PurePath(left.house_file).name
    lines = ["Taken up, it is on show as it was, and still not written."]
    if left.newer:
        lines.append(f"{name} was changed since: it will not be written over.")
    return Question(
        f"The last window left a drawing that is not in {name}",
        tuple(lines),
        ((USE_DRAWING, "Take it up again"), (FORGET_DRAWING, "Forget it")),
    )


def _percent(name: str, value: Value) -> str:
    return f"{100 * value:.0f} %" if isinstance(value, float) and name != "colour" else _text(value)


def unsaved(state: State) -> Unsaved | None:
    """Everything that stands in the window only; also what waits for an answer."""
    facts = state.facts
    if facts is None or not facts.scheme_file:
        return None
    state = rearranged(state)  # as the next action leaves it, whatever that is: some is set outside
    asked = (("brightness", state.brightness), ("colour", state.colour), ("white", state.white))
    whole = {name: value for name, value in asked if value is not None}
    values = {key: value for key, value in state.edits.items() if state.in_force(key)}
    values |= {(one.layer, one.name): one.value for one in state.aside}
    left = state.recovered
    if left is not None:  # not answered yet: what is newer goes before
        whole = dict(left.whole) | whole
        values = {(one.layer, one.name): one.value for one in left.values} | values
    layers, there = _in_file(state)
    order = tuple(there.get(mark, mark) for mark in state.order or ())
    if not order and left is not None:
        order = left.order
    found = Unsaved(
        facts.scheme_file,
        tuple(whole.items()),
        tuple(LayerValue(there.get(mark, mark), name, value)
              for (mark, name), value in values.items()),
        layers,
        order if order != layers else (),
    )  # fmt: skip
    return found if found.any else None


def _in_file(state: State) -> tuple[tuple[LayerMark, ...], Mapping[LayerMark, LayerMark]]:
    """The layers of the scheme file, and which of them each mark of the window is.

    Written, or given back, and not read since, the file holds others than the facts say.
    """
    assert state.facts is not None
    if not state.history.listed:
        return state.facts.file_marks, {}
    held = numbered(replace(there, nth=0) for there, _ in state.history.listed)
    return held, {now: mark for (_, now), mark in zip(state.history.listed, held, strict=True)}


def found_unsaved(state: State, left: Unsaved) -> State:
    """Offer what an earlier window left, unless the file holds all of it by now."""
    facts = state.facts
    if facts is None or facts.scheme_file != left.scheme_file or not left.any:
        return state
    over = still_left(facts, left)
    if over is None or not _taken_up(state, over).changed:
        return state
    return replace(state, recovered=over, question=recovery(state, over))


def _taken_up(state: State, left: Unsaved) -> State:
    """The state with the values an earlier window left; those set in this one go before."""
    facts = state.facts
    assert facts is not None
    whole = dict(left.whole)
    pairs = matched(left.layers, facts.file_marks)
    if left.order and state.order is None:
        order = merged(left.layers, facts.file_marks, pairs, left.order)
        pairs = {mark: mark for mark in left.order if mark not in left.layers} | pairs
        state = replace(state, order=order)
    shapes = {(there, one.name): one.value for one in left.values
              if (there := pairs.get(one.layer)) is not None}  # fmt: skip
    facts = arranged(facts, state.order, shapes | dict(state.edits))
    edits: dict[EditKey, Value] = {}
    aside = list(state.aside)
    for one in left.values:
        there = pairs.get(one.layer)
        if there is not None and _fits(facts, there, one):
            edits[there, one.name] = one.value
        elif there is None or there not in facts.marks:
            aside.append(one)
    edits.update(state.edits)
    bright, white = whole.get("brightness"), whole.get("white")
    if state.brightness is None and isinstance(bright, float):
        state = replace(state, brightness=None if same(bright, facts.brightness) else bright)
    if state.colour is None and whole.get("colour") in ("matched", "raw"):
        colour = str(whole["colour"])
        state = replace(state, colour=None if colour == facts.colour else colour)
    if state.white is None and isinstance(white, str | float):
        state = replace(state, white=None if same(white, facts.white) else white)
    return rearranged(replace(state, edits=MappingProxyType(edits), aside=tuple(aside)))


def _fits(facts: Facts, mark: LayerMark, one: LayerValue) -> bool:
    """Whether a layer of the file can have this value, and has another."""
    parameter = facts.parameter(mark, one.name)
    if parameter is None or same(parameter.value, one.value):
        return False
    if parameter.choices:
        return one.value in parameter.choices
    if one.name in ("from", "until") and one.value == ALWAYS:
        return True
    if one.name == "zones":
        return set(bare_zones(one.value)) <= set(facts.zones)
    inside = isinstance(one.value, float) and parameter.low <= one.value <= parameter.high
    return inside and not isinstance(one.value, bool)


def answered(state: State, answer: str) -> State:
    """The state after a question was answered. What the loop must do first is not done here."""
    if state.question is None or answer not in {key for key, _ in state.question.answers}:
        return state
    if answer in (OVER, BESIDE):
        return replace(state, question=None)
    if answer == KEEP_FILE:
        state = _without_collided(state)
    elif answer == USE and state.recovered is not None:
        state = _taken_up(state, state.recovered)
        if state.aside:
            state = said_aside(state, state.aside)
    if answer in (USE, FORGET):
        state = replace(state, recovered=None)
    return replace(state, question=pending(state))


def pending(state: State) -> Question | None:
    """What is still to be asked: values that collided, then what an earlier window left."""
    left = recovery(state, state.recovered) if state.recovered else None
    drawing = drawing_left(state.left_drawing) if state.left_drawing else None
    return conflict(state) or left or drawing


def _without_collided(state: State) -> State:
    """The file's value for everything that was asked about; other unsaved values stay."""
    for key in state.collided:
        row = setting(state.facts, key) if state.facts else None
        if row is not None and row.file is not None and state.facts is not None:
            state = row.put(state, row.file.held(state.facts))
    return replace(state, collided=frozenset())


def asked_before_writing(state: State) -> State:
    """The question once more, where values still differ from newer ones in the file."""
    return replace(state, question=conflict(state)) if state.collided else state
