"""What stands where in the drawing panel, and what a press on it does. Pure; pixels of the screen.

y counts from the top of the panel's content; the view moves it by the scroll.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from sim.app.state import drawing_actions as act
from sim.app.state.drawing import CATCHES, TOOLS, Board
from sim.app.state.drawing_fields import Field, fields, shown_option
from sim.app.state.drawing_things import LINED, item_words
from sim.app.state.drawing_words import unwritten
from sim.app.state.record import State
from sim.app.state.step_actions import Redo, Undo
from sim.app.state.window_layout import Layout, Rect

PAD = 18
#: Heights at 100 %.
TITLE, TOOL, HINT, HEAD, ROW, OPTION, BUTTON, CHIP, GAP = 40, 50, 38, 30, 27, 30, 28, 24, 6

Form = Literal["title", "tool", "hint", "head", "field", "option", "button", "chip", "caution",
               "note"]  # fmt: skip


@dataclass(frozen=True)
class PanelPart:
    """One thing of the panel: what it is, where, what it says and what a press on it does."""

    form: Form
    place: Rect
    text: str = ""
    action: Any = None
    on: bool = False
    field: Field | None = None
    option: Any = None
    key: str = ""  # the key that does the same, or the name of a tool


class _Sheet:
    """Parts laid one under the other, or side by side."""

    def __init__(self, parts: Layout):
        self.px = parts.px
        self.left, self.width = self.px(PAD), parts.drawer.w - 2 * self.px(PAD)
        self.y = 0
        self.found: list[PanelPart] = []

    def line(self, form: Form, height: int, text: str = "", **more: Any) -> None:
        place = Rect(self.left, self.y, self.width, height)
        self.found.append(PanelPart(form, place, text, **more))
        self.y += height

    def cells(self, form: Form, height: int, across: int, made: list[dict[str, Any]]) -> None:
        """Parts in rows of `across`."""
        gap = self.px(4)
        each = (self.width - (across - 1) * gap) // across
        for index, one in enumerate(made):
            row, column = divmod(index, across)
            place = Rect(self.left + column * (each + gap), self.y + row * (height + gap),
                         each, height)  # fmt: skip
            self.found.append(PanelPart(form, place, **one))
        self.y += -(-len(made) // across) * (height + gap)


def panel_parts(
    state: State, parts: Layout, hint_lines: int = 2, caution_px: int = 0
) -> tuple[PanelPart, ...]:
    """The panel from top to bottom; `caution_px` is the caution's height when wrapped."""
    board = state.board
    if board is None:
        return ()
    sheet, px = _Sheet(parts), parts.px
    sheet.line("title", px(TITLE), "Drawing", on=unwritten(state))
    sheet.cells("tool", px(TOOL), 5, [
        {"text": name, "action": act.UseTool(tool), "on": board.tool == tool, "key": tool}
        for tool, (name, _, _) in TOOLS.items()
    ])  # fmt: skip
    sheet.line("hint", px(8 + 17 * hint_lines), TOOLS[board.tool][2])
    _chosen(sheet, board)
    if caution_px and wired(board):
        sheet.y += px(GAP)
        sheet.line("caution", caution_px)
    sheet.y += px(GAP)
    _buttons(sheet, state, board)
    _switches(sheet, board)
    sheet.y += px(PAD)
    return tuple(sheet.found)


def wired(board: Board) -> bool:
    """Whether something of the wiring is chosen, or a tool for it is in hand."""
    sort = board.pick.item.sort if board.pick else ""
    return sort in ("supply", "wire") or board.tool in ("supply", "feed", "cut") or bool(
        board.pick and board.pick.cut is not None)  # fmt: skip


