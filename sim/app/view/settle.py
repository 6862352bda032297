"""The house while the window's parts move: never rescaled in steps, faded from old to new."""

from __future__ import annotations

import numpy as np
import pygame

from sim.app.state.drawer import DrawerRow
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.picture_surface import surface_of

#: How long a picture takes to give way to one of another size [s].
FADE_S = 0.22
#: How long the veil over an old picture takes to come [s], and how dense it is then.
VEIL_S, VEIL = 0.2, 112
#: How long the pointer or the keys rest on a control before it says what it does [s].
REST_S = 0.35
#: What is said on the very first picture.
COARSE_WORDS = "coarse at first; the fine picture follows"


def fitted(image: pygame.Surface, picture: Rect) -> pygame.Surface:
    """A picture of another size in a place, until one of the right size is there.

    Where only the width differs, as while the drawer slides, nothing is scaled: the middle stays
    in the middle, and what lies beyond goes on as its edges are.
    """
    width, height = image.get_size()
    if height == picture.h:
        made = pygame.Surface((picture.w, picture.h))
        left = (picture.w - width) // 2
        made.blit(image, (left, 0))
        if left > 0:
            right = picture.w - left - width
            for x, column, wide in ((0, 0, left), (left + width, width - 1, right)):
                edge = image.subsurface(pygame.Rect(column, 0, 1, height))
                made.blit(pygame.transform.scale(edge, (wide, height)), (x, 0))
        return made
    factor = max(picture.w / width, picture.h / height)
    scaled = pygame.transform.smoothscale(image, (round(width * factor), round(height * factor)))
    x = (scaled.get_width() - picture.w) // 2
    y = scaled.get_height() - picture.h
    return scaled.subsurface(pygame.Rect(x, y, picture.w, picture.h))


class Settle:
    """Keeps the last picture while a new one of another size fades in, and the veil's density."""

    def __init__(self) -> None:
        self._last: pygame.Surface | None = None
        self._old: pygame.Surface | None = None
        self._left_s = 0.0
        self._veil = 0.0
        self._fitted: tuple[np.ndarray, Rect, pygame.Surface] | None = None

    def fitted(self, image: np.ndarray, picture: Rect) -> pygame.Surface:
        """As the function of that name; kept while neither the picture nor its place changes."""
        kept = self._fitted
        if kept is None or kept[0] is not image or kept[1] != picture:
            kept = self._fitted = (image, picture, fitted(surface_of(image), picture))
        return kept[2]

    @property
    def moving(self) -> bool:
        """Whether something still fades."""
        return self._left_s > 0 or 0 < self._veil < 1

    def fade(
        self, brush: Brush, parts: Layout, image: pygame.Surface, seconds: float, bare: bool
    ) -> None:
        """After the house was drawn from `image`: one of another size from before, going.

        Only while nothing is laid over it (`bare`) and the height stays: a window that is made
        larger is in motion anyway.
        """
        last, self._last = self._last, image
        if last is not None and last.get_size() != image.get_size():
            slid = last.get_height() == image.get_height() == parts.picture.h
            self._old, self._left_s = (last, FADE_S) if slid and bare else (None, 0.0)
        if self._old is None:
            return
        self._left_s = max(self._left_s - min(seconds, FADE_S / 4), 0.0)
        old = fitted(self._old, parts.picture)
        old.set_alpha(round(255 * self._left_s / FADE_S))
        brush.surface.blit(old, (parts.picture.x, parts.picture.y))
        if self._left_s <= 0:
            self._old = None

    def veil(self, brush: Brush, parts: Layout, words: str, seconds: float) -> None:
        """A quiet veil over a picture that is not what is asked for, and what is being made."""
        if not words:
            self._veil = 0.0
            return
        self._veil = min(self._veil + max(seconds, 0.001) / VEIL_S, 1.0)
        picture, px = parts.picture, brush.px
        brush.fill(picture, theme.NIGHT, alpha=round(VEIL * self._veil / 8) * 8)
        room = max(picture.w - px(72), px(40))
        old = "the picture is still the old one"
        w = min(max(brush.size(words)[0], brush.size(old, theme.SMALL)[0]), room)
        h = px(56)
        x, y = picture.x + picture.w // 2, picture.y + round(picture.h * 0.4)
        brush.card(Rect(x - w // 2 - px(18), y, w + px(36), h))
        brush.text(words, x, y + px(8), theme.WARM, align="centre", width=room)
        brush.text(old, x, y + px(31), theme.QUIET, theme.SMALL, align="centre", width=room)


def draw_coarse(brush: Brush, picture: Rect) -> None:
    """That this picture has fewer points than its place, for a moment."""
    w, h = brush.size(COARSE_WORDS, theme.SMALL)
    pad = brush.px(8)
    place = Rect(picture.x + 2 * pad, picture.y + 2 * pad, w + 2 * pad, h)
    brush.tag(place, COARSE_WORDS, theme.QUIET, theme.SMALL, pad, 222)


class Rest:
    """Which row has been pointed at, or had the keys, for a while."""

    def __init__(self) -> None:
        self._id = ""
        self._left_s = 0.0

    @property
    def waits(self) -> bool:
        """Whether a row is about to speak."""
        return self._left_s > 0

    def row(self, row: DrawerRow | None, seconds: float) -> DrawerRow | None:
        """The row, once it has been the same for `REST_S`."""
        name = row.control.id if row is not None and row.control is not None else ""
        if name != self._id:
            self._id, self._left_s = name, REST_S if name else 0.0
            return None
        self._left_s = max(self._left_s - max(seconds, 0.001), 0.0)
        return row if self._left_s <= 0 else None
