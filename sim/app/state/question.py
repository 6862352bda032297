"""What only the person can decide, and where its card and buttons stand. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.record import Question, State
from sim.app.state.window_layout import Layout, Rect

#: Heights at 100 %: of the title with its margin, a line, a button, and between buttons.
TITLE, LINE, BUTTON, GAP = 40, 20, 32, 8
WIDEST, LEAST_BUTTON = 700, 176


@dataclass(frozen=True)
class QuestionPlaces:
    """Where the parts of a question stand [px of the screen]."""

    card: Rect
    lines: int  # how many there is room for
    buttons: tuple[Rect, ...]


def asked_at(state: State, parts: Layout, x: float, y: float) -> bool:
    """Whether the card of a question lies over a place of the screen."""
    asked = state.question
    return asked is not None and question_places(asked, parts).card.holds(x, y)


def question_places(question: Question, parts: Layout) -> QuestionPlaces:
    """At the top of the picture; buttons side by side, or one below the other where it is narrow.

    Lines give way before buttons do.
    """
    px, picture = parts.px, parts.notes
    margin = min(px(16), picture.w // 16)
    width = min(picture.w - 2 * margin, px(WIDEST))
    inside, count, gap = width - 2 * margin, len(question.answers), px(GAP)
    each = (inside - (count - 1) * gap) // count
    across = each >= px(LEAST_BUTTON)
    rows = 1 if across else count
    button_h = min(px(BUTTON), max(picture.h // (rows + 1), 1))
    gap_y = min(gap, button_h // 4)
    below = rows * (button_h + gap_y)
    room = picture.h - 2 * margin - px(TITLE) - below
    lines = min(len(question.lines), max(room // px(LINE), 0))
    card_h = px(TITLE) + lines * px(LINE) + below + margin // 2
    x = picture.x + (picture.w - width) // 2
    y = max(min(margin, picture.h - card_h), 0)
    card = Rect(x, y, width, card_h)
    top = card.bottom - below - margin // 2 + gap_y // 2
    if across:
        places = tuple(Rect(x + margin + index * (each + gap), top, each, button_h)
                       for index in range(count))  # fmt: skip
    else:
        places = tuple(Rect(x + margin, top + index * (button_h + gap_y), inside, button_h)
                       for index in range(count))  # fmt: skip
    return QuestionPlaces(card, lines, places)
