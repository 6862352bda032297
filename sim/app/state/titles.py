"""The title of the window: what has the keys, and what is on show. Pure."""

from __future__ import annotations

from sim.app.state.closing import unwritten
from sim.app.state.controls import spoken_of
from sim.app.state.folding import listed_control
from sim.app.state.record import State


def title(state: State, touched: str = "") -> str:
    """The control that has the keys or the thing `touched` first, as screen readers begin there;
    then scheme and house.

    A star says that something of it stands in no file yet.
    """
    found = listed_control(state, state.focus) if state.focus else None
    words = [spoken_of(found)] if found is not None else [touched] if touched else []
    if state.facts is not None:
        star = "*" if unwritten(state) else ""
        on_show = f"{state.facts.scheme} · " if state.facts.scheme_file else ""
        words.append(f"{on_show}{state.facts.house}{star}")
    return " · ".join([*words, "Evenfall"])
