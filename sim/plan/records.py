"""What a planner is asked and what it answers: what can be bought, lines to feed, a design.

A *line* is one run, or several whose ends can be joined by a short wire, laid out as nodes along
which current flows. All prices are in one currency; a price of work is a price.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from layouts.catalogue import limits
from sim.circuit.fuse_opening import OPENS


@dataclass(frozen=True)
class WireChoice:
    """A size of wire that can be bought: a pair of conductors."""

    name: str
    loop_ohm_per_m: float  # [Ω/m] + and − together, at the temperature planned for
    fuse_most_a: float  # the largest fuse it may stand behind
    carries_a: float  # for hours on end
    price_per_m: float  # of the pair
    area_mm2: float = 0.0


@dataclass(frozen=True)
class FuseChoice:
    """A rating of fuse that can be bought."""

    rating_a: float
    cold_ohm: float
    price: float


@dataclass(frozen=True)
class SupplyChoice:
    """A supply that can be bought, at one place; only `most` of them fit there."""

    part: str
    place: str
    volts: float
    rated_a: float
    source_ohm: float
    price: float  # with all that one more supply at that place costs
    most: int = 20
    existing: str = ""  # the name of the house's own supply that it is, with what it has left
    efficiency: float | None = None  # 0..1; None: not known
    no_load_w: float | None = None


@dataclass(frozen=True)
class WorkPrices:
    """What things cost beside wire, fuses and supplies."""

    feed: float  # one more feed: its fuse holder, joints and minutes
    cut: float  # one more cut of the +
    joint: float  # a wire from run to run across a gap
    tap: float  # one more tap on a trunk: its holder, joints and minutes
    trunk: float = 0.0  # what a trunk takes beside its taps, wire and fuse


@dataclass(frozen=True)
class Rules:
    """The limits that a plan keeps."""

    supply_load: float = field(default_factory=lambda: limits().supply_load)
    fuse_load: float = field(default_factory=lambda: limits().fuse_load)
    opens: float = OPENS  # times its rating that a far short drives through a fuse
    most_drop: float = field(default_factory=lambda: limits().drop_warning)
    shorts: bool = True


@dataclass(frozen=True, eq=False)
class Line:
    """m nodes along which current flows, F frames, K supply choices.

    Where runs are joined, the resistance of the joining wire depends on its size; it comes on top
    of `rail_ohm`.
    """

    name: str
    volts: float  # nominal
    rail_ohm: np.ndarray  # (m,) [Ω] loop resistance from the first node, without joining wires
    demand_a: np.ndarray  # (F, m) [A]
    need_v: float  # [V] that every pixel needs to shine in full
    pad: np.ndarray  # (m,) bool: a feed may end here
    cut: np.ndarray  # (m,) bool: + may be cut before this node
    gap_m: np.ndarray  # (m,) [m] of wire that joins this node's run to the one before; 0: none
    start: np.ndarray  # (m,) bool: a run begins here
    reach_m: np.ndarray  # (K, m) [m] of wire from each supply choice, infinite: no way
    pixel: np.ndarray  # (m,) bool: a pixel, and no end pad
    node: np.ndarray  # (m,) index of the pixel in the house; of the next one at an end pad

    @property
    def size(self) -> int:
        """m."""
        return len(self.rail_ohm)


@dataclass(frozen=True)
class Stretch:
    """Nodes `first`..`last` of a line on one feed: at `pad`, from `supply` choice."""

    line: int
    first: int
    last: int
    pad: int
    supply: int
    wire: int
    fuse: int
    length_m: float
    peak_a: float
    price: float  # of its feed: wire, fuse, work, the joining wires it crosses


@dataclass(frozen=True)
class Market:
    """All that can be chosen from."""

    supplies: tuple[SupplyChoice, ...]
    wires: tuple[WireChoice, ...]
    fuses: tuple[FuseChoice, ...]
    work: WorkPrices
    rules: Rules = field(default_factory=Rules)


@dataclass(frozen=True)
class Design:
    """A proposal: stretches of all lines, and how many of each supply choice."""

    stretches: tuple[Stretch, ...]
    units: tuple[tuple[int, tuple[int, ...]], ...]  # (supply choice, indices of its stretches)
    uncut: frozenset[tuple[int, int]] = frozenset()  # (line, node): joined after all, not cut
    price: float = 0.0
