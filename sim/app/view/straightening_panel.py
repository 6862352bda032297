"""The panel beside the photograph: tools, what is marked, how well it fits, keys."""

from __future__ import annotations

import pygame

from layouts.catalogue import limits
from sim.app.state import straightening as st
from sim.app.state.straightening import TOOLS, Straightening, example
from sim.app.state.straightening_fit import Fit, check, names
from sim.app.state.straightening_keys import LISTED
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush

PAD, ROW = 20, 28
#: A panel that is lower [px at 100 %] has its tools in pairs and only the most needed words.
SHORT = 520
Buttons = tuple[tuple[str, Rect], ...]


def draw_panel(
    brush: Brush, state: Straightening, fit: Fit, pointer: tuple[int, int] | None
) -> Buttons:
    """The panel; returns what can be pressed: ids and places."""
    place = st.picture(state)
    panel = Rect(place.right, 0, state.size_px[0] - place.right, state.size_px[1])
    brush.fill(panel, theme.PANEL)
    brush.down(panel.x, panel.y, panel.bottom)
    brush.surface.set_clip(pygame.Rect(panel))
    column = _PanelColumn(brush, panel, pointer)
    short = panel.h < brush.px(SHORT)
    column.title("Straighten the photograph", "" if short else state.name)
    for index, (kind, (name, key, told)) in enumerate(TOOLS.items()):
        on = kind == state.tool
        column.button(f"tool {kind}", name, "" if short else key.upper(), on,
                      half=index % 2 + 1 if short else 0)  # fmt: skip
        if on and not short:
            column.words(told, theme.QUIET)
    _marked(column, state, fit, short)
    column.viewer(state)
    if not short:
        column.section("Fit")
        _fit(column, state, fit)
    if state.told:
        column.words(state.told, theme.OVER if state.leaving else theme.AMBER)
    column.foot(state, fit)
    brush.surface.set_clip(None)
    return tuple(column.buttons)


