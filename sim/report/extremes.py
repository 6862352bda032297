"""Peaks, least volts and means of frames that come block by block, in bounded memory.

Of all frames those alone are kept in which something is largest or least so far: as many as there
are quantities, however long the show. Means are sums, every frame counted as long as it stood.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field, fields

import numpy as np

from sim.circuit import Loads, Network, join
from sim.circuit.loading import wall_w

#: The last frame stands as long as is usual among so many before it.
_STEPS = 1024


@dataclass
class Extremes:
    """What has been seen so far; fed by `add` in the order of time."""

    network: Network
    frames: int = 0
    first_s: float = 0.0
    time_s: np.ndarray = field(default_factory=lambda: np.empty(0))  # (K,) of the frames kept
    kept: Loads | None = None  # K frames
    _last: tuple[float, np.ndarray] | None = None  # when the last began, and what it asked
    _steps: deque[float] = field(default_factory=lambda: deque(maxlen=_STEPS))
    _weighed: np.ndarray | None = None
    _plain: np.ndarray | None = None
    _held_s: float = 0.0

    def add(self, time_s: np.ndarray, part: Loads) -> None:
        """Frames (T,) after all those before."""
        if not self.frames:
            self.first_s = float(time_s[0])
        self.frames += len(time_s)
        self._sum(time_s, self._quantities(part))
        times = np.concatenate([self.time_s, time_s])
        all_ = part if self.kept is None else join([self.kept, part])
        rows = _telling(self.network, all_)
        self.time_s = times[rows]
        self.kept = Loads(*(getattr(all_, each.name)[rows] for each in fields(Loads)))

    @property
    def last_s(self) -> float:
        """When the last frame began [s]."""
        return self._last[0] if self._last else 0.0

    @property
    def last_hold_s(self) -> float:
        """How long the last frame stands: as is usual; 0 where there is one frame."""
        return float(np.median(self._steps)) if self._steps else 0.0

    def means(self) -> Means:
        """Over all frames; with frames of no duration, each counts alike."""
        assert self._last is not None
        assert self._weighed is not None
        assert self._plain is not None
        hold_s = self._held_s + self.last_hold_s
        mean = self._plain / self.frames
        if hold_s > 0:
            mean = (self._weighed + self.last_hold_s * self._last[1]) / hold_s
        house = self.network.house
        counts = np.cumsum([len(house.supplies), len(house.wires), len(house.runs)])
        supply_a, wire_a, run_a, rest = np.split(mean, counts)
        wall = float(rest[3]) if house.supplies else None
        return Means(supply_a, wire_a, run_a, float(rest[0]), float(rest[1]), float(rest[2]), wall)

    def _quantities(self, part: Loads) -> np.ndarray:
        """(T, Q) what means are told of."""
        wall = wall_w(self.network, part) if self.network.house.supplies else np.zeros(len(part))
        return np.column_stack(
            [part.supply_a, np.abs(part.wire_a), part.run_a, part.run_a.sum(axis=1), part.dc_w,
             part.copper_w, wall]
        )  # fmt: skip

    def _sum(self, time_s: np.ndarray, values: np.ndarray) -> None:
        if self._weighed is None:
            self._weighed = self._plain = np.zeros(values.shape[1])
        self._plain = self._plain + values.sum(axis=0)
        before = [] if self._last is None else [self._last]
        times = np.array([*(at for at, _ in before), *time_s])
        steps = np.diff(times)
        rows = np.concatenate([*(row[None] for _, row in before), values])
        self._weighed = self._weighed + steps @ rows[:-1]
        self._held_s += float(steps.sum())
        self._steps.extend(steps[-_STEPS:].tolist())
        self._last = (float(times[-1]), rows[-1])


@dataclass(frozen=True, eq=False)
class Means:
    """Means over all frames, each as long as it stood."""

    supply_a: np.ndarray  # (S,)
    wire_a: np.ndarray  # (W,) without direction
    run_a: np.ndarray  # (R,)
    total_a: float
    dc_w: float
    copper_w: float
    wall_w: float | None


def _telling(network: Network, part: Loads) -> np.ndarray:
    """The frames, in order, in which anything told is largest or least; of equal ones the first."""
    runs = network.house.runs
    volts = sorted({run.kind.supply_v for run in runs})
    by_volts = [
        part.run_a[:, [r for r, run in enumerate(runs) if run.kind.supply_v == each]].sum(axis=1)
        for each in volts
    ]
    largest = [
        part.supply_a, -part.supply_a, np.abs(part.wire_a), np.abs(part.wire_minus_a), part.run_a,
        -part.run_v, -part.run_dim, part.run_a.sum(axis=1)[:, None].round(9),
        *(each[:, None].round(9) for each in by_volts),
    ]  # fmt: skip
    return np.unique(np.concatenate([each.argmax(axis=0) for each in largest]))
