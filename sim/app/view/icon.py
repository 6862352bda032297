"""The window's own icon: a gable at night with lights along it."""

from __future__ import annotations

import pygame

from sim.app.view import theme

_SIDE = 64


def icon() -> pygame.Surface:
    """A square surface for the task bar."""
    surface = pygame.Surface((_SIDE, _SIDE), pygame.SRCALPHA)
    pygame.draw.rect(surface, theme.NIGHT, surface.get_rect(), border_radius=14)
    pygame.draw.polygon(surface, theme.LINE, [(32, 20), (54, 44), (54, 54), (10, 54), (10, 44)])
    pygame.draw.rect(surface, theme.NIGHT, (27, 38, 10, 16))
    for step in range(5):
        share = step / 4
        for x in (32 - 24 * share, 32 + 24 * share):
            pygame.draw.aacircle(surface, theme.AMBER, (round(x), round(15 + 26 * share)), 4)
    return surface
