"""A picture as a surface over the same bytes, without a copy."""

from __future__ import annotations

import numpy as np
import pygame


def surface_of(image: np.ndarray) -> pygame.Surface:
    """A picture (H, W, 3) uint8. One that is seen through words of four bytes, as
    `sim.light.screen_picture` makes it, is laid on a screen without being turned into another form.
    """
    height, width = image.shape[:2]
    if image.strides == (4 * width, 4, -1) and isinstance(image.base, np.ndarray):
        words = image.base
        if words.nbytes == 4 * width * height and words.flags.c_contiguous:
            made = pygame.image.frombuffer(words.data.cast("B"), (width, height), "BGRA")
            made.set_alpha(None)  # nothing shines through
            return made
    return pygame.image.frombuffer(np.ascontiguousarray(image).data, (width, height), "RGB")
