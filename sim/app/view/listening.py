"""A window that listens: the house as it is sent, the panel beside it, the load of the past."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pygame

from layouts.catalogue import limits
from sim.app.state import actions as act
from sim.app.state.listening import Listened, heard_load
from sim.app.state.listening_keys import LISTENING_BINDINGS
from sim.app.state.listening_panel import PanelLine, panel
from sim.app.state.record import State
from sim.app.state.shown import Shown
from sim.app.state.told_aside import told
from sim.app.state.window_layout import Layout, Rect, layout
from sim.app.view import cards, theme
from sim.app.view.banners import draw_banners
from sim.app.view.brush import Brush
from sim.app.view.chips import banner_spots, draw_chips
from sim.app.view.drawer import CAUTION
from sim.app.view.screen import Screen
from sim.app.view.tools import Tool, draw_tools, tools
from sim.app.view.widgets import Widgets
from sim.report.text import clock

_COLOURS = {"": theme.WARM, "quiet": theme.QUIET, "warn": theme.AMBER, "bad": theme.OVER}
#: Buttons that a listening window has.
_TOOLS = ("Volts", "Runs", "Wires", "Zones", "Share", "Full screen", "Keys", "Settings")
WORST, ARRIVING = "Most amperes", "What arrives"


class ListeningScreen(Screen):
    """Draws what a window that listens shows."""

    def __init__(self) -> None:
        super().__init__()
        self.heard = Listened()

    def draw_heard(
        self, surface: pygame.Surface, state: State, shown: Shown | None, fps: float, seconds: float
    ) -> None:
        """Everything, from back to front."""
        self.contrast(state)
        parts, brush = layout(state), Brush(surface, state.scale, self._kit)
        row = self._row = _tools(brush, state, parts, self.heard.at_worst)
        if self.widgets is None or self.widgets.scale != state.scale or self._size != state.size_px:
            self.widgets = Widgets(state.size_px, state.scale, self._kit.high)
            self._size = state.size_px
        self.widgets.sync(parts, (), row, 0.0)
        if shown is None:
            cards.draw_loading(brush, parts, f"Reading {state.house_path} …")
        else:
            self._house(brush, state, parts, shown)
        self._past(brush, state, parts, shown)
        figures = (f"{fps:.0f} fps",) if fps >= 1 else ()
        exposure_ev = shown.stage.exposure_ev + state.exposure_offset_ev if shown else None
        draw_tools(brush, parts, row, figures, exposure_ev)
        self._panel_lines(brush, state, parts)
        self.widgets.manager.update(seconds)
        self.widgets.manager.draw_ui(surface)
        if state.message:
            cards.draw_message(brush, parts, state.message.text)
        elif self.heard.at_worst:
            when = clock(round(self.heard.worst_s))
            text = f"The instant with the most amperes, at {when}; Space: what arrives"
            cards.draw_message(brush, parts, text)
        crosses = draw_banners(brush, parts, told(state), False, pygame.mouse.get_pos())
        chips = draw_chips(brush, parts, state, pygame.mouse.get_pos())
        self.spots = () if state.help else (*banner_spots(crosses), *chips)
        if state.help:
            cards.draw_help(brush, state, LISTENING_BINDINGS)

    def _past(self, brush: Brush, state: State, parts: Layout, shown: Shown | None) -> None:
        """The ribbon, second by second since listening began."""
        load, now_a = None, 0.0
        if shown is not None:
            supplies = shown.left_house.supplies
            rated_a = np.array([supply.rated_a for supply in supplies])
            load = heard_load(self.heard, tuple(each.name for each in supplies), rated_a)
        if load is not None and state.facts is not None:
            span_s = len(load.total_a)
            facts = replace(state.facts, fps=1.0, span_s=float(span_s), frames=span_s)
            at_s = len(self.heard.past) - 1
            state = replace(state, facts=facts, time_s=float(at_s))
            second = self.heard.second
            now_a = second.load.now_a if second and second.load else 0.0
        self.ribbon.draw(brush, state, parts, {"left": load} if load else {}, now_a)

    def _panel_lines(self, brush: Brush, state: State, parts: Layout) -> None:
        drawer = parts.drawer
        if drawer.x >= state.size_px[0]:
            return
        surface = brush.surface
        before = surface.get_clip()
        surface.set_clip(pygame.Rect(drawer))
        brush.fill(drawer, theme.PANEL)
        brush.down(drawer.x, drawer.y, drawer.bottom)
        place = Rect(drawer.x + brush.px(20), 0, drawer.w - brush.px(40), 0)
        y = top = drawer.y - round(state.scroll * parts.scale) + brush.px(12)
        for line in panel(self.heard, state.facts.house if state.facts else ""):
            y += _drawn(brush, line, place._replace(y=y))
        y += brush.px(14)
        for text in brush.wrapped(CAUTION, place.w, theme.SMALL):
            brush.text(text, place.x, y, theme.FAINT, theme.SMALL)
            y += brush.px(17)
        self.content_px = y - top + brush.px(24)
        surface.set_clip(before)


def _tools(brush: Brush, state: State, parts: Layout, at_worst: bool) -> tuple[Tool, ...]:
    """The row: which instant is on show, what is laid over, the window's own."""
    px, row = parts.px, parts.tools
    words = ARRIVING if at_worst else WORST
    widest = max(brush.size(one)[0] for one in (WORST, ARRIVING)) + px(20)
    first = Rect(row.x + px(8), row.y + px(4), widest, row.h - px(8))
    rest = row.inset(first.right + px(6) - row.x, 0, 0, 0)  # the others have what is left
    made = tools(brush, state, replace(parts, tools=rest), _TOOLS)
    placed = [Tool(words, act.PlayPause(), first, on=at_worst)] if row.h else []
    x = first.right + px(14)
    for one in made:
        if one.right:
            named = {"Settings": "Panel", "Share": "Save"}.get(one.label, one.label)
            action = act.Screenshot() if named == "Save" else one.action
            placed.append(replace(one, label=named, action=action, on=one.on and named != "Save"))
            continue
        placed.append(replace(one, place=one.place._replace(x=x)))
        x += one.place.w + px(2)
    return tuple(placed)