def _chosen(sheet: _Sheet, board: Board) -> None:
    px = sheet.px
    if board.members:
        sheet.line("head", px(HEAD), f"{len(board.members)} runs: " + ", ".join(board.members))
        return
    if board.pick is None:
        sheet.line("head", px(HEAD), "Nothing chosen")
        sheet.line("note", px(20), "Tab goes from thing to thing.")
        return
    sheet.line("head", px(HEAD), heading(board))
    for one in fields(board):
        has_keys = board.field == one.key
        text = board.typed + "|" if has_keys and board.typed else one.text
        sheet.line("field", px(ROW), text, action=act.OpenField(one.key), on=has_keys, field=one)
        if has_keys and board.listed and one.options:
            across = 1 if one.kind in ("aim", "kind", "profile") else 2
            sheet.cells("option", px(OPTION), across, [
                {"text": shown_option(one, option), "action": act.SetField(one.key, option),
                 "on": option == one.value, "field": one, "option": option}
                for option in one.options
            ])  # fmt: skip


def heading(board: Board) -> str:
    """What is chosen, in words."""
    pick = board.pick
    assert pick is not None
    if len(board.picks) > 1:
        return f"{len(board.picks)} things; the last: {item_words(pick.item)}"
    part = f", corner {pick.corner + 1}" if pick.corner is not None else ""
    if pick.item.sort == "wire" and pick.corner is not None:
        part = ", its end" if pick.corner else ", its start"
    if pick.cut is not None:
        part = f", cut before pixel {pick.cut}"
    words = item_words(pick.item)
    return f"{words[:1].upper()}{words[1:]}{part}"


def _buttons(sheet: _Sheet, state: State, board: Board) -> None:
    rows: list[dict[str, Any]] = [
        {"text": "Undo", "action": Undo(), "key": "Ctrl Z"},
        {"text": "Redo", "action": Redo(), "key": "Ctrl Y"},
        {"text": "Write", "action": act.WriteDraft(), "key": "W", "on": unwritten(state)},
    ]
    if board.picks:
        rows += [
            {"text": "Repeat", "action": act.Repeat(), "key": "D"},
            {"text": "Mirror", "action": act.Mirror(), "key": "X"},
            {"text": "Delete", "action": act.DeleteChosen(), "key": "Delete"},
        ]
        sort = board.picks[-1].item.sort
        if sort in LINED:
            rows.append({"text": "Corner", "action": act.AddCorner(), "key": "N"})
        if sort == "surface":
            rows += [
                {"text": "Nearer", "action": act.Raise(1), "key": "Shift Page up"},
                {"text": "Farther", "action": act.Raise(-1), "key": "Shift Page down"},
            ]
    if board.line or board.members:
        rows += [
            {"text": "End it", "action": act.Done(), "key": "Enter", "on": True},
            {"text": "Take back", "action": act.TakeBack(), "key": "Backspace"},
            {"text": "Give up", "action": act.GiveUp(), "key": "Esc"},
        ]
    sheet.cells("button", sheet.px(BUTTON), 3, rows)


def _switches(sheet: _Sheet, board: Board) -> None:
    px = sheet.px
    sheet.line("head", px(HEAD), "To draw by")
    sheet.cells("chip", px(CHIP), 3, [
        {"text": "Daylight", "action": act.ToggleBoard("daylight"), "on": board.daylight},
        {"text": "Plain light", "action": act.ToggleBoard("plain_light"), "on": board.plain_light},
        {"text": "Grid", "action": act.ToggleBoard("grid"), "on": board.grid},
    ])  # fmt: skip
    sheet.line("head", px(HEAD), "Caught by")
    sheet.cells("chip", px(CHIP), 2, [
        {"text": words, "action": act.ToggleCatch(name), "on": name in board.caught_by}
        for name, words in CATCHES.items()
        if name != "photo" or board.sight is not None
    ])  # fmt: skip
    sheet.y += px(GAP)
    sheet.cells(
        "button",
        px(BUTTON),
        1,
        [{"text": "Leave the drawing tools", "action": act.OpenBoard(), "key": "Shift D"}],
    )


def panel_height(found: tuple[PanelPart, ...], parts: Layout) -> int:
    """How tall all of it is together [px]."""
    return max((one.place.bottom for one in found), default=0) + parts.px(PAD)
