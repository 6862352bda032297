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


def draw_help(brush: Brush, state: State, table: tuple[Binding, ...] = ()) -> None:
    """The key table over everything, made smaller where the window is small."""
    width, height = state.size_px
    whole = Rect(0, 0, width, height)
    brush.fill(whole, theme.NIGHT, alpha=238)
    table = table or (BINDINGS if state.board is None else DRAWING_BINDINGS)
    fitted, columns = _fitted(brush, width, height, table)
    px = fitted.px
    column_w = _column_width(fitted, columns)
    x = (width - len(columns) * column_w + px(40)) // 2
    top = px(64)
    fitted.text("Keys", x, px(20), theme.WARM, theme.LARGE, bold=True)
    words = "Everything works with the mouse alone and with the keys alone."
    if state.board is not None:
        words = "To type while drawing:  2.5 m   30°   6/12   2.5 m, 30°   +1 m, -0.2 m"
    fitted.text(words, x + px(84), px(30), theme.QUIET)
    for column in columns:
        key_w = max(fitted.size(keys)[0] for keys, _ in column) + px(18)
        for index, (keys, label) in enumerate(column):
            y = top + index * px(22)
            if not keys and label:
                fitted.text(label, x, y, theme.AMBER, bold=True)
                continue
            fitted.text(keys, x, y, theme.WARM)
            fitted.text(label, x + key_w, y, theme.QUIET)
        x += column_w


def _column_width(brush: Brush, columns: list[list[tuple[str, str]]]) -> int:
    keys = max(brush.size(keys)[0] for column in columns for keys, _ in column)
    label = max(brush.size(text)[0] for column in columns for _, text in column)
    return keys + label + brush.px(58)


def _fitted(
    brush: Brush, width: int, height: int, table: tuple[Binding, ...]
) -> tuple[Brush, list[list[tuple[str, str]]]]:
    """The largest scale up to the one in force at which the whole table is in sight."""
    scale = brush.scale
    while True:
        tried = brush.scaled(scale)
        columns = help_columns(height - tried.px(80), tried.px(22), table)
        if scale <= 0.6 or len(columns) * _column_width(tried, columns) <= width - tried.px(20):
            return tried, columns
        scale -= 0.05
