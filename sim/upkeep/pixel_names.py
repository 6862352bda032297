"""Sets of pixels as a house file names them."""

from __future__ import annotations

import numpy as np

from layouts.records import House


def stretches(house: House, chosen: np.ndarray) -> tuple[str, ...]:
    """The pixels `chosen` (N,) bool: `gable` where it is the whole run, else `gable[75:389]`."""
    found = []
    for run in house.runs:
        mine = chosen[run.pixels]
        if mine[run.has_pixel].all():
            found.append(run.name)
            continue
        step = np.diff(np.concatenate([[False], mine, [False]]).astype(np.int8))
        for first, last in zip(
            np.flatnonzero(step == 1).tolist(), np.flatnonzero(step == -1).tolist(), strict=True
        ):
            part = f"{first}" if last == first + 1 else f"{first}:{last}"
            found.append(f"{run.name}[{part}]")
    return tuple(found)
