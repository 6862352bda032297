"""A short run of the monkey; `python tests/app/monkey.py 100000` is the long one."""

from __future__ import annotations

import sys
from pathlib import Path

import pygame
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from conftest import HOUSE, SCHEME
from monkey import Monkey


def test_four_hundred_events_lose_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setattr(pygame.mouse, "get_pos", pygame.mouse.get_pos)  # given back at the end
    folder = tmp_path / "shed"
    folder.mkdir()
    monkey = Monkey(folder, HOUSE, {"winter.scheme.yaml": SCHEME}, seed=5)
    try:
        monkey.rest()
        count = 0
        while count < 400:
            count += monkey.turn()
        monkey.kill()
    finally:
        monkey.close()
    assert monkey.wrong == []
    assert monkey.done["kill"] >= 1
