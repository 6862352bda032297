"""The frame on show of a house with something broken: a record that work and view share."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from effects import Show
from sim.frame import Frame, Rig, frame_of

# What is broken is reckoned by modules that a window without faults need not wait for.
if TYPE_CHECKING:
    from sim.report.fault import FaultReport
    from sim.upkeep import BrokenFrame


@dataclass(frozen=True, eq=False)
class FrameBroken(Frame):
    """A frame of one time in which something is broken; `codes` are those sent.

    Where supplies go off and on, light and volts are the mean over time, and amperes those while
    every supply that can is on.
    """

    made: BrokenFrame | None = None  # T = 1
    rig: Rig | None = None
    show: Show | None = None

    @property
    def light(self) -> np.ndarray:
        """(N, C) as it is seen."""
        assert self.made is not None
        return np.asarray(self.made.light[0])

    @property
    def volts(self) -> np.ndarray:
        """(N,) [V] as a slow meter shows them."""
        assert self.made is not None
        return np.asarray(self.made.volts[0])

    @cached_property
    def report(self) -> FaultReport:
        """What differs from the sound house in this frame, with what its owner should know."""
        from sim.report.fault import FaultReport
        from sim.upkeep.broken_findings import broken_findings

        assert self.made is not None
        assert self.rig is not None
        assert self.show is not None
        sound = frame_of(self.rig, self.codes[None])
        at_s = float(self.time_s)
        return FaultReport(self.show, at_s, sound, self.made, broken_findings(self.made))
