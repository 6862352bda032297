"""Text that can always be drawn, and a window of nothing else for when all else fails."""

from __future__ import annotations

import pygame

from sim.app.view import theme
from sim.report.theme import without_arrows


def printable(text: str) -> str:
    """The text with a mark in place of what no font can draw: control characters, half pairs."""
    if text.isprintable():
        return text
    return "".join(one if one.isprintable() else "\ufffd" for one in text)


def in_type(text: str) -> str:
    """The text as the window's own type can show it, that of all pictures."""
    return without_arrows(printable(text))


def draw_plain(surface: pygame.Surface, fault: str, changed: bool, kept_at: str) -> None:
    """What failed, what is unsaved and where it is kept; one line each, from the top."""
    surface.set_clip(None)
    surface.fill(theme.NIGHT)
    lines = ["The window cannot be drawn just now; it is tried again every second.", fault]
    if changed:
        lines.append("Your values are safe: Ctrl S writes them to the scheme file.")
    if kept_at:
        lines.append(f"They are kept in {kept_at} too.")
    lines.append("Ctrl Q closes the window; values not written are offered at the next start.")
    font = pygame.font.Font(theme.font_file(), 14)
    for index, line in enumerate(lines):
        drawn = font.render(printable(line), True, theme.WARM)
        surface.blit(drawn, (12, 12 + 22 * index))
