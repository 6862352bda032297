"""What was done to a house, as its file tells it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Mended:
    """What was done to a house, and when: one line of its history."""

    date: str  # 2026-12-24
    what: str
