"""A picture in the words of a screen is the same picture."""

from __future__ import annotations

import numpy as np
import pygame

from sim.app.view.picture_surface import surface_of


def test_words_of_a_screen_and_plain_bytes_are_shown_alike():
    words = np.random.default_rng(0).integers(0, 2**32, (5, 7), dtype=np.uint32)
    seen = words.view(np.uint8).reshape(5, 7, 4)[..., 2::-1]
    for image in (seen, np.ascontiguousarray(seen)):
        ground = pygame.Surface((7, 5), 0, 32)
        ground.fill((9, 9, 9))
        ground.blit(surface_of(image), (0, 0))
        assert np.array_equal(pygame.surfarray.array3d(ground).swapaxes(0, 1), seen)
