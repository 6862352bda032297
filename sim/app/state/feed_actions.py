"""Everything that can happen to feeds that are proposed for a house."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.record import Proposed


@dataclass(frozen=True)
class ProposeFeeds:
    """Work out feeds for runs that no supply reaches, or show again what is proposed."""


@dataclass(frozen=True)
class StopProposing:
    """Give up working them out."""


@dataclass(frozen=True)
class AcceptFeeds:
    """Keep the proposed feeds in the window's house."""


@dataclass(frozen=True)
class UndoFeeds:
    """Back to the house as its file has it."""


@dataclass(frozen=True)
class FeedsSought:
    """So much of the search for feeds is done, 0..1."""

    share: float


@dataclass(frozen=True)
class FeedsProposed:
    """Feeds were found."""

    proposal: Proposed


@dataclass(frozen=True)
class NoFeeds:
    """The asking of a number has no answer, and why."""

    number: int
    why: str


@dataclass(frozen=True)
class FeedsLost:
    """The house file is not the one any more that feeds were proposed for."""


@dataclass(frozen=True)
class FeedsWritten:
    """The house file has the proposed feeds now."""


# --- what only the loop can do ---


@dataclass(frozen=True)
class WriteFeeds:
    """Write the accepted feeds to the house file."""
