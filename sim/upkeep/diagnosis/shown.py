"""What stands for a scheme: one frame for its currents, and what it asks of every pixel in time.

Somebody who looks at a scheme that moves or has dark gaps does not tell of one frame of it. A pixel
is *lit* if it lights, at times, as the scheme would light it; *dark* if it stays dark whenever the
scheme would light it; *wrong* if it has another colour than the scheme's when it should show. So
what a pixel is asked for are the channels that the scheme lights in it at times, each as bright as
it gets; what a pixel looks like is judged by these alone. Of a pixel that is never asked for
anything nothing is said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects import Show
from effects.course import span_s
from layouts.records import House
from sim.circuit.law import demand_a
from sim.frame import Rig, on_wire

#: So many frames over the course of a scheme are looked at, at times that keep step with nothing.
_FRAMES = 48
_GOLDEN = (5**0.5 - 1) / 2
#: [share] of the frames in which a pixel is lit from which on a channel counts: not a mere glint.
_OFTEN = 0.25


@dataclass(frozen=True, eq=False)
class Sent:
    """What is sent to a house while it is looked at: N pixels, C channels."""

    codes: np.ndarray  # (N, C) uint8: one frame, by which currents flow
    asked: np.ndarray  # (N, C) uint8 of each pixel at the times it is lit; 0 where it never is

    @property
    def visible(self) -> np.ndarray:
        """(N,) bool: lit at any time."""
        return np.asarray(self.asked.any(axis=-1))


def still(house: House, codes: np.ndarray) -> Sent:
    """The same codes (N, C) all the time; spare pixels show nothing to anybody."""
    there = house.has_pixel & ~house.pixels.spare
    return Sent(codes, np.where(there[:, None], codes, 0).astype(np.uint8))


def shown(rig: Rig, show: Show) -> Sent:
    """A scheme over its course.

    Volts and watts of a scheme that moves are those of the frame that asks for most: measure with
    `during: white` for steady ones.
    """
    times = span_s(show) * np.sort(np.arange(_FRAMES) * _GOLDEN % 1)
    codes = on_wire(rig, show, times)
    most = int(demand_a(rig.network.law, codes).sum(axis=(1, 2)).argmax())
    return Sent(codes[most], _asked(codes, rig.house.has_pixel))


def _asked(codes: np.ndarray, there: np.ndarray) -> np.ndarray:
    """(N, C) of `codes` (T, N, C), of the pixels that are `there` (N,): the most of each channel.

    What lights a pixel in a glint counts where nothing else does.
    """
    lit = codes > 0
    often = lit.sum(axis=0)
    enough = np.minimum(_OFTEN * lit.any(axis=2).sum(axis=0)[:, None], often.max(axis=1)[:, None])
    return np.where((often >= enough) & there[:, None], codes.max(axis=0), 0)
