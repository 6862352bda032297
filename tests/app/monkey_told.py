"""What a monkey says of two lists of unwritten values that should be the same."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sim.app.state.layers import LayerMark
from sim.app.state.record import State
from sim.app.state.unsaved import Unsaved


def difference(before: Unsaved | None, after: Unsaved | None) -> str:
    """What differs, field by field, nothing of it left out; "" where nothing does."""
    if before is None or after is None:
        return "" if before is after else f"all of it: {before} -> {after}"
    told = []
    for name in ("scheme_file", "layers", "order"):
        was, now = getattr(before, name), getattr(after, name)
        if was != now:
            told.append(f"{name}: {_short(was)} -> {_short(now)}")
    for name in ("whole", "values"):
        was, now = getattr(before, name), getattr(after, name)
        gone, come = [one for one in was if one not in now], [one for one in now if one not in was]
        if gone or come:
            told.append(f"{name}: {_short(gone)} -> {_short(come)}")
        elif was != now:
            told.append(f"{name}: the same in another order, {_short(was)} -> {_short(now)}")
    return "; ".join(told)


def standing(state: State) -> str:
    """All of a state that says what is unwritten and where it belongs, in full."""
    facts, history = state.facts, state.history
    steps = [[one.label for one in pile[-4:]] for pile in (history.done, history.undone)]
    return (
        f"file {_short(facts.file_marks if facts else ())}, read as "
        f"{facts.scheme_digest[:8] if facts else ''}, problems {state.problems}, steps {steps}, "
        f"order {_short(state.order)}, edits {_short(state.edits.items())}, "
        f"aside {_short(state.aside)}, left {state.recovered}, listed {_short(history.listed)}, "
        f"returning {_short(history.returning.items())}, asked {state.question}"
    )


def _short(value: Any) -> str:
    """As `repr`, but marks without what they seldom say."""
    if isinstance(value, LayerMark):
        rest = [f"{name}={text}" for name, text in value.rest if text not in ("None", "normal")]
        inside = [f"{name}={setting!r}" for name, setting in value.settings]
        return (f"<{value.effect} on {'+'.join(value.zones)} in {value.palette!r} "
                f"{' '.join([*inside, *rest])} #{value.nth}>")  # fmt: skip
    if hasattr(value, "layer") and hasattr(value, "value"):
        return f"{value.name}={value.value!r} of {_short(value.layer)}"
    if isinstance(value, str) or not isinstance(value, Iterable):
        return repr(value)
    return f"({', '.join(_short(one) for one in value)})"
