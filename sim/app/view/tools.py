"""The row at the foot of the window: play, what is laid over, and the figures of the view."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pygame

from sim.app.state.access import MoreTools
from sim.app.state.actions import (
    Action,
    AskSharing,
    FullScreen,
    PlayPause,
    Redo,
    ToggleCompare,
    ToggleDrawer,
    ToggleHelp,
    ToggleOverlay,
    Undo,
)
from sim.app.state.choosing_actions import OpenPage
from sim.app.state.drawing_actions import OpenBoard
from sim.app.state.history import next_step
from sim.app.state.record import State
from sim.app.state.sharing import is_sharing
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.light.tone import grey_code

_OVERLAYS = {"volts": "Volts", "runs": "Runs", "wires": "Wires", "zones": "Zones"}


@dataclass(frozen=True)
class Tool:
    """One button of the row."""

    label: str
    action: Action
    place: Rect
    on: bool = False
    right: bool = False  # stands at the right end
    off: bool = False  # there is nothing that it could do
    hint: str = ""  # what exactly it would do


def tools(
    brush: Brush, state: State, parts: Layout, only: tuple[str, ...] = ()
) -> tuple[Tool, ...]:
    """The buttons from left to right, or `only` some; those at the right end are the window's."""
    px = parts.px
    row = parts.tools
    page = state.choosing.page if state.choosing else ""
    left: list[tuple[str, Action, bool]] = [
        ("Pause" if state.playing else "Play", PlayPause(), False),
        *(
            (label, ToggleOverlay(name), name in state.overlays)
            for name, label in _OVERLAYS.items()
        ),
        ("Compare", ToggleCompare(), state.compare),
        ("Undo", Undo(), False),
        ("Redo", Redo(), False),
    ]
    last, next_ = next_step(state, "back"), next_step(state, "on")
    hints = {
        "Undo": f"Undo: {last.label}  (Ctrl Z)" if last else "",
        "Redo": f"Redo: {next_.label}  (Ctrl Y)" if next_ else "",
    }
    right: list[tuple[str, Action, bool]] = [
        ("Schemes", OpenPage("schemes"), page == "schemes"),
        ("Layers", OpenPage("layers"), page not in ("", "schemes")),
        ("Draw", OpenBoard(), state.board is not None),
        ("Share", AskSharing(), is_sharing(state.question)),
        ("Full screen", FullScreen(), pygame.display.is_fullscreen()),
        ("Keys", ToggleHelp(), state.help),
        ("Settings", ToggleDrawer(), state.drawer and not page),
    ]
    left = [one for one in left if not only or one[0] in only]
    right = [one for one in right if not only or one[0] in only]
    gap, pad, height = px(2), px(10), row.h - px(8)

    def placed(x: int, label: str, least: int = 0) -> Rect:
        return Rect(x, row.y + px(4), max(brush.size(label)[0] + 2 * pad, least), height)

    found: list[Tool] = []
    if not row.h:
        return ()
    pages = _pages(brush, row.w, [label for label, _, _ in left + right], 2 * pad + px(14))
    kept = pages[state.access.row % len(pages)]
    if len(pages) > 1:
        right.insert(0, (MORE, MoreTools(), False))
    left = [one for one in left if one[0] in kept]
    right = [one for one in right if one[0] in kept]
    x = row.x + px(8)
    widest = max(brush.size(word)[0] for word in ("Pause", "Play")) + 2 * pad
    for index, (label, action, on) in enumerate(left):
        place = placed(x, label, widest if index == 0 else 0)
        hint = hints.get(label, "")
        found.append(Tool(label, action, place, on, off=hint == "" and label in hints, hint=hint))
        x = place.right + (px(14) if label in ("Play", "Pause", "Zones", "Compare") else gap)
    x = row.right - px(8)
    for label, action, on in reversed(right):
        place = placed(0, label)
        place = place._replace(x=x - place.w)
        found.append(Tool(label, action, place, on, right=True))
        x = place.x - gap
    return tuple(found)


#: The button of a row that has not room for all, and what stays in each of its parts.
MORE, ALWAYS = "More", ("Play", "Pause", "Settings")
#: What a narrow row leaves for its next part, the first first.
_LEFT_OUT = (
    "Full screen",
    "Keys",
    "Share",
    "Draw",
    "Layers",
    "Schemes",
    "Redo",
    "Undo",
    "Zones",
    "Wires",
    "Runs",
    "Volts",
    "Compare",
    "Settings",
    "Pause",
    "Play",
)


