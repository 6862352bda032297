"""What is drawn the same turn after turn, drawn once and cut out of its ground.

Drawn on black and on white, the difference tells how much of the ground shows through at every
place, whatever the drawing is made of: lines, type, panels that let light through. Only the
pieces with something on them are kept, so that laying them again costs little.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable

import numpy as np
import pygame

#: Width and height of a piece [px].
PIECE = (48, 16)
Pieces = list[tuple[pygame.Surface, tuple[int, int]]]


def cut_out(size_px: tuple[int, int], draw: Callable[[pygame.Surface], None]) -> Pieces:
    """What `draw` lays on a ground of that size, as pieces with the places of their corners."""
    grounds = []
    for shade in (0, 255):
        ground = pygame.Surface(size_px)
        ground.fill((shade, shade, shade))
        draw(ground)
        grounds.append(pygame.surfarray.array3d(ground).astype(np.int32))
    black, white = grounds
    cover = 255 - np.clip(white - black, 0, 255).min(axis=2)  # 255 where nothing shows through
    pieces: Pieces = []
    for x in range(0, size_px[0], PIECE[0]):
        for y in range(0, size_px[1], PIECE[1]):
            at = slice(x, x + PIECE[0]), slice(y, y + PIECE[1])
            if not cover[at].any():
                continue
            solid = np.maximum(cover[at], 1)[..., None]
            colour = np.clip((black[at] * 255 + solid // 2) // solid, 0, 255)
            piece = pygame.Surface(cover[at].shape, pygame.SRCALPHA)
            pygame.surfarray.pixels3d(piece)[:] = colour
            pygame.surfarray.pixels_alpha(piece)[:] = cover[at]
            pieces.append((piece, (x, y)))
    return pieces


class CutOuts:
    """Pieces kept by name until what they were drawn from is another."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[Hashable, Pieces]] = {}

    def lay(
        self,
        surface: pygame.Surface,
        name: str,
        key: Hashable,
        size_px: tuple[int, int],
        draw: Callable[[pygame.Surface], None],
    ) -> None:
        """Draw, or lay what was drawn from the same `key` before."""
        kept = self._kept.get(name)
        if kept is None or kept[0] != key:
            kept = self._kept[name] = (key, cut_out(size_px, draw))
        surface.blits(kept[1], False)
