"""How sure the curve is: the quick bands of its peaks, worked out once the ceiling is known.

A thread of its own with low priority, so that no curve waits for it; nothing waits for this either.
"""

from __future__ import annotations

from collections.abc import Iterator

from layouts.errors import EvenfallError
from sim.app.state.ribbon import PeakBand
from sim.app.work.kept_loads import KeptLoads
from sim.app.work.load_keys import Family, LoadKey
from sim.app.work.worker import Alive, Worker
from sim.scan import Scan
from sim.spread.quick import quick_bands


class PeakBands:
    """Works out the band of the family on show, one after another."""

    def __init__(self, kept: KeptLoads) -> None:
        self._kept = kept
        self._worker = Worker("bands", low=True)
        self._asked: Family | None = None

    @property
    def idle(self) -> bool:
        """Whether nothing is being worked out."""
        return self._worker.idle

    def follow(self, key: LoadKey) -> list[Exception]:
        """Have the band of a curve worked out, where all it needs is known; what failed since."""
        failed = [each for each in self._worker.drain() if isinstance(each, Exception)]
        ceiling, family = self._kept.ceiling(key.family), key.family
        if family == self._asked or ceiling is None or ceiling.band is not None:
            return failed
        watched = self._kept.watched(key)
        if watched is not None:
            self._asked = family
            self._worker.submit(lambda alive: self._work(watched.scan, family, alive))
        return failed

    def close(self) -> bool:
        """End the thread; whether it ended at once."""
        return self._worker.close()

    def _work(self, seen: Scan, family: Family, alive: Alive) -> Iterator[None]:
        if alive():
            self._kept.keep_band(family, peak_band(seen))
        yield from ()


def peak_band(seen: Scan) -> PeakBand | None:
    """The band of the peaks as shares of them; None where parts a little off do not work."""
    try:
        found = quick_bands(seen, None)
    except EvenfallError:
        return None
    whole = float(seen.loads.run_a.sum(axis=1).max())
    peaks = [use.peak_a for use in seen.supplies]
    return PeakBand(
        _share(found.peak_a, whole),
        tuple(
            _share((low, high), peak)
            for (low, high), peak in zip(found.supply_peak_a.tolist(), peaks, strict=True)
        ),
    )


def _share(pair: tuple[float, float], of: float) -> tuple[float, float]:
    return (pair[0] / of, pair[1] / of) if of > 0 else (1.0, 1.0)
