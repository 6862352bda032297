"""A recorded show as a second curve of the ribbon: its load, laid along the scheme's time."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from layouts.records import House
from sim.app.state.record import Facts
from sim.app.state.ribbon import RecordedLoad
from sim.circuit import Loads
from sim.report.capture import capture_report
from sim.scan import Progress


class RecordedCourse:
    """The total of every frame of a capture, F frames; sixteen octets a frame are kept."""

    def __init__(self, house: House, path: Path, progress: Progress | None = None):
        """Play the capture; raises as `capture_report` does."""
        self._fed = bool(house.supplies)
        times: list[np.ndarray] = []
        totals: list[np.ndarray] = []

        def seen(time_s: np.ndarray, part: Loads) -> None:
            times.append(time_s)
            totals.append((part.supply_a if self._fed else part.run_a).sum(axis=1))

        report = capture_report(house, path, progress=progress, seen=seen)
        self.time_s = np.concatenate(times)  # (F,) [s] from the first data packet on
        self.total_a = np.concatenate(totals)  # (F,) [A], each held until the next
        self.end_s = float(self.time_s[-1]) + report.last_hold_s
        self._names = tuple(supply.name for supply in house.supplies)
        self._rated_a = np.array([supply.rated_a for supply in house.supplies])
        self._of: tuple[float, int] | None = None
        self._load: RecordedLoad | None = None

    def load(self, facts: Facts) -> RecordedLoad:
        """The curve for a scheme's frames: in each the most that was recorded while it stands."""
        key = (facts.fps, facts.frames)
        if self._load is None or key != self._of:
            self._of, self._load = key, self._along(*key)
        return self._load

    def _along(self, fps: float, frames: int) -> RecordedLoad:
        begin_s = np.arange(frames) / fps
        first = np.maximum(np.searchsorted(self.time_s, begin_s, side="right") - 1, 0)
        last = np.maximum(np.searchsorted(self.time_s, begin_s + 1 / fps, side="left"), first + 1)
        total = np.array([self.total_a[a:b].max() for a, b in zip(first, last, strict=True)])
        total[begin_s > self.end_s] = np.nan
        at = int(self.total_a.round(9).argmax())
        return RecordedLoad(
            total,
            np.full((frames, len(self._names)), np.nan),
            np.full(frames, np.nan),
            "",
            self._rated_a,
            self._names,
            fps,
            (float(self.total_a[at]), float(self.time_s[at])),
        )
