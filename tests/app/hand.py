"""What a person does at the window, for its tests."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pygame

from sim.app.edit.draft import draft_from_text, draft_of
from sim.app.state.history import stepped
from sim.app.window import Window


def scheme_of(window: Window) -> Path:
    return Path(window.state.facts.scheme_file)


def press(key: int, mod: int = 0) -> None:
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod, unicode=""))
    pygame.event.post(pygame.event.Event(pygame.KEYUP, key=key, mod=mod))


def draw(window: Window, old: str, new: str) -> None:
    """What drawing does: another text of the house, as a step."""
    state = window.state
    draft = state.draft or draft_of(state.house_path)
    made = draft_from_text(draft.text.replace(old, new), draft.file, draft.digest)
    window.state = stepped(state, replace(state, draft=made), f"draw {new}")
