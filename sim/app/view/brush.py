"""Drawing in the window's own hand: type, hairlines, soft panels, at the scale in force."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import lru_cache
from typing import Any, TypeVar

import pygame

from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.kept_surfaces import KeptSurfaces
from sim.app.view.plain import in_type
from sim.app.view.theme import Colour

#: So much is kept [octets]: of lines about a thousand at 200 %, of veils two over a whole screen.
LINES_OCTETS, VEILS_OCTETS = 24 << 20, 20 << 20

T = TypeVar("T")


class Kit:
    """Fonts, lines and veils made once and used again, as long as one window lives."""

    def __init__(self, high: bool = False) -> None:
        self.high = high  # in high contrast
        self.font = lru_cache(maxsize=32)(self._font)
        self.line = KeptSurfaces(self._line, LINES_OCTETS)
        self.veil = KeptSurfaces(self._veil, VEILS_OCTETS)
        self.size = lru_cache(maxsize=4096)(self._size)
        self.tag = lru_cache(maxsize=256)(self._tag)
        self.plates: dict[str, tuple[Hashable, pygame.Surface, Any]] = {}

    @staticmethod
    def _font(size_px: int, bold: bool) -> pygame.font.Font:
        return pygame.font.Font(theme.font_file(bold), size_px)

    def _size(self, text: str, size_px: int, bold: bool) -> tuple[int, int]:
        return self.font(size_px, bold).size(in_type(text))

    def _line(self, text: str, size_px: int, bold: bool, colour: Colour) -> pygame.Surface:
        return self.font(size_px, bold).render(in_type(text), True, colour)

    @staticmethod
    def _veil(size: tuple[int, int], colour: Colour, alpha: int, radius: int) -> pygame.Surface:
        surface = pygame.Surface(size, pygame.SRCALPHA)
        pygame.draw.rect(surface, (*colour, alpha), surface.get_rect(), border_radius=radius)
        return surface

    def _tag(
        self, size: tuple[int, int], ground: tuple[Colour, int, int], words: pygame.Surface, x: int
    ) -> pygame.Surface:
        """Words on a veil (colour, alpha, radius), in one piece."""
        made = self._veil(size, *ground)
        made.blit(words, (x, 0))
        return made


class Brush:
    """A surface and the scale to draw on it with. Sizes are pixels at 100 %."""

    def __init__(self, surface: pygame.Surface, scale: float, kit: Kit):
        self.surface, self.scale, self.kit = surface, scale, kit

    def on(self, surface: pygame.Surface) -> Brush:
        """The same hand on another surface."""
        return Brush(surface, self.scale, self.kit)

    def scaled(self, scale: float) -> Brush:
        """The same hand at another scale."""
        return Brush(self.surface, scale, self.kit)

    def px(self, size: float) -> int:
        """A size at 100 % in pixels of the screen, at least 1."""
        return max(1, round(size * self.scale))

    def ink(self, colour: Colour) -> Colour:
        """A colour of the theme as it is shown."""
        return theme.shown(colour, self.kit.high)

    def text(
        self,
        text: str,
        x: float,
        y: float,
        colour: Colour = theme.WARM,
        size: float = theme.BODY,
        bold: bool = False,
        align: str = "left",
        width: int | None = None,
    ) -> Rect:
        """One line whose left, centre or right is at x [px] and whose top is at y [px].

        Cut to `width` [px] with an ellipsis where one is given. Returns where it stands.
        """
        if width is not None:
            text = self.cut(text, width, size, bold)
        drawn = self.kit.line(text, self.px(size), bold, self.ink(colour))
        w, h = drawn.get_size()
        left = x - {"left": 0, "centre": w / 2, "right": w}[align]
        self.surface.blit(drawn, (round(left), round(y)))
        return Rect(round(left), round(y), w, h)

    def size(self, text: str, size: float = theme.BODY, bold: bool = False) -> tuple[int, int]:
        """Width and height [px] that a line would take."""
        return self.kit.size(text, self.px(size), bold)

    def cut(self, text: str, width: int, size: float = theme.BODY, bold: bool = False) -> str:
        """The text, shortened with an ellipsis to fit `width` [px]."""
        if self.size(text, size, bold)[0] <= width:
            return text
        while text and self.size(text + "…", size, bold)[0] > width:
            text = text[:-1]
        return text.rstrip() + "…"

    def wrapped(self, text: str, width: int, size: float = theme.BODY) -> list[str]:
        """The text in lines of at most `width` [px], broken between words."""
        lines, line = [], ""
        for word in text.split():
            longer = f"{line} {word}".strip()
            if line and self.size(longer, size)[0] > width:
                lines.append(line)
                line = word
            else:
                line = longer
        return [*lines, line] if line else lines

    def fill(self, rect: Rect, colour: Colour, alpha: int = 255, radius: float = 0) -> None:
        """A filled rectangle, softened at the corners by `radius` [px at 100 %]."""
        if rect.w <= 0 or rect.h <= 0:
            return
        rounded, colour = self.px(radius) if radius else 0, self.ink(colour)
        if alpha == 255:
            pygame.draw.rect(self.surface, colour, rect, border_radius=rounded)
        else:
            veil = self.kit.veil((rect.w, rect.h), colour, alpha, rounded)
            self.surface.blit(veil, (rect.x, rect.y))

    def tag(self, rect: Rect, text: str, colour: Colour, size: float, pad: int, alpha: int) -> None:
        """A line of words on a dark veil with soft corners."""
        line = self.kit.line(text, self.px(size), False, self.ink(colour))
        ground = (self.ink(theme.NIGHT), alpha, self.px(4))
        self.surface.blit(self.kit.tag((rect.w, rect.h), ground, line, pad), (rect.x, rect.y))

    def plate(self, name: str, key: Hashable, rect: Rect, draw: Callable[[Brush], T]) -> T:
        """What `draw` makes on a clear surface as large as `rect`, in that surface's own places;
        kept by name as long as `key` is the same. Gives what `draw` gave."""
        of = (key, self.scale, rect[2:])
        kept = self.kit.plates.get(name)
        if kept is None or kept[0] != of:
            made = pygame.Surface(rect[2:], pygame.SRCALPHA)
            kept = self.kit.plates[name] = (of, made, draw(self.on(made)))
        self.surface.blit(kept[1], (rect.x, rect.y))
        given: T = kept[2]
        return given

    def frame(self, rect: Rect, colour: Colour, radius: float = 0, width: float = 1) -> None:
        """The outline of a rectangle."""
        rounded = self.px(radius) if radius else 0
        pygame.draw.rect(
            self.surface, self.ink(colour), rect, self.px(width), border_radius=rounded
        )

    def across(self, x: int, right: int, y: int, colour: Colour = theme.LINE) -> None:
        """A horizontal hairline."""
        pygame.draw.line(self.surface, self.ink(colour), (x, y), (right - 1, y), self.px(0.75))

    def down(
        self, x: int, y: int, bottom: int, colour: Colour = theme.LINE, width: float = 0.75
    ) -> None:
        """A vertical hairline."""
        pygame.draw.line(self.surface, self.ink(colour), (x, y), (x, bottom - 1), self.px(width))

    def dashed(self, x: int, right: int, y: int, colour: Colour) -> None:
        """A horizontal line of dashes, for limits."""
        dash, gap = self.px(6), self.px(4)
        for start in range(x, right, dash + gap):
            end = min(start + dash, right)
            pygame.draw.line(self.surface, self.ink(colour), (start, y), (end - 1, y), self.px(1))

    def card(self, rect: Rect) -> None:
        """A panel that floats over the house."""
        self.fill(rect, theme.NIGHT, alpha=232, radius=8)
        self.frame(rect, theme.LINE, radius=8)
