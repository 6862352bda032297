"""What can happen to the ribbon."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.ribbon_view import LayerShares, Mark


@dataclass(frozen=True)
class ZoomTime:
    """See the time closer by a factor, about a time [s] or, None, about the instant on show."""

    factor: float
    at_s: float | None = None


@dataclass(frozen=True)
class PanTime:
    """Move along by a share of what is in sight."""

    share: float


@dataclass(frozen=True)
class WholeTime:
    """See all of the time."""


@dataclass(frozen=True)
class HoldTime:
    """A drag in the ribbon begins at a time [s]."""

    time_s: float


@dataclass(frozen=True)
class ShiftHeld:
    """Bring the time that is held to a share 0..1 of the ribbon's width."""

    share: float


@dataclass(frozen=True)
class LoopHeld:
    """Repeat what lies between the time that is held and this one [s]."""

    time_s: float


@dataclass(frozen=True)
class LoopFrom:
    """What repeats begins with the frame on show."""


@dataclass(frozen=True)
class LoopUntil:
    """What repeats ends with the frame on show."""


@dataclass(frozen=True)
class ClearLoop:
    """Nothing repeats."""


@dataclass(frozen=True)
class PointAtTime:
    """The pointer is over a time [s] of the ribbon; None: no more."""

    time_s: float | None


@dataclass(frozen=True)
class OpenMark:
    """Go to a mark and look at what it is about."""

    mark: Mark


@dataclass(frozen=True)
class StepMark:
    """To the next or previous mark."""

    by: int


@dataclass(frozen=True)
class MarksFound:
    """The marks of the curve as far as it is computed."""

    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class InstantFound:
    """What the layers ask in the frame under the pointer is worked out."""

    instant: LayerShares


RibbonAction = (
    ZoomTime | PanTime | WholeTime | HoldTime | ShiftHeld | LoopHeld | LoopFrom | LoopUntil
    | ClearLoop | PointAtTime | OpenMark | StepMark | MarksFound | InstantFound
)  # fmt: skip
