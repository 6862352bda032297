"""A value being typed, in the place where it stands."""

from __future__ import annotations

from sim.app.state.record import State
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush

#: How wide the field is [px at 100 %].
WIDTH = 104


def draw_number(brush: Brush, state: State, right: float, y: float, held: str) -> None:
    """The field, its right at `right` and its text's top at `y` [px]; `held` stands there now."""
    field, px = state.number, brush.px
    assert field is not None
    height = brush.size("0")[1]
    place = Rect(round(right) - px(WIDTH - 8), round(y) - px(3), px(WIDTH), height + px(6))
    brush.fill(place, theme.NIGHT, radius=4)
    brush.frame(place, theme.OVER if field.wrong else theme.AMBER, radius=4, width=1.5)
    x = place.x + px(8)
    if field.text:
        text = field.text
        while text and brush.size(text)[0] > place.w - px(18):
            text = text[1:]  # its end is where one types
        box = brush.text(text, x, y, theme.WARM)
        brush.down(box.right + px(2), round(y), round(y) + height, theme.AMBER, 1.5)
    else:
        brush.down(x, round(y), round(y) + height, theme.AMBER, 1.5)
        brush.text(held, x + px(5), y, theme.FAINT, width=place.w - px(20))


def draw_wrong(brush: Brush, state: State, right: float, middle: float) -> None:
    """Why it cannot be taken, beside it, with a mark that needs no colour."""
    field = state.number
    assert field is not None
    text = f"!  {field.wrong}"
    y = middle - brush.size(text, theme.SMALL)[1] / 2
    brush.text(text, right, y, theme.OVER, theme.SMALL, align="right")
