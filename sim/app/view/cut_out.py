"""What is drawn the same turn after turn, drawn once and cut out of its ground.

Drawn on black and on white, the difference tells how much of the ground shows through at every
place, whatever the drawing is made of: lines, type, panels that let light through. Only places
with something on them are kept, so that laying them again costs little.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable

import numpy as np
import pygame

from sim.app.view.laid import StillFilm, lay_film


def cut_out(size_px: tuple[int, int], draw: Callable[[pygame.Surface], None]) -> StillFilm:
    """What `draw` lays on a ground of that size."""
    grounds = []
    for shade in (0, 255):
        ground = pygame.Surface(size_px)
        ground.fill((shade, shade, shade))
        draw(ground)
        grounds.append(np.swapaxes(pygame.surfarray.array3d(ground), 0, 1).reshape(-1, 3))
    black, white = grounds
    through = (np.maximum(white, black) - black).max(axis=1)  # 0 where nothing shows through
    at = np.flatnonzero((through < 255) | black.any(axis=1))
    row, column = np.divmod(at.astype(np.int32), np.int32(size_px[0]))
    own = black[at].astype(np.uint16) * 255
    return StillFilm(row, column, own, through[at].astype(np.uint16), size_px)


class CutOuts:
    """Films kept by name until what they were drawn from is another."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[Hashable, StillFilm]] = {}

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
        if not lay_film(surface, kept[1]):
            draw(surface)
