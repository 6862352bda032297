"""The files as they are now: which unsaved values stay, which are asked about, which wait.

Nothing that a person set is dropped here without a word: a value stays with its layer, or is set
aside until its layer is back, or is asked about where the file has another one since.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from sim.app.state import actions as act
from sim.app.state.folding import listed_control
from sim.app.state.history_marks import marks_in, rebased
from sim.app.state.history_values import key_of
from sim.app.state.layer_order import arranged, as_written, made_mark, merged
from sim.app.state.layers import (
    LayerMark,
    LayerValue,
    Value,
    matched,
    same,
    same_marks,
    with_values,
)
from sim.app.state.left_over import still_left
from sim.app.state.questions import USE, conflict, pending, said, said_aside
from sim.app.state.record import EditKey, Facts, State
from sim.app.state.setting import InFile
from sim.app.state.settings import settings

_Pairs = Mapping[LayerMark, LayerMark]
_LAID_AGAIN = "The file's layers were changed since; your order and your own layers lie on them."


def loaded(state: State, action: act.Loaded) -> State:
    """The state with the files as they are now."""
    facts, before = action.facts, state.facts
    if before is not None and before.scheme_file == facts.scheme_file:
        state = _carried(state, before, facts)
    else:
        state = replace(
            state, facts=facts, brightness=None, colour=None, white=None, edits=no_edits(),
            aside=(), order=None, hidden=frozenset(), only=None, collided=frozenset(),
            recovered=None, question=None,
        )  # fmt: skip
    kept = state.selection is not None and state.selection < facts.pixels
    state = replace(
        state,
        facts=arranged(facts, state.order, state.edits),
        scheme_path=facts.scheme_file or None,
        problems=(),
        selection=state.selection if kept else None,
        kind=state.kind if state.kind in facts.kinds else None,
        other=state.other if state.other in facts.kinds else None,
        brightness=None if same(state.brightness, facts.brightness) else state.brightness,
        colour=None if state.colour == facts.colour else state.colour,
        white=None if same(state.white, facts.white) else state.white,
    )
    history = replace(state.history, returning=MappingProxyType({}), listed=())
    if (left := still_left(facts, state.recovered)) is not state.recovered:
        asked = state.question is not None and dict(state.question.answers).keys() >= {USE}
        state = replace(state, recovered=left)
        state = replace(state, question=pending(state)) if asked else state
    focus = state.focus if listed_control(state, state.focus or "") else None
    return replace(state, focus=focus, history=history)


def no_edits() -> Mapping[EditKey, Value]:
    """Nothing differs from the file."""
    return MappingProxyType({})


def _carried(state: State, before: Facts, facts: Facts) -> State:
    """The state with everything that belongs to a layer moved to where that layer is now."""
    base, pairs = _pairs(state, before, facts)
    apart = _apart(state, before, facts, pairs)
    order = None
    if state.order is not None:
        # What is made here, or left out here, is known by what it was.
        own = {mark: apart.get(mark, mark) for mark in before.marks if mark not in base}
        pairs = own | dict(pairs)
        order = merged(base, facts.file_marks, pairs, state.order)
        order = None if order == facts.file_marks else order
    left_out = {mark for mark, _ in state.edits if mark not in before.marks}
    known = apart | dict(pairs)
    edits: dict[EditKey, Value] = {}
    aside, fresh = [], []
    for kept in state.aside:
        there = _back_again(kept, facts)
        if there is None:
            aside.append(kept)
        else:
            edits[there, kept.name] = kept.value
    moved_edits = {(known.get(mark, mark), name): value for (mark, name), value
                   in state.edits.items()}  # fmt: skip
    facts = arranged(facts, order, {key: value for key, value in moved_edits.items()
                                    if not same(_held(facts, key), value)})  # fmt: skip
    for (mark, name), value in state.edits.items():
        there = known.get(mark)
        if mark in left_out or (there in facts.marks and before.parameter(mark, name) is None):
            edits[there or mark, name] = value  # at rest: nothing on show has such a value
        elif there is None or facts.parameter(there, name) is None:
            fresh.append(LayerValue(mark, name, value))
        else:
            edits[there, name] = value
    edits = {key: value for key, value in edits.items() if not same(_held(facts, key), value)}
    moved = {f"{here}.": f"{there}." for here, there in _numbers(pairs, before, facts)}
    after = replace(
        state,
        facts=facts,
        edits=MappingProxyType(edits),
        order=order,
        aside=(*aside, *fresh),
        hidden=frozenset(pairs[mark] for mark in state.hidden if mark in pairs),
        only=pairs.get(state.only) if state.only else None,
        focus=_renamed(state.focus, moved),
        drag=_renamed(state.drag, moved),
        history=rebased(state.history, facts.scheme_file, known),
    )
    collided = {_renamed(key, moved) for key in state.collided} | _collisions(before, after, moved)
    changed = {row.key for row in settings(facts) if row.file and _differs(row.file, after, facts)}
    after = replace(after, collided=frozenset(key for key in collided if key in changed))
    if fresh:
        after = said_aside(after, tuple(fresh))
    elif state.order is not None and order is not None and base != facts.file_marks:
        after = replace(after, message=said(_LAID_AGAIN))
    if after.collided or state.collided:
        after = replace(after, question=conflict(after))
    return after


def _differs(file: InFile, state: State, facts: Facts) -> bool:
    """Whether the window has a value of its own, and the file another."""
    mine = file.mine(state)
    return mine is not None and not same(mine, file.held(facts))


def _pairs(state: State, before: Facts, facts: Facts) -> tuple[tuple[LayerMark, ...], _Pairs]:
    """The layers that the order in the window is meant for, and which of them is which now.

    What the window itself wrote, or took back, leaves every layer in its place.
    """
    listed = state.history.listed
    if listed and len(listed) == len(facts.marks):
        both = list(zip(listed, facts.marks, strict=True))
        if all(same_marks(was, there) for (was, _), there in both):
            return tuple(now for _, now in listed), {now: there for (_, now), there in both}
    values: dict[LayerMark, dict[str, Value]] = {}
    for (mark, name), value in state.edits.items():
        values.setdefault(mark, {})[name] = value
    for (layer, name), value in state.history.returning.items():
        if layer is not None:
            values.setdefault(layer, {})[name] = value
    beside = list(zip(before.marks, facts.marks, strict=False))
    written = [as_written(layer, values.get(mark, {}))
               for layer, mark in zip(before.layers, before.marks, strict=True)]  # fmt: skip
    in_place = len(before.marks) == len(facts.marks) and all(
        (state.order is None and same_marks(old, new))
        or same_marks(wrote, new)
        or same_marks(with_values(old, values.get(old, {})), new)
        for wrote, (old, new) in zip(written, beside, strict=False)
    )
    if in_place:
        return before.marks, dict(beside)
    return before.file_marks, matched(before.file_marks, facts.marks)


def _apart(state: State, before: Facts, facts: Facts, pairs: _Pairs) -> dict[LayerMark, LayerMark]:
    """New marks for layers of the window, or gone but not forgotten, where another has theirs now.

    Of two alike the first was removed, and that is written: the other counts as the first then.
    """
    taken = frozenset(pairs.values())
    spoken_of = {*marks_in(state.history, facts.scheme_file), *before.marks}
    spoken_of |= {mark for mark, _ in state.edits}
    found: dict[LayerMark, LayerMark] = {}
    for mark in sorted((spoken_of & taken) - pairs.keys(), key=repr):
        found[mark] = made_mark(facts, mark, (*spoken_of, *taken, *found.values()))
    return found


def _back_again(kept: LayerValue, facts: Facts) -> LayerMark | None:
    """The layer of a value set aside, where the file holds exactly one just like it."""
    plain = replace(kept.layer, nth=0)
    alike = [mark for mark in facts.marks if replace(mark, nth=0) == plain]
    there = len(alike) == 1 and facts.parameter(alike[0], kept.name) is not None
    return alike[0] if there else None


def _held(facts: Facts, key: EditKey) -> Value | None:
    """What the file says of a value; None where it does not have the layer."""
    parameter = facts.parameter(*key)
    return parameter.value if parameter else None


def _numbers(pairs: _Pairs, before: Facts, facts: Facts) -> list[tuple[int, int]]:
    return [(before.marks.index(here), facts.marks.index(there)) for here, there in pairs.items()
            if here in before.marks and there in facts.marks]  # fmt: skip


def _renamed(key: str | None, moved: Mapping[str, str]) -> str | None:
    """The id of a control once the layers have other numbers; None where its layer has gone."""
    if key is None or "." not in key:
        return key
    number, _, name = key.partition(".")
    there = moved.get(f"{number}.")
    return None if there is None else there + name


def _collisions(before: Facts, after: State, moved: Mapping[str, str]) -> set[str | None]:
    """Controls that were set here while the file came to say something else than before."""
    facts = after.facts
    assert facts is not None
    old = {_renamed(row.key, moved): row.file.held(before) for row in settings(before) if row.file}
    found: set[str | None] = set()
    returned = _returned(before, after, moved)
    for row in settings(facts):
        if row.file is None or row.key not in old or not _differs(row.file, after, facts):
            continue
        if row.key in returned and same(returned[row.key], row.file.held(facts)):
            continue
        if not same(old[row.key], row.file.held(facts)):
            found.add(row.key)
    return found


def _returned(before: Facts, after: State, moved: Mapping[str, str]) -> dict[str | None, Value]:
    """Controls whose writing was taken back here, and what the file is to say of them again."""
    found = {}
    for what, value in after.history.returning.items():
        found[_renamed(key_of(before, what), moved)] = value
    return found
