"""What was seen of a house that is not as it should be, marked on its picture; and what follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from layouts import House
    from sim.upkeep.diagnosis import Diagnosis

#: What a click marks: how pixels look, or volts that are read there.
SeenTool = Literal["dark", "wrong", "flickers", "lit", "volts"]
SeenDuring = Literal["scheme", "white", "off"]


@dataclass(frozen=True)
class SeenLine:
    """One entry of a sightings file: `what` is its key, `text` what stands there."""

    what: str
    text: str = ""
    onwards: bool = False
    value: float | None = None  # of volts and watts
    at: str = ""
    then: str = ""
    during: SeenDuring = "scheme"

    @property
    def entry(self) -> Mapping[str, Any]:
        """As the file has it."""
        made: dict[str, Any] = {self.what: self.text if self.value is None else self.value}
        given = (("onwards", self.onwards), ("at", self.at), ("then", self.then))
        made |= {key: value for key, value in given if value}
        return made if self.during == "scheme" else {**made, "during": self.during}


@dataclass(frozen=True)
class SeenHeld:
    """A stretch of a run that is being marked, from pixel to pixel of the house."""

    run: int
    first: int
    last: int


@dataclass(frozen=True)
class Sighted:
    """What was seen, and what the newest diagnosis makes of it."""

    tool: SeenTool = "dark"
    onwards: bool = False  # from there on to the end of its data chain
    during: SeenDuring = "scheme"
    seen: tuple[SeenLine, ...] = ()
    held: SeenHeld | None = None
    point: str = ""  # where volts are being typed
    found: Diagnosis | None = None
    found_of: tuple[SeenLine, ...] = ()  # from which sightings
    wrong: str = ""  # why there is none
    repair: bool = False  # whether the repair is shown while tests are left


# --- what can happen to it ---


@dataclass(frozen=True)
class PickTool:
    """What clicks on the house mark from now on."""

    tool: SeenTool


@dataclass(frozen=True)
class TurnOnwards:
    """Whether a click means all pixels behind too."""


@dataclass(frozen=True)
class PickDuring:
    """What is shown while one looks."""

    during: SeenDuring


@dataclass(frozen=True)
class HoldSeen:
    """A stretch is begun, or goes on to another pixel; `run` is its number."""

    run: int
    pixel: int


@dataclass(frozen=True)
class LetGoSeen:
    """The stretch that is held is marked."""


@dataclass(frozen=True)
class PointVolts:
    """Volts are read at a point, as a sightings file names it, while that is shown."""

    at: str
    during: SeenDuring | None = None  # None: what is picked on the sheet


@dataclass(frozen=True)
class AddSeen:
    """These were seen too."""

    lines: tuple[SeenLine, ...]


@dataclass(frozen=True)
class DropSeen:
    """It was not so."""

    line: SeenLine


@dataclass(frozen=True)
class DropAllSeen:
    """Begin anew."""


@dataclass(frozen=True)
class TurnRepair:
    """Show the repair, or not."""


@dataclass(frozen=True)
class Diagnosed:
    """What follows from sightings on a house."""

    house: House
    seen: tuple[SeenLine, ...]
    found: Diagnosis | None
    wrong: str = ""


# --- what only the loop can do ---


@dataclass(frozen=True)
class SaveSeen:
    """Write what was seen to a new sightings file beside the house."""


SightedAction = (
    PickTool | TurnOnwards | PickDuring | HoldSeen | LetGoSeen | PointVolts | AddSeen | DropSeen
    | DropAllSeen | TurnRepair | Diagnosed | SaveSeen
)  # fmt: skip
