"""Which layers the history speaks of, and how they are known once the file has others. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from sim.app.state.history_record import History, HistoryStep, ValueStep
from sim.app.state.layers import LayerMark


def rebased(history: History, scheme: str, pairs: Mapping[LayerMark, LayerMark]) -> History:
    """The history once the layers of a scheme file are other ones in it: old → new."""
    moved = {old: new for old, new in pairs.items() if old != new}
    if not moved:
        return history
    return replace(
        history,
        done=tuple(_rebased(step, scheme, moved) for step in history.done),
        undone=tuple(_rebased(step, scheme, moved) for step in history.undone),
    )


def marks_in(history: History, scheme: str) -> frozenset[LayerMark]:
    """Every layer of a scheme that a step speaks of, also those that are gone."""
    found: set[LayerMark] = set()
    for step in (*history.done, *history.undone):
        if step.scheme == scheme:
            found |= _named(step)
    return frozenset(found)


def _rebased(step: HistoryStep, scheme: str, moved: Mapping[LayerMark, LayerMark]) -> HistoryStep:
    if step.scheme != scheme:
        return step
    wrote = step.wrote
    held = wrote.values if wrote is not None else ()
    if not _named(step) & moved.keys():
        return step

    def known(marks: tuple[LayerMark, ...]) -> tuple[LayerMark, ...]:
        return tuple(moved.get(mark, mark) for mark in marks)

    def there(values: tuple[ValueStep, ...]) -> tuple[ValueStep, ...]:
        return tuple(
            replace(one, what=(moved.get(mark, mark) if mark else None, name))
            for one in values
            for mark, name in (one.what,)
        )

    if wrote is not None:
        listed = tuple((was, moved.get(now, now)) for was, now in wrote.listed)
        wrote = replace(wrote, values=there(held), listed=listed, order=known(wrote.order))
    order = (known(step.order[0]), known(step.order[1])) if step.order else None
    return replace(step, values=there(step.values), wrote=wrote, order=order)


def _named(step: HistoryStep) -> set[LayerMark]:
    """The layers that a step speaks of, as they are known now."""
    wrote = step.wrote
    held = wrote.values if wrote is not None else ()
    named = {mark for one in step.order or () for mark in one}
    if wrote is not None:
        named |= {now for _, now in wrote.listed} | set(wrote.order)
    return named | {one.what[0] for one in (*step.values, *held) if one.what[0] is not None}
