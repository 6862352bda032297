"""What is cut out and laid again looks as if it had been drawn there."""

from __future__ import annotations

import numpy as np
import pygame

from sim.app.view.cut_out import CutOuts

SIZE = (200, 120)


def drawn(surface: pygame.Surface) -> None:
    """A solid block, a line without steps, and a panel that lets light through."""
    surface.fill((240, 90, 10), (10, 10, 40, 20))
    pygame.draw.aaline(surface, (255, 200, 90), (5, 100), (190, 60))
    panel = pygame.Surface((60, 30), pygame.SRCALPHA)
    panel.fill((12, 16, 28, 190))
    surface.blit(panel, (120, 20))


def ground() -> pygame.Surface:
    surface = pygame.Surface(SIZE)
    noise = np.random.default_rng(3).integers(0, 256, (*SIZE, 3))
    pygame.surfarray.blit_array(surface, noise.astype(np.uint8))
    return surface


def test_laid_as_if_drawn() -> None:
    plain, laid = ground(), ground()
    drawn(plain)
    CutOuts().lay(laid, "it", 1, SIZE, drawn)
    apart = np.abs(
        pygame.surfarray.array3d(plain).astype(int) - pygame.surfarray.array3d(laid).astype(int)
    )
    assert apart.max() <= 3  # rounding of 8-bit blending, twice
    assert apart.mean() < 0.2


def test_drawn_anew_only_where_it_is_of_something_else() -> None:
    calls = []

    def counted(surface: pygame.Surface) -> None:
        calls.append(surface)
        drawn(surface)

    kept = CutOuts()
    for key in (1, 1, 1, 2):
        kept.lay(ground(), "it", key, SIZE, counted)
    assert len(calls) == 4  # on black and on white, for two keys
