"""What a diagnosis is made of."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.faults import Fault
from layouts.finding import Finding
from layouts.sightings import During, Sighting

from .causes import Breakage


@dataclass(frozen=True, eq=False)
class Suspect:
    """Causes that no test here tells apart, as one; the most probable of them first."""

    causes: tuple[Breakage, ...]
    probability: float
    explains: tuple[int, ...]  # of the sightings, by number
    unexplained: tuple[int, ...]

    @property
    def fault(self) -> Fault:
        """The first fault of its most probable cause."""
        return self.causes[0].faults[0]


@dataclass(frozen=True)
class Outcome:
    """How a test may come out: as it would be written, and how probable."""

    result: str
    probability: float


@dataclass(frozen=True, eq=False)
class NextTest:
    """A test and what it is worth."""

    test: str  # look, volts, watts, ohms, bridge, swap, fuse, new_fuse, continuity
    at: str  # as a sightings file has it
    during: During
    cost: float  # [min]
    gain_bits: float  # of `Diagnosis.entropy_bits`, and never more
    outcomes: tuple[Outcome, ...]
    conductor: str | None = None  # of continuity
    fuses_out: tuple[str, ...] = ()  # wires whose fuse stays out meanwhile, as files have them
    repair_first: bool = False  # trying the repair of the first suspect costs less


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """Suspects by probability, what no cause explains, and the next test worth making."""

    seen: tuple[Sighting, ...]
    suspects: tuple[Suspect, ...]
    none: float  # probability that it is nothing of which anything is known here
    next: NextTest | None
    why_no_test: str | None  # sure, repair, nothing: why there is none
    entropy_bits: float  # over the suspects, places of a short apart, and none of them
    most_bits: float = 0.0  # of the most telling test there is, whatever it costs
    hot: tuple[Finding, ...] = ()  # joints that get hot, if it is the first suspect
