"""What lies over the ribbon's curve: marks, the part that repeats, and what the pointer asks."""

from __future__ import annotations

import pygame

from sim.app.state.record import State
from sim.app.state.ribbon import Load
from sim.app.state.ribbon_places import MarkPlace, column_of, in_curve, mark_places, mark_under
from sim.app.state.ribbon_update import span_of
from sim.app.state.scales import time_text
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.plot import tones

LAYERS_ARE = (
    "Of a layer: how much less is drawn now with it hidden. Layers that cover one another share, "
    "so these need not add up."
)
_COLOURS = {"peak": theme.WARM, "past": theme.AMBER, "over": theme.OVER}


def draw_loop(brush: Brush, state: State, parts: Layout) -> None:
    """The part that repeats: what does not is veiled, and its ends have posts."""
    loop, curve = state.ribbon.loop, parts.curve
    if loop is None:
        return
    ends = [column_of(state, curve, at_s) for at_s in loop]
    a, b = (round(min(max(x, curve.x), curve.right)) for x in ends)
    for x, end in ((curve.x, a), (b, curve.right)):
        brush.fill(Rect(x, curve.y, end - x, curve.h), theme.NIGHT, alpha=150)
    if b <= a:
        return
    brush.fill(Rect(a, curve.bottom, b - a, brush.px(3)), theme.WARM)
    post, arm = brush.px(2), brush.px(6)
    for column, way in zip(ends, (1, -1), strict=True):
        if not curve.x - 1 <= column <= curve.right + 1:
            continue
        at = round(column) - (post if way < 0 else 0)
        brush.fill(Rect(at, curve.y, post, curve.h), theme.WARM)
        for y in (curve.y, curve.bottom - post):
            brush.fill(Rect(at if way > 0 else at + post - arm, y, arm, post), theme.WARM)
    length_s = loop[1] - loop[0]
    words = f"repeats {time_text(length_s, length_s, 2)}"
    if brush.size(words, theme.SMALL)[0] + brush.px(20) <= b - a:
        w, h = brush.size(words, theme.SMALL)
        x, y = a + brush.px(8), curve.bottom - h - brush.px(3)
        brush.fill(Rect(x - brush.px(3), y, w + brush.px(6), h), theme.PANEL, alpha=215, radius=3)
        brush.text(words, x, y, theme.WARM, theme.SMALL)


def draw_marks(brush: Brush, state: State, parts: Layout, at: tuple[int, int]) -> None:
    """Each mark above the curve; the one under the pointer, at `at`, stands out with its words."""
    pointed = mark_under(state, parts, *at)
    for one in mark_places(state, parts):
        _mark(brush, parts, one, pointed is not None and one.mark == pointed.mark)


