"""Where everything stands: rectangles from the size of the window and the scale. Pure.

All numbers here are pixels at 100 %; `Layout` holds pixels of the screen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from sim.app.state.record import State

DRAWER, DRAWER_LEAST = 336, 240
RIBBON = 164
RIBBON_LEAST = 38
TOOLS = 36
#: In a lower window the drawing board has the ribbon's room.
BOARD_LEAST = 560
#: Below this the caution has a line of its own in the ribbon.
NARROW = 400
PAD = 16
#: Beside the curve: the figures of the axis, and the names of the limits, where there is room.
AXIS, NAMES = 46, 148
NAMED_FROM = 720
#: The picture is never narrower than this, however large the type.
PICTURE_LEAST = 240
#: Words that need the person are never squeezed into less than this.
NOTES_LEAST = 400


class Rect(NamedTuple):
    """A rectangle of the screen [px]."""

    x: int
    y: int
    w: int
    h: int

    @property
    def right(self) -> int:
        """One past the last column."""
        return self.x + self.w

    @property
    def bottom(self) -> int:
        """One past the last row."""
        return self.y + self.h

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies in it."""
        return self.x <= x < self.right and self.y <= y < self.bottom

    def meets(self, other: Rect) -> bool:
        """Whether two rectangles share any place."""
        across = self.x < other.right and other.x < self.right
        return across and self.y < other.bottom and other.y < self.bottom

    def inset(self, left: int, top: int, right: int, bottom: int) -> Rect:
        """Smaller by a margin on each side; where there is no room, empty and still inside."""
        x, y = min(self.x + left, max(self.right, self.x)), min(self.y + top, self.bottom)
        w, h = max(self.w - left - right, 0), max(self.h - top - bottom, 0)
        return Rect(x, y, w, h)


@dataclass(frozen=True)
class Layout:
    """The parts of the window [px of the screen]."""

    scale: float
    picture: Rect  # what is seen of the house now
    scene: Rect  # what the picture is computed for: where the drawer comes to rest
    drawer: Rect
    ribbon: Rect
    curve: Rect  # the plot inside the ribbon
    tools: Rect

    def px(self, size: float) -> int:
        """A size at 100 % in pixels of the screen, at least 1."""
        return max(1, round(size * self.scale))

    @property
    def notes(self) -> Rect:
        """Where banners and messages stand: on the picture, or across all where it is narrow."""
        if self.picture.w >= self.px(NOTES_LEAST):
            return self.picture
        return Rect(0, 0, self.tools.w, self.picture.h)

    @property
    def divider_reach(self) -> int:
        """How near the divider a press takes hold of it."""
        return self.px(20)


def layout(state: State) -> Layout:
    """Where everything stands for a state."""
    width, height = state.size_px
    scale = state.scale

    def px(size: float) -> int:
        return max(1, round(size * scale))

    # What is too low to be read is left out, and the picture has its place.
    tools_h = px(TOOLS) if height >= 3 * px(TOOLS) else 0
    ribbon_h = min(px(RIBBON), height // 3)
    low = state.board is not None and height < px(BOARD_LEAST)
    ribbon_h = 0 if low or ribbon_h < px(RIBBON_LEAST) else ribbon_h
    body_h = max(height - tools_h - ribbon_h, 1)
    drawer_w = max(min(px(DRAWER), width - PICTURE_LEAST), min(px(DRAWER_LEAST), width))
    shown_w = round(drawer_w * _eased(state.drawer_open))
    ribbon = Rect(0, body_h, width, ribbon_h)
    axis = px(AXIS if width >= px(NARROW) else PAD)
    names = px(NAMES if width >= px(NAMED_FROM) else PAD)
    return Layout(
        scale=scale,
        picture=Rect(0, 0, max(width - shown_w, 1), body_h),
        scene=Rect(0, 0, max(width - (drawer_w if state.drawer else 0), 1), body_h),
        drawer=Rect(width - shown_w, 0, drawer_w, body_h),
        ribbon=ribbon,
        curve=ribbon.inset(axis, px(headline_h(width / scale)), names, px(22)),
        tools=Rect(0, body_h + ribbon_h, width, tools_h),
    )


def headline_h(width: float) -> int:
    """How tall the ribbon's headline is [px at 100 %] in a window so wide: one line, or two."""
    return 38 if width >= NARROW else 56


def _eased(share: float) -> float:
    """Slow at both ends."""
    return share * share * (3 - 2 * share)
