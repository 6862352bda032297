"""What the window tells back: which parts of the drawer are folded, which warnings are put aside,
what is being saved and what was. One field of the state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: What can be saved to show to others: the house alone, ten seconds of it, the whole window.
What = Literal["picture", "film"]
#: Sections of the drawer that are folded until somebody opens them.
FOLDED = frozenset({"House", "View"})


@dataclass(frozen=True)
class Making:
    """A picture or a film that is being made; `share` 0..1 of it is done."""

    number: int
    what: What
    share: float = 0.0


@dataclass(frozen=True)
class Feedback:
    """`hushed` are the names of warnings of which only a mark is left (`told_aside.WARNINGS`)."""

    folded: frozenset[str] = FOLDED
    hushed: frozenset[str] = frozenset()
    made: int = 0  # how often something was asked for
    making: Making | None = None
    saved: str = ""  # path of what was saved last
    help_y: float = 0.0  # how far the list of keys is scrolled [px at 100 %]
    saved_on: bool = False  # whether the mark that tells of it is on show
