"""What floats over the house when asked or needed: a message, what is read at first, help."""

from __future__ import annotations

from sim.app.state.drawing_keys import DRAWING_BINDINGS
from sim.app.state.keys import BINDINGS, Binding
from sim.app.state.record import State
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush


def draw_message(brush: Brush, parts: Layout, text: str, high: bool = False) -> Rect:
    """A few words above the ribbon, or `high` at the top. Returns where they stand."""
    lines = brush.wrapped(text, max(round(parts.notes.w * 0.7), brush.px(40))) or [""]
    width = max(brush.size(line)[0] for line in lines)
    line_h, pad = brush.px(20), brush.px(14)
    height = len(lines) * line_h + brush.px(14)
    x = parts.notes.x + (parts.notes.w - width) // 2 - pad
    y = parts.notes.y + brush.px(32) if high else parts.notes.bottom - height - brush.px(20)
    place = Rect(x, y, width + 2 * pad, height)
    brush.card(place)
    for index, line in enumerate(lines):
        brush.text(line, place.x + pad, place.y + brush.px(7) + index * line_h)
    return place


def draw_loading(brush: Brush, parts: Layout, text: str) -> None:
    """What one reads before the first picture."""
    picture = parts.picture
    brush.fill(picture, theme.NIGHT)
    middle = picture.x + picture.w // 2
    brush.text("Evenfall", middle, picture.h * 0.42, theme.WARM, theme.LARGE, align="centre")
    brush.text(text, middle, picture.h * 0.42 + brush.px(40), theme.QUIET, align="centre",
               width=picture.w)  # fmt: skip
    once = "The first run compiles its kernels once; that takes some twenty seconds."
    brush.text(once, middle, picture.h * 0.42 + brush.px(66), theme.FAINT, theme.SMALL,
               align="centre", width=picture.w)  # fmt: skip


#: The type of the list of keys is made no smaller than this share of the type in force.
LEAST_TYPE = 0.85


def help_columns(
    height_px: int, line_px: int, table: tuple[Binding, ...] = BINDINGS
) -> list[list[tuple[str, str]]]:
    """The key table in columns: ("", group) heads, then (keys, label)."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for binding in table:
        keys = "  ".join(dict.fromkeys(str(press) for press in binding.presses))
        groups.setdefault(binding.group, []).append((keys, binding.label))
    columns: list[list[tuple[str, str]]] = [[]]
    room = max(height_px // line_px, 1)
    for group, lines in groups.items():
        needed = len(lines) + 2
        if columns[-1] and len(columns[-1]) + needed > room:
            columns.append([])
        columns[-1] += [("", group), *lines, ("", "")]
    return columns


def draw_help(
    brush: Brush, state: State, table: tuple[Binding, ...] = (), *, scrolls: bool = False
) -> float:
    """The key table over everything; how far it can be scrolled [px at 100 %].

    Where the window is small its type is made smaller: a little where it `scrolls`, else until
    all of it is in sight.
    """
    width, height = state.size_px
    whole = Rect(0, 0, width, height)
    brush.fill(whole, theme.NIGHT, alpha=246)
    table = table or (BINDINGS if state.board is None else DRAWING_BINDINGS)
    fitted, columns = _fitted(brush, width, height, table, LEAST_TYPE if scrolls else 0.0)
    px = fitted.px
    column_w = _column_width(fitted, columns)
    x = max((width - len(columns) * column_w + px(40)) // 2, px(16))
    top, line = px(64), px(22)
    over = max(len(column) for column in columns) * line - (height - top - px(16))
    limit = max(over, 0) / brush.scale if scrolls else 0.0
    moved = round(min(state.feedback.help_y, limit) * brush.scale)
    words = "Everything works with the mouse alone and with the keys alone."
    if state.board is not None:
        words = "To type while drawing:  2.5 m   30°   6/12   2.5 m, 30°   +1 m, -0.2 m"
    if limit:
        words = "More below: wheel, or Up and Down." if moved < over else "The end of the list."
    title = fitted.text("Keys", x, px(20), theme.WARM, theme.LARGE, bold=True)
    fitted.text(
        words, title.right + px(26), px(30), theme.QUIET, width=width - title.right - px(40)
    )
    for column in columns:
        key_w = max(fitted.size(keys)[0] for keys, _ in column) + px(18)
        for index, (keys, label) in enumerate(column):
            y = top + index * line - moved
            if not top - px(4) <= y <= height - line:
                continue
            if not keys and label:
                fitted.text(label, x, y, theme.AMBER, bold=True)
                continue
            fitted.text(keys, x, y, theme.WARM)
            fitted.text(label, x + key_w, y, theme.QUIET)
        x += column_w
    return limit


def _column_width(brush: Brush, columns: list[list[tuple[str, str]]]) -> int:
    keys = max(brush.size(keys)[0] for column in columns for keys, _ in column)
    label = max(brush.size(text)[0] for column in columns for _, text in column)
    return keys + label + brush.px(58)


def _fitted(
    brush: Brush, width: int, height: int, table: tuple[Binding, ...], least: float
) -> tuple[Brush, list[list[tuple[str, str]]]]:
    """The largest scale up to the one in force at which the whole table is in sight, with its
    columns; below `least` of it, that scale and columns that are taller than the window."""
    scale = brush.scale
    while True:
        if scale < least * brush.scale:
            return _tall(brush.scaled(least * brush.scale), width, height, table)
        tried = brush.scaled(scale)
        columns = help_columns(height - tried.px(80), tried.px(22), table)
        if scale <= 0.6 or len(columns) * _column_width(tried, columns) <= width - tried.px(20):
            return tried, columns
        scale -= 0.05


def _tall(
    brush: Brush, width: int, height: int, table: tuple[Binding, ...]
) -> tuple[Brush, list[list[tuple[str, str]]]]:
    """As many columns as are in sight side by side, as short as they can be."""
    line, room = brush.px(22), height
    while True:
        columns = help_columns(room, line, table)
        wide = len(columns) * _column_width(brush, columns) <= width - brush.px(20)
        if wide or len(columns) == 1:
            return brush, columns
        room += 2 * line
