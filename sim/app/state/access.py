"""How the window suits the person at it, for as long as it is open. One field of the state."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Access:
    """`contrast`: stronger colours; `row`: which part of the row at the foot is on show where all
    of it has no room."""

    contrast: bool = False
    row: int = 0


@dataclass(frozen=True)
class MoreTools:
    """The next part of the row at the foot."""
