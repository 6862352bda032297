"""Keys of pygame as the key table names them."""

from __future__ import annotations

import pygame

from sim.app.state.keys import Press


def press_of(event: pygame.event.Event) -> Press | None:
    """A key event as the table names keys."""
    name = pygame.key.name(event.key)
    if not name:
        return None
    shift, ctrl = (
        bool(event.mod & pygame.KMOD_SHIFT),
        bool(event.mod & (pygame.KMOD_CTRL | pygame.KMOD_META)),
    )
    return Press(name, shift, ctrl, bool(event.mod & pygame.KMOD_ALT))
