"""What needs the person: a question, a fault inside, what is wrong in a file."""

from __future__ import annotations

from sim.app.state.question import question_places
from sim.app.state.record import Question, State
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.chips import CROSS, draw_cross

NO_FEEDS = "No feeds could be proposed"
UNREAD = "This file cannot be read; the picture is the last good one"
FAULT = "Something failed inside; the window goes on with what it has"
SAFE = "Unsaved values are kept and offered at the next start. Ctrl S writes them to the file."

_Line = tuple[str, theme.Colour]


def draw_banners(
    brush: Brush, parts: Layout, state: State, kept: bool, at: tuple[int, int]
) -> tuple[tuple[str, Rect], ...]:
    """One below the other from the top of the picture. `kept`: whether unsaved values are kept;
    `at` is where the pointer is. Returns the crosses that put them aside, by their names."""
    crosses: list[tuple[str, Rect]] = []
    top = parts.notes.y + min(parts.px(16), parts.notes.h // 16)
    if state.question:
        top = _question(brush, parts, state.question, at) + parts.px(8)
        crosses.append(("question", question_cross(state.question, parts)))
    if state.fault:
        body = [state.fault, *([SAFE] if kept else [])]
        crosses.append(("fault", _cross(parts, top)))
        top = _card(brush, parts, top, FAULT, _wrapped(brush, parts, body), at) + parts.px(8)
    if state.no_plan:
        why = _wrapped(brush, parts, [state.no_plan])
        crosses.append(("no_plan", _cross(parts, top)))
        top = _card(brush, parts, top, NO_FEEDS, why, at) + parts.px(8)
    if state.problems:
        lines = _wrapped(brush, parts, [str(problem) for problem in state.problems[:4]])
        more = len(state.problems) - 4
        if more > 0:
            lines.append((f"and {more} more", theme.QUIET))
        crosses.append(("problems", _cross(parts, top)))
        _card(brush, parts, top, UNREAD, lines, at)
    return tuple(crosses)


def _cross(parts: Layout, top: int) -> Rect:
    """Where the cross of a red card stands whose top row is `top`."""
    right = parts.notes.x + (parts.notes.w + _width(parts)) // 2
    side = parts.px(CROSS)
    return Rect(right - side - parts.px(8), top + parts.px(8), side, side)


def question_cross(question: Question, parts: Layout) -> Rect:
    """Where the cross of a question stands."""
    card, side = question_places(question, parts).card, parts.px(CROSS)
    return Rect(card.right - side - parts.px(8), card.y + parts.px(8), side, side)


def _width(parts: Layout) -> int:
    margin = min(parts.px(16), parts.notes.w // 16)
    return max(min(parts.notes.w - 2 * margin, parts.px(860)), 1)


def _wrapped(brush: Brush, parts: Layout, texts: list[str]) -> list[_Line]:
    """Each text in lines of the card's width, its first line the brightest."""
    width = max(_width(parts) - brush.px(44), brush.px(40))
    found: list[_Line] = []
    for text in texts:
        lines = [brush.cut(line, width) for line in brush.wrapped(text, width)]
        if len(lines) > 3:
            lines = [*lines[:2], lines[2].rstrip("…") + " …"]
        found += [(line, theme.QUIET if index else theme.WARM) for index, line in enumerate(lines)]
    return found


def _card(
    brush: Brush, parts: Layout, top: int, title: str, body: list[_Line], at: tuple[int, int]
) -> int:
    """A red card; returns the row of its foot [px]. Lines that have no room are left out."""
    px, width = brush.px, _width(parts)
    room = parts.notes.bottom - top - px(52)
    body = body[: max(room // px(20), 1)]
    height = px(42) + len(body) * px(20) + px(10)
    card = Rect(parts.notes.x + (parts.notes.w - width) // 2, top, width, height)
    brush.fill(card, theme.BANNER, alpha=244, radius=8)
    brush.frame(card, theme.OVER, radius=8)
    brush.fill(Rect(card.x, card.y + px(8), px(4), card.h - px(16)), theme.OVER, radius=2)
    hint = "Esc hides this"
    hint_w = brush.size(hint, theme.SMALL)[0] + px(14)
    close = _cross(parts, top)
    beside = width > px(360)
    room = max(close.x - card.x - px(30) - (hint_w if beside else 0), px(20))
    brush.text(title, card.x + px(22), card.y + px(12), theme.WARM, bold=True, width=room)
    if beside:
        brush.text(hint, close.x - px(6), card.y + px(13), theme.QUIET, theme.SMALL,
                   align="right")  # fmt: skip
    draw_cross(brush, close, at)
    for index, (line, colour) in enumerate(body):
        brush.text(line, card.x + px(22), card.y + px(40) + index * px(20), colour)
    return card.bottom


def _question(brush: Brush, parts: Layout, question: Question, at: tuple[int, int]) -> int:
    """The question with its buttons; returns the row of its foot [px]."""
    px, places = brush.px, question_places(question, parts)
    card = places.card
    brush.fill(card, theme.NIGHT, alpha=248, radius=8)
    brush.frame(card, theme.AMBER, radius=8)
    left = places.buttons[0].x
    inside = max(card.right - left - (left - card.x), 1)
    hint = "Esc: later"
    close = question_cross(question, parts)
    draw_cross(brush, close, at)
    inside_title = max(close.x - left - px(6), 1)
    hint_w = brush.size(hint, theme.SMALL)[0] + px(12)
    title_w = brush.size(question.title, bold=True)[0]
    if title_w + hint_w <= inside_title:
        end = left + inside_title
        brush.text(hint, end, card.y + px(13), theme.QUIET, theme.SMALL, align="right")
    brush.text(question.title, left, card.y + px(12), theme.WARM, bold=True, width=inside_title)
    shown = list(question.lines[: places.lines])
    if places.lines == 1:
        shown = ["; ".join(question.lines)]
    elif len(question.lines) > places.lines > 0:
        shown[-1] = f"and {len(question.lines) - places.lines + 1} more"
    for index, line in enumerate(shown):
        brush.text(line, left, card.y + px(38) + index * px(20), theme.QUIET, width=inside)
    numbered = zip(question.answers, places.buttons, strict=True)
    for number, ((_, label), place) in enumerate(numbered, 1):
        brush.fill(place, theme.LINE if place.holds(*at) else theme.RAISED, radius=6)
        brush.frame(place, theme.FAINT, radius=6)
        text = brush.cut(label, max(place.w - px(40), 1))
        _, height = brush.size(text)
        y = place.y + (place.h - height) / 2
        brush.text(str(number), place.x + px(12), y, theme.AMBER, bold=True)
        brush.text(text, place.x + px(30), y, theme.WARM)
    return card.bottom
