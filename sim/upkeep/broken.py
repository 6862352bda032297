"""A house with something broken, in the same model: picture, volts and amperes come from it.

`broken` works out what of the circuit a list of faults changes; `frame_of_broken` what is then to
be seen while codes are sent.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from layouts.faults import Fault
from sim.circuit import Network, Solution
from sim.frame import Rig


@dataclass(frozen=True, eq=False)
class BrokenRig:
    """A rig and what is broken of it; N pixels."""

    rig: Rig
    faults: tuple[Fault, ...]
    network: Network
    seed: int = 0


@dataclass(frozen=True, eq=False)
class BrokenState:
    """What is there for a share of the time; T frames, N pixels."""

    share: float  # 0..1 of the time
    off: frozenset[str]  # supplies in their pause
    solution: Solution
    received: np.ndarray  # (T, N, 4) uint8
    light: np.ndarray  # (T, N, 4) 0..1


@dataclass(frozen=True, eq=False)
class BrokenFrame:
    """What a broken house shows while T frames are sent; N pixels."""

    codes: np.ndarray  # (T, N, 4) uint8, as sent
    received: np.ndarray  # (T, N, 4) uint8, as each pixel shows them
    alive: np.ndarray  # (N,) bool
    solution: Solution
    light: np.ndarray  # (T, N, 4) 0..1
    opened: tuple[int, ...]  # wires whose fuses opened, in order
    states: tuple[BrokenState, ...]


def broken(rig: Rig, faults: Iterable[Fault], *, seed: int = 0) -> BrokenRig:
    """The rig with these faults; EvenfallError for one that the house cannot have."""
    raise NotImplementedError


def frame_of_broken(broken_rig: BrokenRig, codes: np.ndarray) -> BrokenFrame:
    """What is to be seen while `codes` (T, N, 4) uint8 are sent."""
    raise NotImplementedError
