"""What stands where in the drawer: rows made from the controls. Pure; pixels of the screen.

y counts from the top of the drawer's content; the view moves it by the scroll.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.app.state.controls import Control
from sim.app.state.window_layout import Layout, Rect

PAD = 20
#: Heights at 100 %.
TITLE, SECTION, LINE, SLIDER, SUPPLY, GAP = 50, 30, 34, 48, 44, 12

Form = Literal["title", "section", "control", "supply", "caution"]


@dataclass(frozen=True)
class DrawerRow:
    """One line of the drawer. `place` is the whole line, `target` what the pointer takes."""

    form: Form
    place: Rect
    target: Rect
    text: str = ""
    control: Control | None = None
    supply: int = 0


class _Column:
    """Rows stacked one under the other."""

    def __init__(self, parts: Layout):
        self.px = parts.px
        self.left, self.width = self.px(PAD), parts.drawer.w - 2 * self.px(PAD)
        self.y = 0
        self.rows: list[DrawerRow] = []

    def add(self, form: Form, height: int, text: str = "", supply: int = 0) -> Rect:
        place = Rect(self.left, self.y, self.width, height)
        self.rows.append(DrawerRow(form, place, place, text, supply=supply))
        self.y += height
        return place

    def control(self, control: Control) -> None:
        height = self.px(SLIDER if control.form == "slider" else LINE)
        place = Rect(self.left, self.y, self.width, height)
        self.rows.append(DrawerRow("control", place, self._target(place, control), control=control))
        self.y += height

    def beside(self, header: Rect, control: Control) -> None:
        """A small button at the right of a section's header."""
        only = control.label == "Only this"
        w, h = self.px(72 if only else 46), self.px(22)
        x = header.right - w - (self.px(52) if only else 0)
        place = Rect(x, header.bottom - h - self.px(5), w, h)
        self.rows.append(DrawerRow("control", place, place, control=control))

    def _target(self, place: Rect, control: Control) -> Rect:
        px = self.px
        if control.form == "slider":
            return Rect(place.x, place.y + px(25), place.w, px(16))
        if control.form == "choice":
            w = min(px(172), place.w * 3 // 5)
            return Rect(place.right - w, place.y + px(3), w, place.h - px(6))
        if control.form == "switch":
            w, h = px(34), px(18)
            return Rect(place.right - w, place.y + (place.h - h) // 2, w, h)
        return place.inset(0, px(3), 0, px(3))


def rows(
    parts: Layout, controls: tuple[Control, ...], title: str, supplies: int, caution_px: int
) -> tuple[DrawerRow, ...]:
    """The rows from top to bottom. `caution_px` is the height the caution needs when wrapped."""
    column, px = _Column(parts), parts.px
    column.add("title", px(TITLE), title)
    section, header = "", Rect(0, 0, 0, 0)
    for control in controls:
        if control.section != section:
            if section:
                column.y += px(GAP)
            if section == "Scheme" and supplies:
                column.add("section", px(SECTION), "Supplies")
                for index in range(supplies):
                    column.add("supply", px(SUPPLY), supply=index)
                column.add("caution", caution_px)
                column.y += px(GAP)
            section = control.section
            header = column.add("section", px(SECTION), section)
        if control.beside:
            column.beside(header, control)
        else:
            column.control(control)
    column.y += px(PAD)
    return tuple(column.rows)


def content_height(found: tuple[DrawerRow, ...], parts: Layout) -> int:
    """How tall all rows are together [px]."""
    return max((row.place.bottom for row in found), default=0) + parts.px(PAD)


def scroll_to(row: DrawerRow, scroll_px: float, view_px: int) -> float:
    """The scroll [px] that brings a row into sight, moving no more than needed."""
    if row.place.y < scroll_px:
        return row.place.y
    return max(scroll_px, row.place.bottom - view_px)
