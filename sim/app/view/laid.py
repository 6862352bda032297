"""What is laid over a picture at every turn, straight into the words of a surface.

A surface of four octets a pixel is a table of words 0xffRRGGBB. Where a screen has its colours
otherwise, what calls these draws by its own means.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pygame

from sim.app.state.window_layout import Rect
from sim.app.view.theme import Colour
from sim.kernels import njit

#: Where red, green and blue stand in a word.
_SHIFTS = (16, 8, 0)


@dataclass(frozen=True, eq=False)
class StillFilm:
    """What a drawing leaves on its ground: K places with something on them."""

    row: np.ndarray  # (K,) int32
    column: np.ndarray  # (K,) int32
    own: np.ndarray  # (K, 3) uint16, 255 × what it adds
    through: np.ndarray  # (K,) uint16 0..255, how much of the ground shows through
    size_px: tuple[int, int]  # of the ground


def words_of(surface: pygame.Surface) -> np.ndarray | None:
    """(H, W) uint32 of a surface, which is locked as long as this lives; None where a word is not
    0xffRRGGBB."""
    if surface.get_bitsize() != 32 or surface.get_shifts()[:3] != _SHIFTS:
        return None
    return pygame.surfarray.pixels2d(surface).T


def lay_veiled(
    surface: pygame.Surface, image: pygame.Surface, corner: tuple[int, int], veil: Colour,
    alpha: int,
) -> None:  # fmt: skip
    """A picture with its corner at a place, a veil of a colour over it: both at once."""
    area = image.get_rect(topleft=corner).clip(surface.get_clip())
    onto, source = words_of(surface), words_of(image)
    if onto is None or source is None:
        del onto, source
        surface.blit(image, corner)
        cover = pygame.Surface(image.get_size(), pygame.SRCALPHA)
        cover.fill((*veil, alpha))
        surface.blit(cover, corner)
        return
    if area.w and area.h:
        word = veil[0] << 16 | veil[1] << 8 | veil[2]
        _veiled(onto, source, *area, *corner, np.uint32(word), np.uint32(alpha + (alpha > 127)))


def lay_film(surface: pygame.Surface, film: StillFilm) -> bool:
    """A film from the surface's own corner; whether it could be laid."""
    words = words_of(surface)
    if words is None or words.shape[1] < film.size_px[0] or words.shape[0] < film.size_px[1]:
        return False
    _filmed(words, film.row, film.column, film.own, film.through)
    return True


def lay_dots(
    surface: pygame.Surface, place: Rect, at_px: np.ndarray, colours: np.ndarray, radius: int
) -> None:
    """A round dot of each colour (N, 3) uint8 at each of (N, 2) [px of the place], inside it."""
    reach = np.arange(-radius, radius + 1)
    dx, dy = np.meshgrid(reach, reach, indexing="ij")
    inside = dx**2 + dy**2 <= radius**2 + 1
    word = np.zeros(len(colours), dtype=np.uint32)  # a colour as the surface has it, in one piece
    for channel, shift in enumerate(surface.get_shifts()[:3]):
        word |= colours[:, channel].astype(np.uint32) << np.uint32(shift)
    part = pygame.Rect(place).clip(surface.get_rect())
    if not part.w or not part.h:
        return
    middle = np.rint(at_px).astype(np.int64) + np.array([place.x, place.y])
    onto = pygame.surfarray.pixels2d(surface).T
    _dotted(onto, *part, middle, word, dx[inside], dy[inside])


@njit(cache=True, nogil=True, error_model="numpy")
def _veiled(
    onto: np.ndarray, source: np.ndarray, left: int, top: int, wide: int, high: int,
    from_x: int, from_y: int, veil: np.uint32, alpha: np.uint32,
) -> None:  # fmt: skip
    """Two channels with one multiplication; `alpha` is of 256."""
    outer, green, solid = np.uint32(0xFF00FF), np.uint32(0x00FF00), np.uint32(0xFF000000)
    rest = np.uint32(256) - alpha
    more = (veil & outer) * alpha + np.uint32(0x800080)
    more_green = ((veil & green) >> np.uint32(8)) * alpha + np.uint32(0x80)
    eight, low = np.uint32(8), np.uint32(0xFF)
    for y in range(top, top + high):
        to, seen = onto[y, left : left + wide], source[y - from_y, left - from_x :]
        for x in range(wide):
            word = seen[x]
            both = np.uint32((np.uint32((word & outer) * rest + more) >> eight) & outer)
            one = np.uint32(np.uint32(((word >> eight) & low) * rest + more_green) & green)
            to[x] = both | one | solid


@njit(cache=True, nogil=True, error_model="numpy")
def _filmed(
    words: np.ndarray, row: np.ndarray, column: np.ndarray, own: np.ndarray, through: np.ndarray
) -> None:
    for k in range(len(row)):
        word, left, made = words[row[k], column[k]], np.uint32(through[k]), np.uint32(0xFF000000)
        for c in range(3):
            shift = np.uint32(16 - 8 * c)
            under = np.uint32((word >> shift) & np.uint32(0xFF))
            mixed = np.uint32(np.uint32(own[k, c]) + under * left + np.uint32(127))
            made |= np.uint32(min(mixed // np.uint32(255), np.uint32(255)) << shift)
        words[row[k], column[k]] = made


@njit(cache=True, nogil=True, error_model="numpy")
def _dotted(
    words: np.ndarray, left: int, top: int, wide: int, high: int,
    middle: np.ndarray, colour: np.ndarray, dx: np.ndarray, dy: np.ndarray,
) -> None:  # fmt: skip
    for n in range(len(middle)):
        for k in range(len(dx)):
            x, y = middle[n, 0] + dx[k], middle[n, 1] + dy[k]
            if left <= x < left + wide and top <= y < top + high:
                words[y, x] = colour[n]
