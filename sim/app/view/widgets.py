"""The widgets of pygame_gui, kept in step with the state. What they tell becomes actions."""

from __future__ import annotations

import warnings
from typing import Any

import pygame
import pygame_gui
from pygame_gui.core import ObjectID, UIContainer
from pygame_gui.elements import UIButton, UIDropDownMenu

from sim.app.state.actions import Action, Set
from sim.app.state.choosing import page_of
from sim.app.state.controls import Control
from sim.app.state.drawer import DrawerRow, foot_h
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.plain import printable
from sim.app.view.tools import Tool


class Widgets:
    """Makes a widget for every control and tool; makes them anew where their places change."""

    def __init__(self, size_px: tuple[int, int], scale: float, high: bool = False):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the library warns of its own missing glyphs
            self.manager = pygame_gui.UIManager(
                size_px, theme.theme(scale, high), enable_live_theme_updates=False
            )
        self.scale = scale
        self.fresh = True  # whether they stand elsewhere than when they last looked
        self._key: object = None
        self._controls: dict[Any, Control | Tool] = {}
        self._drawer: UIContainer | None = None
        self._foot: UIContainer | None = None

    @property
    def held(self) -> bool:
        """Whether a list is open: the widgets must then stay."""
        for element in self._controls:
            if (
                isinstance(element, UIDropDownMenu)
                and element.current_state is element.menu_states["expanded"]
            ):
                return True
        return False

    def shut_lists(self) -> bool:
        """Close an open list without a choice; whether there was one."""
        was = self.held
        self._key = None if was else self._key
        return was

    def sync(
        self, parts: Layout, rows: tuple[DrawerRow, ...], tools: tuple[Tool, ...], scroll_px: float
    ) -> None:
        """Widgets for these rows and tools, standing at the values the state has."""
        key = (
            parts.drawer.w, parts.drawer.h, parts.tools, round(scroll_px), foot_h(rows),
            tuple((row.target, _lasting(row.control)) for row in rows
                  if row.control and row.control.form != "slider"),
            tuple((tool.place, tool.label, tool.on, tool.off) for tool in tools),
        )  # fmt: skip
        if key != self._key:
            shutting = parts.scene.w >= parts.tools.w  # its lists close with the drawer
            if self.held and self._key is not None and not shutting:
                return
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # nor of widgets too small for their borders
                self._make(parts, rows, tools, scroll_px)
            self._key, self.fresh = key, True
        if self._drawer is not None and self._drawer.rect.x != parts.drawer.x:
            self.fresh = True
            self._drawer.set_position((parts.drawer.x, parts.drawer.y))
            if self._foot is not None:
                self._foot.set_position((parts.drawer.x, self._foot.rect.y))

    def _make(
        self, parts: Layout, rows: tuple[DrawerRow, ...], tools: tuple[Tool, ...], scroll_px: float
    ) -> None:
        self.manager.clear_and_reset()
        self._controls = {}
        drawer = parts.drawer
        foot = foot_h(rows)
        view = Rect(drawer.x, drawer.y, drawer.w, max(drawer.h - foot, 1))
        self._drawer = UIContainer(pygame.Rect(view), self.manager)
        below = pygame.Rect(drawer.x, view.bottom, drawer.w, foot)
        self._foot = UIContainer(below, self.manager) if foot else None
        for row in rows:
            if row.control is None or row.control.form == "slider":
                continue  # sliders are drawn and dragged by the window itself
            place = pygame.Rect(row.target).move(0, -view.h if row.pinned else -round(scroll_px))
            if place.bottom <= 0 or place.top >= view.h:
                continue
            held_by = self._foot if row.pinned and self._foot is not None else self._drawer
            self._controls[self._widget(row.control, place, view, held_by)] = row.control
        for tool in tools:
            button = UIButton(pygame.Rect(tool.place), tool.label, self.manager,
                              object_id=ObjectID(class_id="@plain"))  # fmt: skip
            if tool.off:
                button.disable()
            self._controls[button] = tool

    def _widget(
        self, control: Control, place: pygame.Rect, drawer: Rect, held_by: UIContainer
    ) -> Any:
        if control.opens:
            value = brief(str(control.value), place.w / self.scale)
            return UIButton(place, printable(value), self.manager, container=held_by)
        if control.form == "choice":
            up = place.centery > drawer.h * 0.55
            room = place.top if up else drawer.h - place.bottom
            return UIDropDownMenu(
                [printable(one) for one in control.options], printable(str(control.value)),
                place, self.manager,
                container=held_by, expansion_height_limit=max(room - 4, 20),
                object_id=ObjectID(class_id="@up") if up else None,
            )  # fmt: skip
        shown: str | None = "@clear"
        if control.form == "button":
            shown = None
        elif control.beside:
            shown = "@on" if control.value else "@small"
        text = printable(control.label) if control.form == "button" or control.beside else ""
        return UIButton(place, text, self.manager, container=held_by,
                        object_id=ObjectID(class_id=shown) if shown else None)  # fmt: skip

    def action(self, event: pygame.event.Event) -> Action | str | None:
        """What an event of a widget means: an action, or the id of a pressed button."""
        found = self._controls.get(getattr(event, "ui_element", None))
        if found is None:
            return None
        if isinstance(found, Tool):
            return found.action if event.type == pygame_gui.UI_BUTTON_PRESSED else None
        if event.type == pygame_gui.UI_DROP_DOWN_MENU_CHANGED:
            chosen = next((one for one in found.options if printable(one) == event.text), None)
            return Set(found.id, chosen) if chosen is not None else None
        if event.type == pygame_gui.UI_BUTTON_PRESSED:
            if found.opens:
                return page_of(found)
            return found.id if found.form == "button" else Set(found.id, not found.value)
        return None


def brief(text: str, width: float) -> str:
    """A value and a sign that it opens a page, in a button so wide [px at 100 %]."""
    most = max(int(width / 8.5) - 2, 4)
    return f"{text if len(text) <= most else text[: most - 1].rstrip() + '…'}  ›"


def _lasting(control: Control) -> tuple[object, ...]:
    """What a widget is made from."""
    return (control.id, control.form, control.options, control.value)