def _marked(column: _PanelColumn, state: Straightening, fit: Fit, short: bool) -> None:
    """What is marked; where there is no room for all, the one with the keys among it."""
    brush, named = column.brush, names(state.shapes)
    chosen = state.chosen.shape if state.chosen is not None else 0
    if short:  # the marks on the photograph can be pressed, so one line is enough
        left = len(named) - 1
        if named:
            here = state.chosen is not None
            column.known(state, fit, chosen, named[chosen][0], here, short=True)
        if left > 0:
            column.words(f"and {left} more; Tab goes on", theme.QUIET)
        return
    column.section("Marked")
    if not named:
        column.words("Nothing yet.", theme.FAINT)
    below = brush.px(98 + 120)  # the buttons at the foot; camera and fit
    room = max(int((column.panel.bottom - below - column.y) // brush.px(ROW + 2)), 1)
    first = max(min(chosen - room + 1, len(named) - room), 0)
    for index in range(first, min(first + room, len(named))):
        here = state.chosen is not None and state.chosen.shape == index
        column.known(state, fit, index, named[index][0], here)
    if len(named) > room:
        column.words(f"and {len(named) - room} more; Tab goes on", theme.QUIET)


def _fit(column: _PanelColumn, state: Straightening, fit: Fit) -> None:
    for words in fit.missing:
        column.words(words, theme.AMBER)
    if fit.overall_m is not None:
        handle, worst = max(fit.errors_m, key=lambda one: one[1])
        column.words(f"Off by {100 * fit.overall_m:.1f} cm overall, {100 * worst:.1f} cm at most.",
                     theme.WARM)  # fmt: skip
        if worst > limits().photo_fit_m:
            name = names(state.shapes)[handle.shape][0]
            column.words(f"{name} is off more than it should be: see its mark and what is typed.",
                         theme.OVER)  # fmt: skip
    if fit.worth_m is not None:
        low, high = (100 * one for one in fit.worth_m)
        column.words(f"One pixel is {low:.2g} to {high:.2g} cm at the marks.", theme.QUIET)
    if fit.lens is not None:
        column.words(f"Lens k1 {fit.lens.lens[0]:+.3f}: edges straight within "
                     f"{fit.lens.after_px:.1f} px, {fit.lens.before_px:.1f} px before.",
                     theme.QUIET)  # fmt: skip
    for words in fit.notes:
        column.words(words, theme.FAINT)


class _PanelColumn:
    """What stands in the panel, from top to bottom."""

    def __init__(self, brush: Brush, panel: Rect, pointer: tuple[int, int] | None):
        self.brush, self.panel, self.pointer = brush, panel, pointer
        self.x, self.y = panel.x + brush.px(PAD), panel.y + brush.px(14)
        self.w = panel.w - 2 * brush.px(PAD)
        self.buttons: list[tuple[str, Rect]] = []

    def title(self, words: str, name: str) -> None:
        brush = self.brush
        brush.text(words, self.x, self.y, theme.WARM, theme.TITLE, bold=True, width=self.w)
        self.y += brush.px(26)
        if name:
            brush.text(name, self.x, self.y - brush.px(2), theme.FAINT, theme.SMALL, width=self.w)
            self.y += brush.px(24)

    def section(self, words: str) -> None:
        brush = self.brush
        self.y += brush.px(8)
        brush.text(words, self.x, self.y, theme.WARM, theme.SMALL, bold=True)
        self.y += brush.px(20)
        brush.across(self.x, self.x + self.w, self.y)
        self.y += brush.px(6)

    def words(self, words: str, colour: theme.Colour) -> None:
        brush = self.brush
        for line in brush.wrapped(words, self.w, theme.SMALL):
            brush.text(line, self.x, self.y, colour, theme.SMALL)
            self.y += brush.px(17)
        self.y += brush.px(3)

    def button(self, name: str, words: str, key: str, on: bool, half: int = 0) -> None:
        """A tool; `half` is 1 or 2 where it has the left or right half of a line."""
        brush = self.brush
        place = Rect(self.x - brush.px(8), self.y, self.w + brush.px(16), brush.px(ROW))
        if half:
            wide = place.w // 2
            place = place._replace(x=place.x + (half - 1) * wide, w=wide)
        if self._over(place) or on:
            brush.fill(place, theme.RAISED, radius=6)
        if on:
            brush.fill(Rect(place.x, place.y + brush.px(6), brush.px(3), place.h - brush.px(12)),
                       theme.AMBER, radius=1)  # fmt: skip
        y = place.y + (place.h - brush.size(words)[1]) // 2
        brush.text(words, place.x + brush.px(8), y, theme.WARM if on else theme.QUIET,
                   width=place.w - brush.px(16))  # fmt: skip
        brush.text(key, self.x + self.w, y, theme.FAINT, align="right")
        self.buttons.append((name, place))
        if half != 1:
            self.y = place.bottom + brush.px(2)

    def known(
        self, state: Straightening, fit: Fit, index: int, name: str, here: bool, short: bool = False
    ) -> None:
        """One shape: its letter, what is typed of it, how far it is off; the chosen has a field."""
        brush, shape = self.brush, state.shapes[index]
        place = Rect(self.x - brush.px(8), self.y, self.w + brush.px(16), brush.px(ROW))
        if here or self._over(place):
            brush.fill(place, theme.RAISED, radius=6)
        y = place.y + (place.h - brush.size(name)[1]) // 2
        brush.text(name, self.x, y, theme.AMBER if here else theme.WARM, bold=True)
        text_x = self.x + brush.px(26)
        off = [error for handle, error in fit.errors_m if handle.shape == index]
        right = f"{100 * max(off):.1f} cm" if off else ""
        room = self.w - brush.px(26) - (brush.size(right)[0] + brush.px(8) if right else 0)
        self.buttons.append((f"shape {index}", place))
        self.y = place.bottom + brush.px(2)
        if here and state.typed is not None:
            field = Rect(text_x - brush.px(4), place.y + brush.px(3), room, place.h - brush.px(6))
            self._field(field, state.typed, text_x, y)
            if not short:
                self.words(example(shape.kind, state.units), theme.FAINT)
        else:
            missing = shape.kind in ("point", "rectangle") and bool(
                check(shape, shape.text, state.units)
            )
            untold = "no length" if shape.kind == "length" else "not known yet"
            if shape.kind == "eave":
                untold = f"straight edge, {len(shape.pixel)} points"
            words = shape.text or untold
            colour = theme.OVER if missing else theme.WARM if shape.text else theme.QUIET
            brush.text(words, text_x, y, colour, width=room)
        if right:
            brush.text(right, self.x + self.w, y, theme.QUIET, align="right")

    def viewer(self, state: Straightening) -> None:
        """How far away the camera stood: for parts that stand before or behind the wall."""
        brush = self.brush
        self.y += brush.px(6)
        place = Rect(self.x - brush.px(8), self.y, self.w + brush.px(16), brush.px(ROW))
        typing = state.viewer_typed is not None
        if typing or self._over(place):
            brush.fill(place, theme.RAISED, radius=6)
        y = place.y + (place.h - brush.size("Camera")[1]) // 2
        brush.text("Camera to wall", self.x, y, theme.QUIET)
        brush.text("V", self.x + self.w, y, theme.FAINT, align="right")
        left = self.x + brush.size("Camera to wall")[0] + brush.px(14)
        room = self.x + self.w - brush.px(18) - left
        self.buttons.append(("viewer", place))
        self.y = place.bottom + brush.px(2)
        if not typing:
            words = state.viewer or "by perspective"
            brush.text(words, left, y, theme.WARM if state.viewer else theme.FAINT, width=room)
            return
        field = Rect(left - brush.px(4), place.y + brush.px(3), room, place.h - brush.px(6))
        self._field(field, state.viewer_typed or "", left, y)
        feet = state.units in ("ft", "in")
        self.words(f"Such as {'40 ft' if feet else '12 m'}; Enter. Empty: as the perspective "
                   "says.", theme.FAINT)  # fmt: skip

    def _field(self, field: Rect, text: str, x: int, y: int) -> None:
        """A field with the keys: the end of its text, and where the next character comes."""
        brush = self.brush
        brush.fill(field, theme.NIGHT, radius=4)
        brush.frame(field, theme.AMBER, radius=4)
        while text and brush.size(text)[0] > field.w - brush.px(14):
            text = text[1:]
        box = brush.text(text, x, y, theme.WARM)
        brush.down(box.right + 1, field.y + brush.px(4), field.bottom - brush.px(4),
                   theme.AMBER, 1.5)  # fmt: skip

    def foot(self, state: Straightening, fit: Fit) -> None:
        """Keys and the buttons at the foot, which always stand there."""
        brush, panel = self.brush, self.panel
        line, button = brush.px(18), brush.px(34)
        top = panel.bottom - brush.px(14) - 2 * button - brush.px(8) - line * len(LISTED) - line
        if top > self.y:
            brush.across(self.x, self.x + self.w, top)
            y = top + brush.px(8)
            for keys, told in LISTED:
                brush.text(keys, self.x, y, theme.QUIET, theme.SMALL)
                brush.text(told, self.x + brush.px(76), y, theme.FAINT, theme.SMALL,
                           width=self.w - brush.px(76))  # fmt: skip
                y += line
        y = panel.bottom - brush.px(14) - 2 * button - brush.px(8)
        gap = brush.px(8)
        third = (self.w - 2 * gap) // 3
        brush.fill(Rect(panel.x + 1, y - gap, panel.w, panel.bottom - y + gap), theme.PANEL)
        for index, (name, words, live) in enumerate((
            ("undo", "Undo", bool(state.past or state.begun)),
            ("redo", "Redo", bool(state.future)),
            ("grid", "Hide grid" if state.grid else "Show grid", True),
        )):  # fmt: skip
            self._press(name, words, Rect(self.x + index * (third + gap), y, third, button), live)
        y += button + gap
        ready = fit.plane is not None
        half = (self.w - gap) // 3
        self._press("leave", "Leave", Rect(self.x, y, half, button), True)
        place = Rect(self.x + half + gap, y, self.w - half - gap, button)
        self._press("accept", "Accept and draw  (Enter)", place, ready, ready)

    def _press(self, name: str, words: str, place: Rect, live: bool, main: bool = False) -> None:
        brush = self.brush
        ground = theme.AMBER if main else theme.RAISED
        brush.fill(place, ground, radius=6)
        if self._over(place) and live:
            brush.frame(place, theme.WARM, radius=6)
        colour = theme.NIGHT if main else theme.WARM if live else theme.FAINT
        y = place.y + (place.h - brush.size(words)[1]) / 2
        brush.text(words, place.x + place.w / 2, y, colour, align="centre", bold=main)
        self.buttons.append((name, place))

    def _over(self, place: Rect) -> bool:
        return self.pointer is not None and place.holds(*self.pointer)
