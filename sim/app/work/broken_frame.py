"""The frame on show of a house with something broken: the same model as `evenfall fault`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from effects import Show, asked
from layouts.faults import Fault
from sim.app.state.shown_broken import FrameBroken
from sim.frame import Frame, Rig, codes_of, frame

if TYPE_CHECKING:
    from sim.upkeep import BrokenRig


class BrokenRigs:
    """The broken rigs on show, each worked out once; the two newest are kept, one a side."""

    def __init__(self) -> None:
        self._kept: list[tuple[Rig, tuple[Fault, ...], BrokenRig]] = []

    def of(self, rig: Rig, faults: tuple[Fault, ...]) -> BrokenRig | None:
        """The rig with these faults; None with none."""
        if not faults:
            return None
        for one in self._kept:
            if one[0] is rig and one[1] == faults:
                return one[2]
        from sim.upkeep import broken

        made = broken(rig, faults)
        self._kept = [*self._kept[-1:], (rig, faults, made)]
        return made


def frame_now(
    rig: Rig, ill: BrokenRig | None, show: Show, time_s: float, brightness: float | None
) -> Frame:
    """The frame of a time [s], with what is broken in `ill`."""
    if ill is None:
        return frame(rig, show, time_s, brightness)
    from sim.upkeep import frame_of_broken

    times = np.array([time_s])
    wanted = asked(show, times)
    codes = codes_of(rig, show, times, wanted, brightness)
    made = frame_of_broken(ill, codes, number=round(time_s * show.fps))
    solution = made.solution.at(0)
    return FrameBroken(times[0], codes[0], solution, wanted[0], made, rig, show)
