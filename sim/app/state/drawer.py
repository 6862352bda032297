"""What stands where in the drawer: rows made from the controls. Pure; pixels of the screen.

y counts from the top of the drawer's content; the view moves it by the scroll. Rows that are
pinned count from the top of the drawer itself and do not move.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.app.state.controls import Control
from sim.app.state.window_layout import Layout, Rect

PAD = 20
#: Heights at 100 %.
TITLE, SECTION, LINE, SLIDER, SUPPLY, GAP = 50, 30, 34, 48, 44, 12
#: Of what is pinned at the foot: its words, and its buttons.
WORDS, BUTTONS = 26, 44
#: In a lower drawer the words are left out.
ROOMY = 300
#: How wide and high the mark beside a changed value is for the pointer (WCAG 2.5.8: 24).
MARK = 24

Form = Literal["title", "section", "control", "supply", "caution", "foot"]


@dataclass(frozen=True)
class DrawerRow:
    """One line of the drawer. `place` is the whole line, `target` what the pointer takes."""

    form: Form
    place: Rect
    target: Rect
    text: str = ""
    control: Control | None = None
    supply: int = 0
    pinned: bool = False


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

    def head(self, control: Control, room: int) -> Rect:
        """The head of a section that folds; `room` [px] at its right is left for small buttons."""
        place = Rect(self.left, self.y, self.width, self.px(SECTION))
        target = place._replace(w=place.w - room)
        self.rows.append(DrawerRow("control", place, target, control.section, control))
        self.y += place.h
        return place

    def beside(self, header: Rect, control: Control) -> None:
        """A small button at the right of a section's header."""
        only = control.label == "Only this"
        w, h = self.px(72 if only else 46), self.px(24)
        x = header.right - w - (self.px(52) if only else 0)
        place = Rect(x, header.bottom - h - self.px(4), w, h)
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
    parts: Layout,
    controls: tuple[Control, ...],
    title: str,
    supplies: int,
    caution_px: int,
    unwritten: str = "",
) -> tuple[DrawerRow, ...]:
    """The rows from top to bottom, then those pinned at the foot.

    `caution_px` is the height the caution needs when wrapped; `unwritten` the words of the foot.
    """
    column, px = _Column(parts), parts.px
    column.add("title", px(TITLE), title)
    section, header, supplied = "", Rect(0, 0, 0, 0), not supplies
    for control in controls:
        if control.section == "Values":
            continue
        if control.section != section:
            if section:
                column.y += px(GAP)
            if (
                not supplied
                and control.section not in ("Scheme", "Feeds")
                and not control.section[:1].isdigit()
            ):
                supplied = True
                _supplies(column, supplies, caution_px)
            section = control.section
            if control.form == "head":
                header = column.head(control, px(132) if section[:1].isdigit() else 0)
                continue
            header = column.add("section", px(SECTION), section)
        if control.beside:
            column.beside(header, control)
        else:
            column.control(control)
    if not supplied:
        _supplies(column, supplies, caution_px)
    column.y += px(PAD)
    pinned = tuple(one for one in controls if one.section == "Values")
    return (*column.rows, *(_foot(parts, pinned, unwritten) if pinned else ()))


def _supplies(column: _Column, supplies: int, caution_px: int) -> None:
    px = column.px
    column.add("section", px(SECTION), "Supplies")
    for index in range(supplies):
        column.add("supply", px(SUPPLY), supply=index)
    column.add("caution", caution_px)
    column.y += px(GAP)


def _foot(parts: Layout, controls: tuple[Control, ...], words: str) -> tuple[DrawerRow, ...]:
    """What is pinned: how much is unwritten, and its buttons side by side."""
    px, drawer = parts.px, parts.drawer
    words_h = px(WORDS) if drawer.h >= px(ROOMY) else px(7)  # where it is low, buttons alone
    words = words if drawer.h >= px(ROOMY) else ""
    height = words_h + px(BUTTONS)
    foot = Rect(0, drawer.h - height, drawer.w, height)
    found = [DrawerRow("foot", foot, foot, words, pinned=True)]
    gap, inside = px(8), drawer.w - 2 * px(PAD)
    w = (inside - gap * (len(controls) - 1)) // len(controls)
    for index, control in enumerate(controls):
        place = Rect(px(PAD) + index * (w + gap), foot.y + words_h, w, px(30))
        found.append(DrawerRow("control", place, place, control=control, pinned=True))
    return tuple(found)


def foot_h(found: tuple[DrawerRow, ...]) -> int:
    """How tall what is pinned at the foot is [px]."""
    return next((row.place.h for row in found if row.form == "foot"), 0)


def content_height(found: tuple[DrawerRow, ...], parts: Layout) -> int:
    """How tall all rows are together [px], with room for what is pinned over their end."""
    tall = max((row.place.bottom for row in found if not row.pinned), default=0)
    return tall + parts.px(PAD) + foot_h(found)


def scroll_to(top: float, bottom: float, scroll_px: float, view_px: float) -> float:
    """The scroll [px] that brings what stands from `top` to `bottom` into sight, moving no more
    than needed."""
    return top if top < scroll_px else max(scroll_px, bottom - view_px)


def mark_place(row: DrawerRow, parts: Layout) -> Rect | None:
    """Where the mark of a changed value stands, in the drawer's margin; None where there is none.

    A press on it takes the value back to the file's.
    """
    control = row.control
    if control is None or not control.changed or control.form in ("head", "button"):
        return None
    side = parts.px(MARK)
    slides = control.form == "slider"
    middle = row.place.y + parts.px(12) if slides else row.target.y + row.target.h // 2
    return Rect(0, middle - side // 2, side, side)
