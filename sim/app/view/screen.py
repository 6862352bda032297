"""The whole window drawn on one surface, from the state and what was computed for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pygame

from layouts import House
from sim.app.state.actions import Scroll
from sim.app.state.controls import Control, controls
from sim.app.state.drawer import DrawerRow, content_height, rows, scroll_to
from sim.app.state.drawing_layout import PanelPart, panel_height
from sim.app.state.inspect import report
from sim.app.state.pointer import on_screen
from sim.app.state.record import State
from sim.app.state.ribbon import Load
from sim.app.state.scales import time_text
from sim.app.state.shown import Shown
from sim.app.state.window_layout import Layout, Rect, layout
from sim.app.view import cards, overlays, theme, wires
from sim.app.view.banners import draw_banners
from sim.app.view.brush import Brush, Kit
from sim.app.view.cut_out import CutOuts
from sim.app.view.drawer import caution_height, draw_drawer, draw_help_line
from sim.app.view.drawing_panel import Panel, arranged
from sim.app.view.drawing_screen import DrawingScreen
from sim.app.view.lying_wires import LyingWires
from sim.app.view.ribbon import Ribbon
from sim.app.view.tools import Tool, draw_hint, draw_tools, tools
from sim.app.view.widgets import Widgets
from sim.light import to_px
from sim.report.text import percent


class Screen:
    """Keeps what is costly to make between two draws; what it shows comes from the state."""

    def __init__(self) -> None:
        self.ribbon = Ribbon()
        self._kit, self._lying, self._still = Kit(), LyingWires(), CutOuts()
        self._drawing, self._panel = DrawingScreen(), Panel()
        self.panel: tuple[PanelPart, ...] = ()
        self.widgets: Widgets | None = None
        self.rows: tuple[DrawerRow, ...] = ()
        self.content_px = 0
        self._rows_key: object = None
        self._revealed: str | None = None
        self._size: tuple[int, int] = (0, 0)

    def draw(
        self, surface: pygame.Surface, state: State, shown: Shown | None, loads: Mapping[str, Load],
        fps: float, seconds: float,
    ) -> None:  # fmt: skip
        """Everything, from back to front. `loads` by side."""
        load = loads.get("left")
        parts = layout(state)
        brush = Brush(surface, state.scale, self._kit)
        row = tools(brush, state, parts)
        self._arrange(brush, state, parts, row, load)
        if shown is None:
            cards.draw_loading(brush, parts, f"Reading {state.house_path} …")
        elif state.board is not None:
            self._drawing.draw(brush, state, parts, shown)
        else:
            self._house(brush, state, parts, shown)
        now_a = _now_a(shown)
        self.ribbon.draw(brush, state, parts, loads, now_a)
        figures = _figures(state, shown, fps)
        exposure_ev = shown.stage.exposure_ev + state.exposure_offset_ev if shown else None
        draw_tools(brush, parts, row, figures, exposure_ev)
        each_a = shown.left.supply_a if shown and shown.left else np.zeros(0)
        self.panel = arranged(brush, state, parts) if state.board is not None else ()
        if state.board is not None:
            self._panel.draw(brush, state, parts, self.panel, pygame.mouse.get_pos())
        else:
            draw_drawer(brush, state, parts, self.rows, load, each_a, self.content_px)
        assert self.widgets is not None
        self.widgets.manager.update(seconds)
        self.widgets.manager.draw_ui(surface)
        help_text = self._help(state, parts)
        if help_text and not self.widgets.held:
            draw_help_line(brush, parts, help_text)
        if state.message:
            cards.draw_message(brush, parts, state.message.text, high=state.board is not None)
        elif state.asking is not None:
            share = percent(state.planned_share)
            cards.draw_message(brush, parts, f"Proposing feeds … {share} (Shift P stops)")
        draw_banners(brush, parts, state, state.changed, pygame.mouse.get_pos())
        draw_hint(brush, parts, row, pygame.mouse.get_pos())
        if state.help:
            cards.draw_help(brush, state)

    def _help(self, state: State, parts: Layout) -> str:
        """What the control under the pointer does, or the one that has the keys."""
        x, y = pygame.mouse.get_pos()
        over = state.drawer and parts.drawer.holds(x, y)
        for row in self.rows:
            if row.control is None or not row.control.help:
                continue
            named = row.control.id == state.focus and not over
            if named or (over and on_screen(row.place, parts, state).holds(x, y)):
                return row.control.help
        return ""

    def reveal(self, state: State) -> Scroll | None:
        """The scroll that brings the control that got the keys into sight."""
        if state.board is not None:
            return self._reveal_field(state, state.board.field)
        if state.focus == self._revealed or not self.rows:
            return None
        self._revealed = state.focus
        for row in self.rows:
            if row.control is not None and row.control.id == state.focus:
                parts = layout(state)
                margin = parts.px(40)  # the section's name stays in sight too
                wide = row.place._replace(y=row.place.y - margin, h=row.place.h + 2 * margin)
                view_px = parts.drawer.h
                to_px = scroll_to(replace(row, place=wide), state.scroll * parts.scale, view_px)
                limit = max(self.content_px - view_px, 0) / parts.scale
                return Scroll(to_px / parts.scale - state.scroll, limit)
        return None

    def _reveal_field(self, state: State, key: str | None) -> Scroll | None:
        """The scroll that brings the row of the drawing panel that has the keys into sight."""
        part = next((one for one in self.panel if one.form == "field" and one.on), None)
        listed = f"{key} listed" if state.board is not None and state.board.listed else key
        if listed == self._revealed or part is None:
            return None
        self._revealed = listed
        parts = layout(state)
        to_px = part.place.y - parts.px(44)
        limit = max(panel_height(self.panel, parts) - parts.drawer.h, 0)
        view = state.scroll * parts.scale
        options = [one.place.bottom for one in self.panel if one.form == "option"]
        foot = min(max([part.place.bottom, *options]), part.place.y + parts.drawer.h // 2)
        if view <= part.place.y - parts.px(8) and foot <= view + parts.drawer.h:
            return None
        return Scroll(to_px / parts.scale - state.scroll, limit / parts.scale)

    def _arrange(
        self, brush: Brush, state: State, parts: Layout, row: tuple[Tool, ...], load: Load | None
    ) -> None:
        """Rows of the drawer and widgets for them."""
        shut = state.drawer_open == 0 or state.board is not None
        made: tuple[Control, ...] = () if shut else controls(state)
        supplies = len(load.names) if load else 0
        key = (made, parts.drawer.w, state.scale, supplies)
        if key != self._rows_key:
            title = state.facts.house if state.facts else ""
            caution = caution_height(brush, parts)
            self.rows = rows(parts, made, title, supplies, caution) if made else ()
            self.content_px = content_height(self.rows, parts)
            self._rows_key = key
        if self.widgets is None or self.widgets.scale != state.scale or self._size != state.size_px:
            self.widgets = Widgets(state.size_px, state.scale)
            self._size = state.size_px
        self.widgets.sync(parts, self.rows, row, state.scroll * state.scale)

    def _house(self, brush: Brush, state: State, parts: Layout, shown: Shown) -> None:
        picture = parts.picture
        brush.surface.set_clip(pygame.Rect(picture))
        image = _surface(shown.left_image)
        fits = image.get_size() == (picture.w, picture.h)
        if not fits:
            image = _fitted(image, picture)
        brush.surface.blit(image, (picture.x, picture.y))
        split = round(picture.w * state.divider)
        if shown.right_image is not None:
            other = _surface(shown.right_image)
            other = other if fits else _fitted(other, picture)
            area = pygame.Rect(split, 0, picture.w - split, picture.h)
            brush.surface.blit(other, (picture.x + split, picture.y), area)
        if fits and (state.overlays or state.selection is not None):
            self._over(brush, state, parts, shown, split)
        if shown.right_image is not None:
            _divider(brush, state, parts, shown, split)
        brush.surface.set_clip(None)

    def _over(self, brush: Brush, state: State, parts: Layout, shown: Shown, split: int) -> None:
        """Overlays and inspector: only where picture and places belong together."""
        if state.overlays - {"runs"}:
            brush.fill(parts.picture, theme.NIGHT, alpha=96)  # what is laid over comes first
        house = shown.stage.left.rig.house
        at_px = places(shown)
        left, right = shown.left, shown.right
        key, size = (shown.stage.left.scene, brush.scale, parts.picture), parts.picture[2:]
        if left is not None:
            beyond = at_px[:, 0] >= split
            volts = left.volts if right is None else np.where(beyond, right.volts, left.volts)
            if "zones" in state.overlays and state.facts:
                lit = frozenset(zone for layer in state.facts.layers for zone in layer.zones)
                self._still.lay(brush.surface, "zones", (key, house, lit), size, lambda on: (
                    overlays.draw_zones(brush.on(on), parts, house, at_px, lit)))  # fmt: skip
            if "wires" in state.overlays:
                ways, now_a = shown.stage.left.ways, (left.wire_a, left.supply_a)
                if ways is not None:
                    self._lying.draw(brush, parts, shown, ways, *now_a)
                else:
                    wires.draw_wires(brush, parts, house, at_px, *now_a)
            if "volts" in state.overlays:
                overlays.draw_volts(brush, parts, house, at_px, volts)
        if "runs" in state.overlays:
            self._still.lay(brush.surface, "runs", (key, house), size, lambda on: (
                overlays.draw_runs(brush.on(on), parts, house, at_px)))  # fmt: skip
        if state.selection is not None and left is not None and state.selection < len(at_px):
            x, y = at_px[state.selection]
            far = right is not None and x >= split
            side = shown.stage.right if far and shown.stage.right else shown.stage.left
            frame = right if far and right else left
            raw = side.rig.mixer.colour == "raw"
            told = report(side.rig.house, frame, state.selection, raw)
            cards.draw_inspector(brush, parts, told, (float(x), float(y)), at_px)


def places(shown: Shown) -> np.ndarray:
    """(N, 2) [px of the picture] of every pixel."""
    return np.asarray(to_px(shown.stage.left.scene, shown.stage.house.pixels.xy_m))


def _surface(image: np.ndarray) -> pygame.Surface:
    """A picture (H, W, 3) as a surface over the same bytes."""
    height, width = image.shape[:2]
    return pygame.image.frombuffer(np.ascontiguousarray(image).data, (width, height), "RGB")


def _fitted(image: pygame.Surface, picture: Rect) -> pygame.Surface:
    """A picture of another size, filling the place until one of the right size is there."""
    width, height = image.get_size()
    factor = max(picture.w / width, picture.h / height)
    scaled = pygame.transform.smoothscale(image, (round(width * factor), round(height * factor)))
    x = (scaled.get_width() - picture.w) // 2
    y = scaled.get_height() - picture.h
    return scaled.subsurface(pygame.Rect(x, y, picture.w, picture.h))


def _divider(brush: Brush, state: State, parts: Layout, shown: Shown, split: int) -> None:
    px, picture = brush.px, parts.picture
    x, middle = picture.x + split, picture.y + picture.h // 2
    brush.down(x, picture.y, picture.bottom, theme.WARM, 1)
    pygame.draw.aacircle(brush.surface, theme.NIGHT, (x, middle), px(15))
    pygame.draw.aacircle(brush.surface, theme.WARM, (x, middle), px(15), px(1))
    for side in (-1, 1):
        tip = x + side * px(9)
        points = [
            (tip, middle),
            (tip - side * px(4), middle - px(4)),
            (tip - side * px(4), middle + px(4)),
        ]
        pygame.draw.polygon(brush.surface, theme.WARM, points)
    for here, side in ((shown.stage.left, -1), (shown.stage.right, 1)):
        if here is None:
            continue
        name = _kinds(here.rig.house)
        w, h = brush.size(name, bold=True)
        box_w = w + px(24)
        left = x - px(12) - box_w if side < 0 else x + px(12)
        place = Rect(left, picture.y + px(16), box_w, h + px(10))
        brush.card(place)
        brush.text(name, place.x + px(12), place.y + px(5), theme.WARM, bold=True)


def _kinds(house: House) -> str:
    return ", ".join(dict.fromkeys(run.kind.name for run in house.runs))


def _now_a(shown: Shown | None) -> float:
    if shown is None or shown.left is None:
        return 0.0
    frame = shown.left
    return float(frame.supply_a.sum() if len(frame.supply_a) else frame.amps.sum())


def _figures(state: State, shown: Shown | None, fps: float) -> tuple[str, ...]:
    """The figures of the view, least important first."""
    if shown is None or state.facts is None:
        return ()
    exposure_ev = shown.stage.exposure_ev + state.exposure_offset_ev
    found = [f"{fps:.0f} fps"] if fps >= 1 else []  # not known in the first moments
    found.append(f"exposure {exposure_ev:.1f} EV")
    span_s = state.facts.span_s
    if state.facts.frames > 1:
        found.append(f"{time_text(state.frame_s, span_s, 2)} of {time_text(span_s, span_s)}")
    if state.calm:
        found.append("flashing reduced")
    return tuple(found)
