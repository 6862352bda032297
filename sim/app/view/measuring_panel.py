"""The panel of the dialogue: what can be measured, as fields, steppers, signs and swatches."""

from __future__ import annotations

from dataclasses import dataclass

import pygame

from sim.app.state import forming as fm
from sim.app.state import measuring as ms
from sim.app.state.forming import FIELD
from sim.app.state.measuring import Measuring
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.form_signs import draw_sign, draw_swatch
from sim.app.view.panel_parts import button, segments, stepper, switch, text_field

PAD, FIELD_H, LABEL_H, GAP, TILE_H, SWATCH_H = 20, 26, 18, 6, 40, 24
HEAD, FOOT, FOOT_SHORT, SHORT = 56, 88, 46, 480
#: What stands where nothing has happened.
KEYS = "Tab goes on, arrows step, Enter takes what is typed"
#: What can be pressed: id and place. `step KEY ±1`, `choose KEY WORD`, `field KEY`, or a button.
Buttons = tuple[tuple[str, Rect], ...]


@dataclass(frozen=True)
class PanelSeen:
    """What was drawn: what can be pressed, and how far the fields go and are to be scrolled."""

    buttons: Buttons
    scroll_px: float
    most_px: float


def draw_panel(brush: Brush, state: Measuring, pointer: tuple[int, int] | None) -> PanelSeen:
    """The panel."""
    panel = ms.panel(state)
    brush.fill(panel, theme.PANEL)
    head, foot = brush.px(HEAD), brush.px(FOOT)
    if short := panel.h < brush.px(SHORT):  # one row of buttons; what is told stands above it
        foot = min(brush.px(FOOT_SHORT + (22 if state.told else 0)), panel.h // 3)
    body = Rect(panel.x, head, panel.w, max(panel.h - head - foot, 1))
    column = FormColumn(brush, state, pointer, body)
    brush.surface.set_clip(pygame.Rect(body))
    column.fields()
    most = max(column.y + state.scroll_px - body.bottom, 0.0)
    scroll = min(max(state.scroll_px, 0.0), most)
    at = column.focus_at
    if state.follow and at is not None:
        over = at.bottom + brush.px(6) - body.bottom
        under = body.y + brush.px(6) - at.y
        scroll = min(max(scroll + (over if over > 0 else -under if under > 0 else 0), 0.0), most)
    _bar(brush, body, scroll, most)
    brush.surface.set_clip(None)
    column.buttons = [
        (name, _within(place, body)) for name, place in column.buttons if place.meets(body)
    ]
    column.head(panel)
    column.foot(Rect(panel.x, body.bottom, panel.w, foot), short)
    brush.down(panel.x, panel.y, panel.bottom)
    return PanelSeen(tuple(column.buttons), scroll, most)


def _within(place: Rect, body: Rect) -> Rect:
    top, bottom = max(place.y, body.y), min(place.bottom, body.bottom)
    return Rect(place.x, top, place.w, max(bottom - top, 0))


def _bar(brush: Brush, body: Rect, scroll: float, most: float) -> None:
    """Where one is, at the edge, where not all fields are in sight."""
    if most <= 0:
        return
    high = max(round(body.h * body.h / (body.h + most)), brush.px(24))
    y = body.y + round((body.h - high) * scroll / most)
    place = Rect(body.right - brush.px(6), y, brush.px(3), high)
    brush.fill(place, theme.FAINT, radius=1)


class FormColumn:
    """What stands in the panel, from top to bottom."""

    def __init__(
        self, brush: Brush, state: Measuring, pointer: tuple[int, int] | None, body: Rect
    ) -> None:
        self.brush, self.state, self.pointer, self.body = brush, state, pointer, body
        self.x, self.w = body.x + brush.px(PAD), body.w - 2 * brush.px(PAD)
        self.y = body.y + brush.px(4) - state.scroll_px
        self.buttons: list[tuple[str, Rect]] = []
        self.focus_at: Rect | None = None

    # --- the fields, in order ---

    def fields(self) -> None:
        for words in ms.wrong_elsewhere(self.state):
            self._sentence(words, theme.OVER)
        form, signs, numbers, rest = ms.rows(self.state)
        self._tiles_row(form)
        self._tiles_row(signs)
        for index in range(0, len(numbers), 2):
            self._pair(numbers[index : index + 2])
        for key in rest:
            if key in ("wall", "roof"):
                self._swatches(key)
        self._pair(("kind", "name"), share=(0.6, 0.4))
        self.y += self.brush.px(6)

    def _tiles_row(self, keys: tuple[str, ...]) -> None:
        """Fields whose choices are signs, side by side; each tile as wide as all others."""
        brush = self.brush
        many = sum(len(FIELD[key].choices) for key in keys)
        gap = brush.px(16)
        each = min((self.w - gap * (len(keys) - 1)) / max(many, 1), brush.px(58))
        high = round(min(brush.px(TILE_H), each * 0.82))
        x, top = float(self.x), self.y
        for key in keys:
            wide = each * len(FIELD[key].choices)
            self._label(key, round(x), round(wide))
            for index, choice in enumerate(FIELD[key].choices):
                box = Rect(round(x + index * each), round(top + brush.px(LABEL_H)),
                           round(each) - brush.px(3), high)  # fmt: skip
                self._tile(key, choice, box)
            self._mark_focus(key, Rect(round(x), round(top), round(wide), high + brush.px(LABEL_H)))
            x += wide + gap
        self.y = top + brush.px(LABEL_H + GAP) + high
        for key in keys:
            self._wrong(key)

    def _tile(self, key: str, choice: str, box: Rect) -> None:
        brush, forming = self.brush, self.state.forming
        on = fm.text_of(forming, key) == choice
        if on or self._over(box):
            brush.fill(box, theme.RAISED, radius=6)
        facing = forming.measures.facing or "eave"
        form = forming.measures.form
        if key == "form":
            facing = facing if choice == form else "gable"
        draw_sign(brush, key, choice, form, facing, box, on)
        if on:
            brush.frame(box, self._edge(key), radius=6, width=1.5 if key == self.state.focus else 1)
        self.buttons.append((f"choose {key} {choice}", box))

    def _pair(self, keys: tuple[str, ...], share: tuple[float, ...] = (0.5, 0.5)) -> None:
        """Fields side by side."""
        brush = self.brush
        gap = brush.px(12)
        x, top = float(self.x), self.y
        for key, part in zip(keys, share, strict=False):
            wide = (self.w - gap * (len(share) - 1)) * part
            self._label(key, round(x), round(wide))
            box = Rect(round(x), round(top + brush.px(LABEL_H)), round(wide), brush.px(FIELD_H))
            self._field(key, box)
            x += wide + gap
        self.y = top + brush.px(LABEL_H + FIELD_H + GAP)
        for key in keys:
            self._wrong(key)

    def _field(self, key: str, box: Rect) -> None:
        brush, state = self.brush, self.state
        here = key == state.focus
        typing = here and state.typed is not None
        brush.fill(box, theme.NIGHT, radius=6)
        edge = theme.OVER if ms.wrong_with(state, key) else self._edge(key)
        brush.frame(box, edge, radius=6, width=1.5 if here else 1)
        sort = FIELD[key].sort
        ends = 0 if sort in ("words", "switch") else min(box.h, box.w // 4)
        inner = Rect(box.x + ends + brush.px(4 if ends else 9), box.y,
                     box.w - 2 * ends - brush.px(8 if ends else 18), box.h)  # fmt: skip
        self.buttons.append((f"field {key}", box))
        self._mark_focus(key, Rect(box.x, box.y - brush.px(LABEL_H), box.w, box.bottom - box.y
                                   + brush.px(LABEL_H)))  # fmt: skip
        if typing:
            inner = Rect(box.x + brush.px(9), box.y, box.w - brush.px(18), box.h)
            text_field(brush, inner, state.typed or "", state.fresh)
            return
        text = ms.shown_text(state, key)
        y = box.y + (box.h - brush.size(text or "x")[1]) // 2
        ruled = key not in dict(state.forming.texts) and key != "lit"
        colour = theme.QUIET if ruled else theme.WARM
        if ends:
            middle = inner.x + inner.w / 2
            brush.text(text, middle, y, colour, align="centre", width=inner.w)
            for way, x in ((-1, box.x), (1, box.right - ends)):
                end = Rect(x, box.y, ends, box.h)
                stepper(brush, end, way, self._over(end), of_list=sort == "choice")
                self.buttons.append((f"step {key} {way}", end))
        elif sort == "switch":
            switch(brush, box, text == "on")
        else:
            brush.text(text, inner.x, y, colour, width=inner.w)

    def _swatches(self, key: str) -> None:
        brush = self.brush
        chosen = fm.text_of(self.state.forming, key)
        choices = FIELD[key].choices
        self._label(key, self.x, self.w, said=chosen.replace("-", " "))
        top, gap, high = self.y + brush.px(LABEL_H), brush.px(3), brush.px(SWATCH_H)
        most = max((self.w + gap) // (high + gap), 1)  # in a row, none narrower than it is high
        lines = -(-len(choices) // most)
        many = -(-len(choices) // lines)
        each = min((self.w + gap) / many, brush.px(44))
        for index, name in enumerate(choices):
            row, column = divmod(index, many)
            left, right = (round(self.x + at * each) for at in (column, column + 1))
            box = Rect(left, round(top) + row * (high + gap), right - left - gap, high)
            draw_swatch(brush, name, box)
            on = name == chosen
            if on or self._over(box):
                around = Rect(box.x - 2, box.y - 2, box.w + 4, box.h + 4)
                brush.frame(around, theme.AMBER if on else theme.WARM, radius=3, width=2)
            self.buttons.append((f"choose {key} {name}", box))
        tall = lines * (high + gap) - gap
        self._mark_focus(key, Rect(self.x, round(self.y), self.w, tall + brush.px(LABEL_H)))
        self.y = top + tall + brush.px(GAP + 2)
        self._wrong(key)

    # --- what stands with a field ---

    def _label(self, key: str, x: int, wide: int, said: str = "") -> None:
        brush, field = self.brush, FIELD[key]
        here = key == self.state.focus
        colour = theme.AMBER if here else theme.QUIET
        box = brush.text(field.label, x, self.y, colour, theme.SMALL, width=max(wide, 8))
        if not said and key in ("form", "facing", "garage", "chimney"):
            said = fm.text_of(self.state.forming, key)
            said = "" if said == "none" else said
        room = x + wide - box.right - brush.px(8)
        if said and room > brush.px(24):
            brush.text(said, box.right + brush.px(8), self.y, theme.WARM, theme.SMALL, width=room)

    def _wrong(self, key: str) -> None:
        if words := ms.wrong_with(self.state, key):
            self._sentence(f"{FIELD[key].label}: {words[:1].lower()}{words[1:]}", theme.OVER)

    def _sentence(self, words: str, colour: theme.Colour) -> None:
        brush = self.brush
        self.y -= brush.px(4)
        for line in brush.wrapped(words, self.w, theme.SMALL):
            brush.text(line, self.x, self.y, colour, theme.SMALL)
            self.y += brush.px(17)
        self.y += brush.px(6)

    def _edge(self, key: str) -> theme.Colour:
        return theme.AMBER if key == self.state.focus else theme.EDGE

    def _mark_focus(self, key: str, place: Rect) -> None:
        if key == self.state.focus:
            self.focus_at = place

    def _over(self, place: Rect) -> bool:
        return (
            self.pointer is not None
            and place.holds(*self.pointer)
            and self.body.holds(*self.pointer)
        )

    # --- above and below the fields ---

    def head(self, panel: Rect) -> None:
        brush, state = self.brush, self.state
        y = panel.y + brush.px(14)
        wide = brush.px(92)
        brush.text("House from measurements", self.x, y, theme.WARM, theme.TITLE, bold=True,
                   width=self.w - wide - brush.px(10))  # fmt: skip
        brush.text(state.folder, self.x, y + brush.px(22), theme.FAINT, theme.SMALL,
                   width=self.w - wide - brush.px(10))  # fmt: skip
        box = Rect(self.x + self.w - wide, y + brush.px(2), wide, brush.px(FIELD_H))
        units = state.forming.units
        choices = tuple((one, units if one == ms.system(units) else one) for one in ms.SYSTEMS)
        self.buttons += segments(
            brush, "units", box, choices, ms.system(units), state.focus == "units"
        )

    def foot(self, place: Rect, short: bool) -> None:
        """Buttons, and what just happened."""
        brush, state = self.brush, self.state
        gap = brush.px(8)
        brush.across(place.x, place.right, place.y)
        ready = state.forming.complete
        back = (("undo", "Undo", bool(state.past)), ("redo", "Redo", bool(state.future)))
        if short:
            y = place.bottom - gap - brush.px(30)
            if state.told:
                self._told(state.told, Rect(self.x, place.y + gap // 2, self.w, brush.px(16)))
            small = (self.w - 3 * gap) // 5
            row = (*back, ("leave", "Leave", True))
            for index, (name, label, live) in enumerate(row):
                box = Rect(self.x + index * (small + gap), y, small, brush.px(30))
                self._press(name, label, box, live, name == "leave" and state.leaving)
            left = self.x + 3 * (small + gap)
            rest = Rect(left, y, self.x + self.w - left, brush.px(30))
            words = "Write and draw"
            if brush.size(words, bold=True)[0] > rest.w - brush.px(8):
                words = "Write"
            self._press("accept", words, rest, ready, ready and not state.leaving)
            return
        high = min(brush.px(32), (place.h - 3 * gap) // 2)
        y, quarter = place.y + gap, (self.w - 2 * gap) // 4
        for index, (name, label, live) in enumerate(back):
            self._press(name, label, Rect(self.x + index * (quarter + gap), y, quarter, high), live)
        left = self.x + 2 * (quarter + gap)
        self._told(state.told, Rect(left, y, self.x + self.w - left, high))
        y += high + gap
        third = (self.w - gap) // 3
        asked = state.leaving  # then Enter leaves
        leave = "Leave  (Enter)" if asked else "Leave"
        self._press("leave", leave, Rect(self.x, y, third, high), True, asked)
        rest = Rect(self.x + third + gap, y, self.w - third - gap, high)
        words = "Write and draw" if asked else "Write and draw  (Enter)"
        self._press("accept", words, rest, ready, ready and not asked)

    def _told(self, words: str, place: Rect) -> None:
        brush, line = self.brush, self.brush.px(16)
        colour = theme.AMBER if words else theme.FAINT
        every = brush.wrapped(words or KEYS, place.w, theme.SMALL)
        room = max(place.h // line, 1)
        lines = (
            every[:room]
            if len(every) <= room
            else [*every[: room - 1], " ".join(every[room - 1 :])]
        )
        y = place.y + (place.h - line * len(lines)) / 2
        for one in lines:
            brush.text(one, place.x, y, colour, theme.SMALL, width=place.w)
            y += line

    def _press(self, name: str, words: str, place: Rect, live: bool, main: bool = False) -> None:
        over = self.pointer is not None and place.holds(*self.pointer)
        button(self.brush, words, place, live, main=main, over=over, here=name == self.state.focus)
        self.buttons.append((name, place))