def _pages(brush: Brush, width: int, labels: list[str], each_px: int) -> list[tuple[str, ...]]:
    """The labels in parts that have room side by side, so much [px] being added to each.

    All of them where they fit; else every part holds "More", which leads to the next.
    """

    def wide(some: list[str]) -> int:
        return sum(brush.size(one)[0] + each_px for one in some)

    if wide(labels) <= width:
        return [tuple(labels)]
    always = [one for one in labels if one in ALWAYS]
    while always and wide([MORE, *always, max(labels, key=len)]) > width:
        always.pop()
    left = sorted((one for one in labels if one not in always), key=_LEFT_OUT.index, reverse=True)
    pages = []
    while left:
        kept = [MORE, *always]
        while left and (wide([*kept, left[0]]) <= width or len(kept) == 1 + len(always)):
            kept.append(left.pop(0))
        pages.append(tuple(kept))
    return pages


def draw_tools(
    brush: Brush,
    parts: Layout,
    row: tuple[Tool, ...],
    figures: tuple[str, ...],
    exposure_ev: float | None,
) -> None:
    """The ground of the row, an amber line under what is on, and the figures in between.

    `figures` are words from the least to the most important; those that do not fit are left out.
    The scale of luminance is that of an exposure [EV].
    """
    place = parts.tools
    if not place.h:
        return
    lit = tuple(tool.place for tool in row if tool.on)
    brush.plate("tools", (lit, place), place, lambda on: _ground(on, place, lit))
    right_end = min((tool.place.x for tool in row if tool.right), default=place.right)
    left_end = max((tool.place.right for tool in row if not tool.right), default=place.x)
    room = right_end - left_end - brush.px(32)
    shown = list(figures)
    while shown and brush.size("     ".join(shown), theme.SMALL)[0] > room:
        shown.pop(0)
    x = right_end - brush.px(16)
    _, height = brush.size("0", theme.SMALL)
    y = place.y + (place.h - height) / 2
    for text in reversed(shown):
        box = brush.text(text, x, y, theme.QUIET, theme.SMALL, align="right")
        x = box.x - brush.px(18)
    if exposure_ev is not None and x - left_end > brush.px(190):
        width = min(brush.px(240), x - left_end)
        over = Rect(x - width, place.y, width, place.h)
        brush.plate("luminances", exposure_ev, over, lambda on: (
            _luminances(on, width, Rect(0, 0, width, place.h), exposure_ev)))  # fmt: skip


def _ground(brush: Brush, place: Rect, lit: tuple[Rect, ...]) -> None:
    """The row without its words, in places of its own."""
    px = brush.px
    brush.fill(Rect(0, 0, place.w, place.h), theme.PANEL)
    brush.across(0, place.w, 0)
    for tool in lit:
        x, bottom = tool.x - place.x, tool.bottom - place.y
        brush.fill(Rect(x + px(10), bottom - px(3), tool.w - px(20), px(2)), theme.AMBER)


def draw_hint(brush: Brush, parts: Layout, row: tuple[Tool, ...], pointer: tuple[int, int]) -> None:
    """What the button under the pointer would do, above it."""
    tool = next((one for one in row if one.hint and one.place.holds(*pointer)), None)
    if tool is None:
        return
    pad = brush.px(12)
    width, height = brush.size(tool.hint)
    room = parts.tools.w - 2 * pad
    place = Rect(
        max(min(tool.place.x, parts.tools.w - min(width, room) - 2 * pad), 0),
        parts.tools.y - height - brush.px(18),
        min(width, room) + 2 * pad,
        height + brush.px(12),
    )
    brush.card(place)
    brush.text(tool.hint, place.x + pad, place.y + brush.px(6), theme.WARM, width=room)


def _luminances(brush: Brush, right: int, place: Rect, exposure_ev: float) -> None:
    """Greys as the picture shows them, with the luminance that each stands for."""
    box = brush.text("cd/m²", right, place.y + (place.h - brush.size("0", theme.SMALL)[1]) / 2,
                     theme.QUIET, theme.SMALL, align="right")  # fmt: skip
    x, side = box.x - brush.px(10), brush.px(12)
    for luminance in (10.0, 1.0, 0.1):
        box = brush.text(f"{luminance:g}", x, box.y, theme.QUIET, theme.SMALL, align="right")
        grey = int(grey_code(np.array(luminance), exposure_ev))
        patch = Rect(box.x - side - brush.px(5), place.y + (place.h - side) // 2, side, side)
        brush.fill(patch, (grey, grey, grey), radius=2)
        brush.frame(patch, theme.LINE, radius=2)
        x = patch.x - brush.px(10)
