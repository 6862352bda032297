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

#: So many frames are looked at together, over the course of a scheme at times that keep step with
#: nothing; as many again, so often, while it has pixels that it has not lit yet.
_FRAMES, _MOST = 48, 10
_GOLDEN = (5**0.5 - 1) / 2
#: [share] of the frames in which a pixel is lit from which on a channel counts: not a mere glint.
#: A choice.
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
    there, wide = rig.house.has_pixel, len(rig.house.channels)
    lights = there & ~rig.house.pixels.spare  # a spare is never lit: nothing to wait for
    first, most_a = np.zeros((len(there), wide), dtype=np.uint8), -1.0
    brightest = first.copy()
    often, lit = np.zeros(first.shape, dtype=np.int64), np.zeros(len(there), dtype=np.int64)
    for part in range(_MOST):
        numbers = np.arange(part * _FRAMES, (part + 1) * _FRAMES)
        codes = on_wire(rig, show, span_s(show) * np.sort(numbers * _GOLDEN % 1))
        asked_a = demand_a(rig.network.law, codes).sum(axis=(1, 2))
        if asked_a.max() > most_a:
            first, most_a = codes[asked_a.argmax()], float(asked_a.max())
        brightest = np.maximum(brightest, codes.max(axis=0))
        often += (codes > 0).sum(axis=0)
        lit += (codes > 0).any(axis=2).sum(axis=0)
        if lit[lights].all():
            break
    # What lights a pixel in a glint counts where nothing else does.
    enough = np.minimum(_OFTEN * lit[:, None], often.max(axis=1)[:, None])
    return Sent(first, np.where((often >= enough) & there[:, None], brightest, 0))
