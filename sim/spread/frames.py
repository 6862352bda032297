"""Which frames of a scheme the draws are shown: those that come nearest to a limit, and a few that
stand for all, for the means."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.circuit import critical_frames
from sim.frame import on_wire
from sim.scan import Scan

#: Frames that stand for all: the middles of so many equal parts of the frames ranked by current.
EVEN = 12


@dataclass(frozen=True, eq=False)
class ShownFrames:
    """F frames by number: first those near limits, then those for the means."""

    watched: Scan
    worst: np.ndarray  # (P,) numbers of frames
    even: np.ndarray  # (K,)
    codes: np.ndarray  # (P + K, N, channels)

    @property
    def supply_load(self) -> np.ndarray:
        """(S,) the share of its rating that each supply gives at its peak."""
        return np.array([use.load for use in self.watched.supplies])

    def codes_at(self, brightness: float) -> np.ndarray:
        """(P, N, channels) the frames near limits at another brightness."""
        return on_wire(
            self.watched.rig, self.watched.show, self.worst / self.watched.fps, brightness
        )


def shown(watched: Scan, *, even: int = EVEN) -> ShownFrames:
    """The frames of a scan to show; `even` is 0 where no means are asked."""
    network, loads = watched.rig.network, watched.loads
    total_a = loads.run_a.sum(axis=1)
    most = [int(total_a.round(9).argmax())]
    for largest in (loads.supply_a, np.abs(loads.wire_a), loads.run_a, -loads.run_v):
        most += largest.argmax(axis=0).tolist()
    near = critical_frames(network, loads) if len(network.fixed_v) else np.zeros(0, np.int64)
    worst = np.union1d(near, np.array(most, dtype=np.int64))
    ranked = np.argsort(total_a, kind="stable")
    parts = min(even, len(ranked))
    middles = ((np.arange(parts) + 0.5) * len(ranked) / max(parts, 1)).astype(np.int64)
    picked = ranked[middles]
    times = np.concatenate([worst, picked]) / watched.fps
    codes = on_wire(watched.rig, watched.show, times, watched.brightness)
    return ShownFrames(watched, worst, picked, codes)
