"""What an earlier window left, less what its file holds by now. Pure.

It waits for an answer, and meanwhile the same may be written: here, by the writing or its undoing
of another step, or by another program. What the file says is not unwritten, and is not asked about.
"""

from __future__ import annotations

from dataclasses import replace

from sim.app.state.layer_order import merged
from sim.app.state.layers import (
    LayerMark,
    LayerValue,
    Value,
    matched,
    same,
    same_marks,
    with_values,
)
from sim.app.state.record import Facts
from sim.app.state.unsaved import Unsaved


def still_left(facts: Facts, left: Unsaved | None) -> Unsaved | None:
    """`left` without what the file holds now; None where nothing is over."""
    if left is None:
        return None
    held: dict[str, Value] = {
        "brightness": facts.brightness,
        "colour": facts.colour,
        "white": facts.white,
    }
    whole = tuple((name, value) for name, value in left.whole if not same(held.get(name), value))
    values, order = left.values, left.order
    if _all_held(facts, left):
        values, order = (), ()
    else:
        pairs = matched(left.layers, facts.file_marks)
        values = tuple(one for one in values if not _held(facts, pairs.get(one.layer), one))
        if order and merged(left.layers, facts.file_marks, pairs, order) == facts.file_marks:
            order = ()
    if (whole, values, order) == (left.whole, left.values, left.order):
        return left
    less = replace(left, whole=whole, values=values, order=order)
    return less if less.any else None


def _all_held(facts: Facts, left: Unsaved) -> bool:
    """Whether the file has just the layers that were left, those made in the window too."""
    values: dict[LayerMark, dict[str, Value]] = {}
    for one in left.values:
        values.setdefault(one.layer, {})[one.name] = one.value
    wanted = left.order or left.layers
    if len(wanted) != len(facts.file_marks) or not values.keys() <= set(wanted):
        return False
    if any("effect" in those for those in values.values()):
        return False  # another effect has other parameters: a mark with it cannot be told from here
    return all(same_marks(with_values(mark, values.get(mark, {})), there)
               for mark, there in zip(wanted, facts.file_marks, strict=True))  # fmt: skip


def _held(facts: Facts, mark: LayerMark | None, one: LayerValue) -> bool:
    """Whether the layer of the file has this value."""
    layers = facts.layers if facts.filed is None else facts.filed
    found = dict(zip(facts.file_marks, layers, strict=True)).get(mark) if mark else None
    if found is None:
        return False
    if one.name == "effect":
        return found.effect == one.value
    parameter = found.parameter(one.name)
    return parameter is not None and same(parameter.value, one.value)
