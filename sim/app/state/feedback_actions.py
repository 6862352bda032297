"""Actions of what the window tells back: folding, warnings put aside, single values, saving."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.feedback import What


@dataclass(frozen=True)
class PutAside:
    """Hide a banner by its name (`told_aside.BANNERS`); a mark stays that brings it back."""

    name: str


@dataclass(frozen=True)
class TellAgain:
    """Show again whatever was put aside."""


@dataclass(frozen=True)
class RevertOne:
    """One value back to the file's; of the control that has the keys where none is named."""

    control: str = ""


@dataclass(frozen=True)
class ShowAllLayers:
    """No layer is shown alone any more, and none is hidden."""


@dataclass(frozen=True)
class AskSharing:
    """Ask what is to be saved: the picture, a film, the window."""


@dataclass(frozen=True)
class ShareNow:
    """Make a picture of the house alone, or a film of it from now on."""

    what: What


@dataclass(frozen=True)
class StopSharing:
    """Stop what is being made; nothing of it is kept."""


@dataclass(frozen=True)
class SharedSoFar:
    """So much of what is being made is done, 0..1."""

    number: int
    share: float


@dataclass(frozen=True)
class Shared:
    """Something was saved at `path`."""

    path: str
    number: int = 0  # of what was being made; 0: made at once


@dataclass(frozen=True)
class NotShared:
    """What was being made could not be, or not be saved, and why."""

    number: int
    why: str


@dataclass(frozen=True)
class HushSaved:
    """Take away the mark that tells where something was saved."""


@dataclass(frozen=True)
class ScrollHelp:
    """The list of keys moved by so much, no farther than `limit` [px at 100 %]."""

    by: float
    limit: float


# --- what only the loop can do ---


@dataclass(frozen=True)
class OpenFolder:
    """Show the folder where something was saved last."""