def _mark(brush: Brush, parts: Layout, one: MarkPlace, lit: bool) -> None:
    x = one.place.x + one.place.w // 2
    y = one.place.y + one.place.h // 2
    colour = _COLOURS[one.mark.form]
    if lit:
        brush.fill(one.place, theme.RAISED, radius=6)
        brush.frame(one.place, colour, radius=6)
        brush.down(x, one.place.bottom, parts.curve.bottom, colour, 1)
    r = brush.px(5)
    if one.mark.form == "peak":
        points = [(x, y - r), (x + r, y), (x, y + r), (x - r, y)]
        pygame.draw.polygon(brush.surface, colour, points)
    else:
        points = [(x, y - r), (x + r + 1, y + r), (x - r - 1, y + r)]
        pygame.draw.polygon(brush.surface, colour, points)
        brush.fill(
            Rect(x - brush.px(1) // 2, y - brush.px(2), brush.px(1), brush.px(4)), theme.NIGHT
        )
        brush.fill(
            Rect(x - brush.px(1) // 2, y + brush.px(3), brush.px(1), brush.px(1)), theme.NIGHT
        )


Row = tuple[str, str, theme.Colour | None]


def mark_rows(state: State, one: MarkPlace) -> tuple[str, list[Row], str]:
    """Title, rows and foot of a mark's card."""
    span_s = span_of(state)
    text = one.mark.text[:1].upper() + one.mark.text[1:]
    also = f"and {one.also} more near it: come closer to part them. " if one.also else ""
    foot = f"{also[:1].upper()}{also[1:]}A click goes there (keys M, Shift M)."
    return text, [("at", time_text(one.mark.time_s, span_s, 2), None)], foot


def hover_rows(state: State, load: Load) -> tuple[str, list[Row], str] | None:
    """Title, rows and foot of the card for the instant pointed at; None: nothing is known."""
    hover_s = state.ribbon.hover_s
    if hover_s is None or not len(load.total_a):
        return None
    frame = min(round(hover_s * load.fps), len(load.total_a) - 1)
    total_a = float(load.total_a[frame])
    when = time_text(hover_s, span_of(state), 2)
    if total_a != total_a:
        return f"{when}   not computed yet", [], ""
    about = "about " if load.guessed[frame] else ""
    rows: list[Row] = []
    for name, amps, rated_a, tone in reversed(list(zip(
        load.names, load.supply_a[frame], load.rated_a, tones(len(load.names)), strict=True
    ))):  # fmt: skip
        share = f"{100 * amps / rated_a:.0f} %" if rated_a else ""
        rows.append((name, f"{amps:.2f} of {rated_a:.3g} A   {share}", tone))
    told = state.ribbon.instant
    foot = ""
    if told is not None and told.frame == frame and not load.broken:  # it is of the sound house
        rows.append(("", "", None))
        rows += [(name, f"{amps + 0.0:.2f} A", None) for name, amps in told.layers]
        rows.append(("every pixel dark", f"{told.idle_a:.2f} A", None))
        foot = LAYERS_ARE
    return f"{when}   {about}{total_a:.2f} A", rows, foot


def draw_hover(
    brush: Brush, state: State, parts: Layout, load: Load | None, at: tuple[int, int]
) -> None:
    """A line at the instant under the pointer, and a card above the ribbon that tells of it."""
    if load is None or state.help or state.drag is not None:
        return
    mark = mark_under(state, parts, *at)
    told = mark_rows(state, mark) if mark else hover_rows(state, load)
    if told is None:
        return
    if mark is not None:
        x = mark.place.x + mark.place.w / 2
    else:
        assert state.ribbon.hover_s is not None
        frame_s = 1 / load.fps
        x = column_of(state, parts.curve, state.ribbon.hover_s)
        after = column_of(state, parts.curve, state.ribbon.hover_s + frame_s)
        x = (x + after) / 2 if after - x > 3 else x
        now = column_of(state, parts.curve, state.frame_s)
        if in_curve(parts.curve, x) and abs(x - now) > brush.px(3):  # never over the playhead
            brush.down(round(x), parts.curve.y, parts.curve.bottom, theme.QUIET, 1)
    _card(brush, parts, x, *told)


def _card(brush: Brush, parts: Layout, x: float, title: str, rows: list[Row], foot: str) -> None:
    px, room = brush.px, parts.notes
    label_w = max((brush.size(label)[0] for label, _, _ in rows), default=0)
    value_w = max((brush.size(value)[0] for _, value, _ in rows), default=0)
    wanted = max(brush.size(title, bold=True)[0], label_w + value_w + px(42), px(200))
    width = min(wanted + px(32), room.w - px(16))
    lines = brush.wrapped(foot, width - px(32), theme.SMALL) if foot else []
    line, small = px(20), px(17)

    def height(with_rows: int, with_lines: int) -> int:
        blank = sum(px(12) for label, value, _ in rows[:with_rows] if not label and not value)
        full = sum(line for label, value, _ in rows[:with_rows] if label or value)
        return px(40) + blank + full + with_lines * small + (px(8) if with_lines else 0)

    least = parts.picture.bottom - px(16)
    if height(len(rows), len(lines)) > least:
        lines = []
    while rows and height(len(rows), len(lines)) > least:
        rows = rows[:-1]
    tall = height(len(rows), len(lines))
    left = round(min(max(x - width / 2, px(8)), parts.picture.right - width - px(8)))
    card = Rect(max(left, 0), max(parts.ribbon.y - tall - px(8), 0), width, tall)
    brush.card(card)
    brush.text(title, card.x + px(16), card.y + px(10), theme.WARM, bold=True, width=width - px(32))
    y = card.y + px(36)
    for label, value, tone in rows:
        if not label and not value:
            brush.across(card.x + px(16), card.right - px(16), y + px(5))
            y += px(12)
            continue
        begin = card.x + px(16)
        if tone is not None:
            brush.fill(Rect(begin, y + px(5), px(10), px(10)), tone, radius=2)
            begin += px(18)
        value_px = brush.size(value)[0]
        brush.text(
            label, begin, y, theme.QUIET, width=max(card.right - px(28) - value_px - begin, px(20))
        )
        brush.text(value, card.right - px(16), y, theme.WARM, align="right")
        y += line
    for index, text in enumerate(lines):
        brush.text(text, card.x + px(16), y + px(4) + index * small, theme.FAINT, theme.SMALL)
