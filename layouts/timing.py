"""How long a frame takes on the data line."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.records import Run


def frame_time_s(chain: Sequence[Run]) -> float:
    """Seconds for one frame of the runs on one output: Σ bits · bit time + the longest reset.

    As the data sheets time it: 300 pixels of 24 bits at 1.25 µs and 50 µs reset take 9.05 ms.
    """
    bits_us = sum(run.count * run.kind.bits * run.kind.bit_us for run in chain)
    return (bits_us + max(run.kind.reset_us for run in chain)) * 1e-6