def _drawn(brush: Brush, line: PanelLine, place: Rect) -> int:
    """Draw one line of the panel; how tall it is [px]."""
    px, colour = brush.px, _COLOURS[line.look]
    x, y, right = place.x, place.y, place.x + place.w
    if line.form == "title":
        brush.text(line.text, x, y, theme.WARM, theme.TITLE, bold=True, width=place.w)
        return px(28)
    if line.form == "head":
        brush.text(line.text, x, y + px(12), theme.WARM, theme.SMALL, bold=True)
        brush.across(x, right, y + px(32))
        return px(40)
    if line.form == "large":
        brush.text(line.text, x, y + px(10), theme.QUIET)
        brush.text(line.value, right, y, colour, theme.LARGE, bold=True, align="right")
        return px(34)
    if line.form == "words":
        lines = brush.wrapped(line.text, place.w, theme.SMALL)
        for index, text in enumerate(lines):
            brush.text(text, x, y + index * px(17), colour, theme.SMALL, width=place.w)
        return len(lines) * px(17) + px(5)
    room = place.w - brush.size(line.text)[0] - px(12)
    brush.text(line.value, right, y, colour, align="right", width=max(room, place.w // 2))
    brush.text(line.text, x, y, theme.QUIET, width=place.w // 2)
    if line.form == "pair":
        return px(22)
    bar = Rect(x, y + px(24), place.w, px(6))
    brush.fill(bar, theme.LINE, radius=3)
    brush.fill(bar._replace(w=round(bar.w * min(line.share, 1.0))), colour, radius=3)
    limit = bar.x + round(bar.w * limits().supply_load)
    brush.down(limit, bar.y - px(3), bar.bottom + px(3), theme.AMBER, 1)
    return px(38)
