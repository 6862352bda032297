"""The layers as the window has them: in which order, which are added, which are gone. Pure.

A layer is known by its mark from the time it is seen until the window closes, whatever becomes of
it: its values, whether it is hidden and where it stands are all told by that. A mark that the file
does not hold is a layer made here, and says itself what is in it. So a list of marks is a list of
layers, small enough for every step of the history, and it can be laid on any state of the file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sim.app.state.layer_facts import facts_with
from sim.app.state.layers import OWN_COLOURS, LayerMark, Value, zones_of
from sim.app.state.record import EditKey, Facts, LayerFacts, State

#: Layers made here are counted from this, so that none is taken for one of the file.
MADE_FROM = 1000
_SHAPES = ("effect", "zones")


def arranged(
    facts: Facts, order: tuple[LayerMark, ...] | None, edits: Mapping[EditKey, Value]
) -> Facts:
    """The facts with the layers in this order, each with its effect and zones of the window."""
    filed = facts.layers if facts.filed is None else facts.filed
    shaped: dict[LayerMark, dict[str, Value]] = {}
    for (mark, name), value in edits.items():
        if name in _SHAPES:
            shaped.setdefault(mark, {})[name] = value
    if order is None and not shaped:
        return facts if facts.filed is None else replace(facts, layers=filed, filed=None)
    held = dict(zip(facts.file_marks, filed, strict=True))
    layers = []
    for mark in facts.file_marks if order is None else order:
        if mark in held and mark not in shaped:
            layers.append(replace(held[mark], own=mark))
        else:
            layers.append(facts_with(mark, shaped.get(mark, {})))
    made = tuple(layers)
    if facts.filed is not None and made == facts.layers:
        return facts
    return replace(facts, layers=made, filed=filed)


def rearranged(state: State) -> State:
    """The state with its facts as order and values ask for; an order like the file's is none."""
    if state.facts is None:
        return state
    returning = bool(state.history.listed)  # the file is another one in a moment
    like_file = not returning and _like_file(state)
    order = None if like_file else state.order
    facts = arranged(state.facts, order, state.edits)
    if facts is state.facts and order == state.order:
        return state
    return replace(state, facts=facts, order=order)


def _like_file(state: State) -> bool:
    """Whether the file would hold its very bytes once the order is written: where two layers that
    are alike have changed places too, as long as nothing else is known of either."""
    facts, order = state.facts, state.order
    if facts is None or order is None or len(order) != len(facts.file_marks):
        return False
    moved = [(a, b) for a, b in zip(order, facts.file_marks, strict=True) if a != b]
    known = {mark for mark, _ in state.edits} | state.hidden | {state.only}
    return all(replace(a, nth=0) == replace(b, nth=0) and a not in known and b not in known
               for a, b in moved)  # fmt: skip


def merged(
    base: Sequence[LayerMark], now: Sequence[LayerMark], pairs: Mapping[LayerMark, LayerMark],
    order: Sequence[LayerMark],
) -> tuple[LayerMark, ...]:  # fmt: skip
    """An `order` meant for the layers `base`, laid on the layers there are `now`.

    `pairs` says which is which. What the order left out of the base stays out; what has gone since
    is gone; what has come since stands after the layer that it follows now; what is made here
    stays.
    """
    known = set(base)
    found = [pairs.get(mark, mark) for mark in order if mark not in known or mark in pairs]
    paired = {pairs[mark] for mark in base if mark in pairs}
    before: LayerMark | None = None
    for mark in now:
        if mark not in paired and mark not in found:
            at = found.index(before) + 1 if before in found else 0
            found.insert(at, mark)
        before = mark if mark in found else before
    return tuple(found)


def as_written(layer: LayerFacts, values: Mapping[str, Value]) -> LayerMark:
    """What a layer will be in the file once these values are written."""
    parameters = tuple(replace(one, value=values.get(one.name, one.value))
                       for one in layer.parameters)  # fmt: skip
    colours = layer.colours
    if "palette" in values and values["palette"] != OWN_COLOURS:
        colours = ()
    zones = zones_of(values["zones"]) if "zones" in values else layer.zones
    return replace(layer, parameters=parameters, colours=colours, zones=zones).mark


def layers_written(state: State) -> tuple[tuple[LayerMark, LayerMark], ...]:
    """What each layer of the window will be in the file once all is written, and what it is known
    by now."""
    if state.facts is None:
        return ()
    values: dict[LayerMark, dict[str, Value]] = {}
    for (mark, name), value in state.edits.items():
        values.setdefault(mark, {})[name] = value
    both = zip(state.facts.layers, state.facts.marks, strict=True)
    return tuple((as_written(layer, values.get(mark, {})), mark) for layer, mark in both)


def made_mark(facts: Facts, mark: LayerMark, taken: Sequence[LayerMark] = ()) -> LayerMark:
    """The mark of a new layer with what is in `mark`, unlike any there is."""
    plain = replace(mark, nth=0)
    alike = [one.nth for one in (*facts.marks, *facts.file_marks, *taken)
             if replace(one, nth=0) == plain]  # fmt: skip
    return replace(plain, nth=max([MADE_FROM - 1, *alike]) + 1)


def is_made(facts: Facts, mark: LayerMark) -> bool:
    """Whether a layer is not in the file."""
    return mark not in facts.file_marks
