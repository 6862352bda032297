"""The whole window drawn on one surface, from the state and what was computed for it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pygame

from sim.app.state.actions import Scroll
from sim.app.state.awaited import awaited
from sim.app.state.controls import Control
from sim.app.state.drawer import DrawerRow, content_height, foot_h, rows, scroll_to
from sim.app.state.drawing_layout import PanelPart, panel_height
from sim.app.state.folding import listed
from sim.app.state.mending import sheet_of
from sim.app.state.mending_record import ScrollSheet
from sim.app.state.names import Seen
from sim.app.state.pointer import on_screen
from sim.app.state.record import State
from sim.app.state.ribbon import Load
from sim.app.state.same import same
from sim.app.state.settings import unwritten_words
from sim.app.state.shown import Shown
from sim.app.state.told_aside import told
from sim.app.state.window_layout import Layout, Rect, layout
from sim.app.view import cards, overlays, theme
from sim.app.view.banners import draw_banners
from sim.app.view.brush import Brush, Kit
from sim.app.view.chips import Spot, banner_spots, draw_chips
from sim.app.view.choosing import ChoosingScreen, LivingPicture
from sim.app.view.cut_out import CutOuts
from sim.app.view.divider import draw_divider
from sim.app.view.drawer import caution_height, draw_drawer, draw_help_card
from sim.app.view.drawing_panel import Panel, arranged
from sim.app.view.drawing_screen import DrawingScreen
from sim.app.view.figures import figures, now_a
from sim.app.view.held_figures import HeldFigures
from sim.app.view.laid import lay_veiled
from sim.app.view.lying_wires import LyingWires
from sim.app.view.mending_marks import draw_marks
from sim.app.view.mending_sheet import MendingSheet
from sim.app.view.picture_surface import surface_of
from sim.app.view.ribbon import Ribbon
from sim.app.view.settle import Rest, Settle, draw_coarse, fitted
from sim.app.view.tools import Tool, draw_hint, draw_tools, tools
from sim.app.view.touch import TouchScreen
from sim.app.view.widgets import Widgets
from sim.report.text import percent

#: How dense the veil is that overlays lie on.
VEIL = 96


class Screen:
    """Keeps what is costly to make between two draws; what it shows comes from the state."""

    def __init__(self) -> None:
        self.ribbon = Ribbon()
        self._kit, self._lying, self._still = Kit(), LyingWires(), CutOuts()
        self._drawing, self._panel, self._choosing = DrawingScreen(), Panel(), ChoosingScreen()
        self.touch, self.sheet = TouchScreen(), MendingSheet()
        self._settle, self._rest = Settle(), Rest()
        self._tags_beside: Rect | None = None  # the card that tags of wires were drawn off
        self.spots: tuple[Spot, ...] = ()  # what can be clicked over the picture
        self.help_limit = 0.0  # how far the list of keys can be scrolled [px at 100 %]
        self.making = False  # whether what is asked for is on its way
        self.panel: tuple[PanelPart, ...] = ()
        self.buttons: tuple[Rect, ...] = ()  # of the row at the foot, that do something
        self.widgets: Widgets | None = None
        self.rows: tuple[DrawerRow, ...] = ()
        self.content_px = 0
        self._rows_key: object = None
        self._listed: tuple[tuple[object, ...], tuple[Control, ...]] = ((), ())
        self._told = HeldFigures()
        self._kept_drawer: tuple[object, tuple[object, ...], pygame.Surface] | None = None
        self.lively = True  # whether a person did something a moment ago
        self._at: tuple[int, int] | None = None  # where the pointer was when widgets looked
        self._row: tuple[Tool, ...] = ()
        self._revealed: str | None = None
        self._size: tuple[int, int] = (0, 0)

    def draw(
        self, surface: pygame.Surface, state: State, shown: Shown | None, loads: Mapping[str, Load],
        fps: float, seconds: float, films: Mapping[str, LivingPicture], films_s: float,
    ) -> None:  # fmt: skip
        """Everything, from back to front. `loads` by side; `films` at their time `films_s`."""
        load = loads.get("left")
        parts = layout(state)
        self._tags_beside = self.touch.card_place
        self.contrast(state)
        brush = Brush(surface, state.scale, self._kit)
        told_of = self._told.of(shown, state.playing and state.drag is None, seconds, state.frame)
        amps_now = now_a(told_of)
        row = tools(brush, state, parts)
        self._row = row
        self.buttons = tuple(tool.place for tool in row if not tool.off)
        self._arrange(brush, state, parts, row, load)
        if shown is None:
            cards.draw_loading(brush, parts, f"Reading {state.house_path} …")
        elif state.board is not None:
            self._drawing.draw(brush, state, parts, shown)
        else:
            self._house(brush, state, parts, shown, told_of, seconds)
            words = awaited(state, shown.stage) if self.making else ""
            self._settle.veil(brush, parts, words, 1.0 if state.calm else seconds)
        self.ribbon.draw(brush, state, parts, loads, amps_now, self._told.frame)
        told_figures = figures(state, shown, fps)
        exposure_ev = shown.stage.exposure_ev + state.exposure_offset_ev if shown else None
        draw_tools(brush, parts, row, told_figures, exposure_ev)
        self.panel = arranged(brush, state, parts) if state.board is not None else ()
        if state.board is not None:
            self._panel.draw(brush, state, parts, self.panel, pygame.mouse.get_pos())
        elif state.choosing is not None:
            self._choosing.draw(brush, state, parts, films, films_s)
        elif sheet_of(state) is not None:
            self.sheet.draw(brush, state, parts, shown)
        else:
            self._draw_drawer(brush, state, parts, load, told_of)
        if state.choosing is None:
            self._choosing.forget()
        assert self.widgets is not None
        at = pygame.mouse.get_pos()
        if self.lively or at != self._at or self.widgets.fresh or self.widgets.held:
            self._at, self.widgets.fresh = at, False
            self.widgets.manager.update(seconds)
        self.widgets.manager.draw_ui(surface)
        helped = self._rest.row(self._helped(state, parts), seconds)
        if helped is not None and not self.widgets.held and state.drag is None:
            beside = _row_on_screen(helped, parts, state)
            draw_help_card(brush, parts, helped.control.help if helped.control else "", beside)
        message: Rect | None = None
        if state.message:
            high = state.board is not None
            message = cards.draw_message(brush, parts, state.message.text, high=high)
        elif state.asking is not None:
            share = percent(state.planned_share)
            cards.draw_message(brush, parts, f"Proposing feeds … {share} (Shift P stops)")
        self.ribbon.draw_over(brush, state, parts, loads)
        at = pygame.mouse.get_pos()
        chips = draw_chips(brush, parts, state, at, message)
        crosses = draw_banners(brush, parts, told(state), state.changed, at)
        pressed = self.sheet.spots if sheet_of(state) is not None else ()
        self.spots = () if state.help else (*banner_spots(crosses), *chips, *pressed)
        draw_hint(brush, parts, row, pygame.mouse.get_pos())
        if state.help:
            self.help_limit = cards.draw_help(brush, state, scrolls=True)

    @property
    def seen(self) -> Seen:
        """What can be pressed of the last drawing; `sim.app.state.names` tells of it."""
        return Seen(self.rows, self._row, self.spots, self.panel, self.touch.touchable)

    def contrast(self, state: State) -> None:
        """What is kept of drawing is made anew where its colours are other ones now."""
        if self._kit.high != state.access.contrast:
            self._kit, self.widgets, self._still = Kit(state.access.contrast), None, CutOuts()
            self.ribbon, self._lying = Ribbon(), LyingWires()

    @property
    def moving(self) -> bool:
        """Whether something still moves that no event tells of."""
        late = self._tags_beside != self.touch.card_place  # the card stands elsewhere since
        return self._settle.moving or self._rest.waits or late

    def shut_list(self) -> bool:
        """Close an open list of the drawer; whether there was one."""
        return self.widgets is not None and self.widgets.shut_lists()

    def _helped(self, state: State, parts: Layout) -> DrawerRow | None:
        """The row under the pointer, or that which has the keys, if it has anything to say."""
        if not state.drawer or state.board is not None or state.help:
            return None
        x, y = pygame.mouse.get_pos()
        if parts.drawer.holds(x, y):  # of those that lie over one another the last is seen
            under = (row for row in reversed(self.rows)
                     if _row_on_screen(row, parts, state).holds(x, y))  # fmt: skip
        else:
            under = (row for row in self.rows if row.control and row.control.id == state.focus)
        row = next(under, None)
        return row if row is not None and row.control is not None and row.control.help else None

    def reveal(self, state: State) -> Scroll | ScrollSheet | None:
        """The scroll that brings the control that got the keys into sight."""
        if sheet_of(state) is not None:
            return self.sheet.reveal(state)
        if state.board is not None:
            return self._reveal_field(state, state.board.field)
        if state.focus == self._revealed or not self.rows:
            return None
        self._revealed = state.focus
        for row in self.rows:
            if row.control is not None and row.control.id == state.focus and not row.pinned:
                parts = layout(state)
                margin = parts.px(40)  # the section's name stays in sight too
                view_px = parts.drawer.h - foot_h(self.rows)
                to_px = scroll_to(row.place.y - margin, row.place.bottom + margin,
                                  state.scroll * parts.scale, view_px)  # fmt: skip
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
        paged = state.board is not None or state.choosing is not None or sheet_of(state) is not None
        shut = state.drawer_open == 0 or paged
        made = () if shut else self._controls(state)
        supplies = len(load.names) if load else 0
        key = (made, parts.drawer, state.scale, supplies)
        if key != self._rows_key:
            title = state.facts.house if state.facts else ""
            caution = caution_height(brush, parts)
            words = unwritten_words(state)
            self.rows = rows(parts, made, title, supplies, caution, words) if made else ()
            self.content_px = content_height(self.rows, parts)
            self._rows_key = key
        if self.widgets is None or self.widgets.scale != state.scale or self._size != state.size_px:
            self.widgets = Widgets(state.size_px, state.scale, self._kit.high)
            self._size = state.size_px
        self.widgets.sync(parts, self.rows, row, state.scroll * state.scale)

    def _draw_drawer(
        self, brush: Brush, state: State, parts: Layout, load: Load | None, told_of: Shown | None
    ) -> None:
        """What lies under the drawer's widgets; kept until anything of it is another."""
        place = pygame.Rect(parts.drawer).clip(brush.surface.get_rect())
        if not place.w or not place.h:
            return
        at = pygame.mouse.get_pos()
        over = at if parts.drawer.holds(*at) else None
        now = (*_but_time(state), self.rows, load, told_of)
        key = (tuple(place), self.content_px, over)
        before = self._kept_drawer
        if before and before[0] == key and same(now, before[1]):
            brush.surface.blit(before[2], place)
            return
        each_a = told_of.left.supply_a if told_of and told_of.left else np.zeros(0)
        draw_drawer(brush, state, parts, self.rows, load, each_a, self.content_px)
        self._kept_drawer = (key, now, brush.surface.subsurface(place).copy())

    def _controls(self, state: State) -> tuple[Control, ...]:
        """What the drawer lists; time changes nothing of it."""
        seen = _but_time(state)
        if not same(seen, self._listed[0]):
            self._listed = (seen, listed(state))
        return self._listed[1]

    def _house(
        self, brush: Brush, state: State, parts: Layout, shown: Shown,
        told_of: Shown | None = None, seconds: float = 0.0,
    ) -> None:  # fmt: skip
        picture = parts.picture
        brush.surface.set_clip(pygame.Rect(picture))
        image = surface_of(shown.left_image)
        fits = image.get_size() == (picture.w, picture.h)
        made = image
        if not fits:
            image = self._settle.fitted(shown.left_image, picture)
        veiled = fits and bool(state.overlays - {"runs"})  # what is laid over comes first
        if veiled and shown.right_image is None:
            lay_veiled(brush.surface, image, picture[:2], brush.ink(theme.NIGHT), VEIL)
        else:
            brush.surface.blit(image, (picture.x, picture.y))
        split = round(picture.w * state.divider)
        if shown.right_image is not None:
            other = surface_of(shown.right_image)
            other = other if fits else fitted(other, picture)
            area = pygame.Rect(split, 0, picture.w - split, picture.h)
            brush.surface.blit(other, (picture.x + split, picture.y), area)
            if veiled:
                brush.fill(picture, theme.NIGHT, alpha=VEIL)
        if fits:
            self.touch.draw_light(brush, state, shown)
        bare = shown.right_image is None and not state.overlays and state.selection is None
        self._settle.fade(brush, parts, made, seconds, bare and not state.calm)
        if fits and (state.overlays or state.selection is not None):
            self._over(brush, state, parts, shown, told_of or shown, split)
        if shown.right_image is not None:
            draw_divider(brush, parts, shown, split)
        if fits:
            house, held = shown.left_house, self.touch.places(shown, brush.scale)
            draw_marks(brush, state, house, held)
            self.touch.draw(brush, state, parts, shown, split, told_of or shown)
        else:
            self.touch.wait(brush, state, parts)
        if shown.stage.coarse:
            draw_coarse(brush, picture)
        brush.surface.set_clip(None)

    def _over(
        self, brush: Brush, state: State, parts: Layout, shown: Shown, told_of: Shown, split: int
    ) -> None:
        """Overlays: only where picture and places belong together."""
        house = shown.stage.left.rig.house
        at_px = self.touch.places(shown, brush.scale).at_px
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
                held = self.touch.places(shown, brush.scale)
                said = told_of.left or left
                self._lying.draw(brush, parts, shown, held, said.wire_a, said.supply_a,
                                 self.touch.card_place)  # fmt: skip
                self.touch.tags = self._lying.tags
            if "volts" in state.overlays:
                told_v = told_of.left.volts if right is None and told_of.left else None
                overlays.draw_volts(brush, parts, house, at_px, volts, told_v)
        if "runs" in state.overlays:
            self._still.lay(brush.surface, "runs", (key, house), size, lambda on: (
                overlays.draw_runs(brush.on(on), parts, house, at_px)))  # fmt: skip


def _but_time(state: State) -> tuple[object, ...]:
    """All of a state that does not change by itself while a scheme plays."""
    return tuple(value for name, value in vars(state).items() if name != "time_s")


def _row_on_screen(row: DrawerRow, parts: Layout, state: State) -> Rect:
    if row.pinned:
        return row.place._replace(x=row.place.x + parts.drawer.x, y=row.place.y + parts.drawer.y)
    return on_screen(row.place, parts, state)
