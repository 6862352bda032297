"""One frame that stands for a scheme, and which pixels it lights at any time."""

from __future__ import annotations

import numpy as np

from effects import Show
from effects.course import span_s
from sim.circuit.law import demand_a
from sim.frame import Rig, on_wire

#: So many frames over the course of a scheme are looked at.
_FRAMES = 24


def shown(rig: Rig, show: Show) -> tuple[np.ndarray, np.ndarray]:
    """Codes (N, C) of the frame that asks for most, and (N,) bool of pixels lit in any frame.

    Volts and watts of a scheme that moves are those of that frame: measure with `during: white`
    for steady ones.
    """
    times = np.linspace(0.0, span_s(show), _FRAMES, endpoint=False)
    codes = on_wire(rig, show, times)
    most = int(demand_a(rig.network.law, codes).sum(axis=(1, 2)).argmax())
    there = rig.house.has_pixel
    return codes[most], (codes > 0).any(axis=(0, 2)) & there
