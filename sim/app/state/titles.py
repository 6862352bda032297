"""The title of the window: what has the keys, and what is on show. Pure."""

from __future__ import annotations

from sim.app.state.choosing_pages import TITLES, part_of, sheet
from sim.app.state.closing import unwritten
from sim.app.state.controls import any_control, spoken_of
from sim.app.state.drawing import TOOLS, Board
from sim.app.state.drawing_fields import field
from sim.app.state.drawing_layout import heading
from sim.app.state.folding import listed_control
from sim.app.state.names import Named, of_part
from sim.app.state.record import State
from sim.app.state.window_layout import layout


def in_front(state: State) -> str:
    """What has the keys, in words that need no sight of it; "" where nothing has."""
    if state.number is not None:
        field, typed = any_control(state, state.number.control), state.number
        name = field.spoken or field.label if field is not None else "value"
        return f"{name}, typed: {typed.text}" + (f", wrong: {typed.wrong}" if typed.wrong else "")
    if state.question is not None:
        numbered = enumerate((label for _, label in state.question.answers), 1)
        return f"{state.question.title} " + ", ".join(f"{n}: {label}" for n, label in numbered)
    if state.board is not None:
        return _on_board(state.board)
    if state.choosing is not None:
        page = sheet(state, layout(state))
        part = part_of(page, state.choosing.at)
        return f"{TITLES[state.choosing.page]}: {told(of_part(part)) if part else 'arrows choose'}"
    found = listed_control(state, state.focus) if state.focus else None
    return spoken_of(found) if found is not None else ""


def told(one: Named) -> str:
    """Name and value in one line."""
    return f"{one.name}: {one.value}" if one.value else one.name


def _on_board(board: Board) -> str:
    """The row that has the keys, what is typed, or what is chosen; and the tool in hand."""
    row = field(board, board.field)
    if row is not None:
        return f"{row.label}: {board.typed or row.text}"
    if board.typed:
        return f"typed: {board.typed}"
    name = TOOLS[board.tool][0]
    return f"{name}: {heading(board)}" if board.pick is not None else name


def title(state: State, touched: str = "") -> str:
    """The control that has the keys or the thing `touched` first, as screen readers begin there;
    then scheme and house.

    A star says that something of it stands in no file yet.
    """
    said = in_front(state) or touched
    words = [said] if said else []
    if state.facts is not None:
        star = "*" if unwritten(state) else ""
        on_show = f"{state.facts.scheme} · " if state.facts.scheme_file else ""
        words.append(f"{on_show}{state.facts.house}{star}")
    return " · ".join([*words, "Evenfall"])
