"""Parts of the panels of small windows: buttons, steppers, switches, words of which one holds.

All take plain values and draw; where they stand is what can be pressed.
"""

from __future__ import annotations

import pygame

from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush


def button(
    brush: Brush,
    words: str,
    place: Rect,
    live: bool,
    *,
    main: bool = False,
    over: bool = False,
    here: bool = False,
) -> None:
    """A button with a word on it: the main one in the accent, a frame where the keys are."""
    brush.fill(place, theme.AMBER if main else theme.RAISED, radius=6)
    if (over and live) or here:
        brush.frame(place, theme.WARM, radius=6, width=2 if here else 1)
    colour = theme.NIGHT if main else theme.WARM if live else theme.FAINT
    words = brush.cut(words, place.w - brush.px(8), theme.BODY, main)
    y = place.y + (place.h - brush.size(words)[1]) / 2
    brush.text(words, place.x + place.w / 2, y, colour, align="centre", bold=main)


def segments(
    brush: Brush, name: str, box: Rect, choices: tuple[tuple[str, str], ...], on: str, here: bool
) -> list[tuple[str, Rect]]:
    """Choices (id and word) of which one holds, side by side; returns `NAME ID` and places."""
    brush.fill(box, theme.NIGHT, radius=6)
    wide = [brush.size(words, theme.SMALL)[0] + 5 for _, words in choices]
    if max(wide) <= box.w / len(choices):
        wide = [1] * len(choices)  # else each has room by its words
    ends = [box.x + round(box.w * sum(wide[:at]) / sum(wide)) for at in range(len(choices) + 1)]
    places = []
    for index, (choice, words) in enumerate(choices):
        left, right = ends[index], ends[index + 1]
        place = Rect(left, box.y, right - left, box.h)
        if choice == on:
            brush.fill(place.inset(2, 2, 2, 2), theme.LINE, radius=5)
        said = brush.cut(words, place.w - 4, theme.SMALL)
        y = place.y + (place.h - brush.size(said, theme.SMALL)[1]) // 2
        colour = theme.WARM if choice == on else theme.QUIET
        brush.text(said, place.x + place.w / 2, y, colour, theme.SMALL, align="centre")
        places.append((f"{name} {choice}", place))
    brush.frame(box, theme.AMBER if here else theme.EDGE, radius=6, width=1.5 if here else 1)
    return places


def text_field(brush: Brush, inner: Rect, typed: str, fresh: bool) -> None:
    """What is being typed, its end in sight, with the caret; marked where it would be replaced."""
    shown = typed
    while shown and brush.size(shown)[0] > inner.w - brush.px(4):
        shown = shown[1:]
    w, h = brush.size(shown or "x")
    y = inner.y + (inner.h - h) // 2
    if fresh and shown:
        brush.fill(Rect(inner.x - 2, y, w + 4, h), theme.LINE, radius=3)
    right = brush.text(shown, inner.x, y, theme.WARM).right if shown else inner.x
    top, bottom = inner.y + brush.px(6), inner.bottom - brush.px(6)
    brush.down(right + 1, top, bottom, theme.AMBER, 1.5)


def stepper(brush: Brush, box: Rect, way: int, over: bool, *, of_list: bool) -> None:
    """One end of a field that steps: less and more, or back and on in a list."""
    colour = theme.WARM if over else theme.QUIET
    if over:
        brush.fill(box.inset(3, 3, 3, 3), theme.RAISED, radius=4)
    x, y, arm = box.x + box.w // 2, box.y + box.h // 2, brush.px(4)
    thick = brush.px(1.5)
    if of_list:
        side = way * arm // 2
        points = [(x - side, y - arm), (x + side, y), (x - side, y + arm)]
        pygame.draw.lines(brush.surface, colour, False, points, thick)
        return
    brush.fill(Rect(x - arm, y - thick // 2, 2 * arm, thick), colour)
    if way > 0:
        brush.fill(Rect(x - thick // 2, y - arm, thick, 2 * arm), colour)


def switch(brush: Brush, box: Rect, on: bool) -> None:
    """A field that is on or off, in a word and by a switch."""
    words = "On" if on else "Off"
    y = box.y + (box.h - brush.size(words)[1]) // 2
    brush.text(words, box.x + brush.px(9), y, theme.WARM)
    wide, high = brush.px(26), brush.px(14)
    track = Rect(box.right - brush.px(9) - wide, box.y + (box.h - high) // 2, wide, high)
    brush.fill(track, theme.AMBER if on else theme.EDGE, radius=7)
    middle = (track.right - high // 2 if on else track.x + high // 2, track.y + high // 2)
    pygame.draw.circle(
        brush.surface, theme.NIGHT if on else theme.WARM, middle, high // 2 - brush.px(2)
    )
