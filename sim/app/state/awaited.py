"""What the picture on show is not yet: said at once, while the new one is being made. Pure."""

from __future__ import annotations

from sim.app.state.record import State
from sim.app.state.settings import HOUSE_KINDS
from sim.app.state.shown import Stage


def awaited(state: State, stage: Stage) -> str:
    """What is being made, in words; "" where the picture is of what is asked for."""
    if state.board is not None or state.facts is None:
        return ""
    if state.scheme_path and state.scheme_path != state.facts.scheme_file:
        name = dict(state.facts.schemes).get(state.scheme_path, "")
        return f"Opening {name} …" if name else ""
    if stage.left.kind != state.kind:
        return _with(state.kind)
    if state.compare and (stage.right is None or stage.right.kind != state.other):
        return _with(state.other)
    if stage.hour and stage.hour != state.hour:
        return f"Making the picture for {state.hour} …"
    return ""


def _with(kind: str | None) -> str:
    return f"Making the picture with pixels {kind or HOUSE_KINDS} …"
