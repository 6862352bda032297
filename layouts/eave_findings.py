"""Runs that are drawn on the lower edge of a board, where two things could be meant."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from layouts.eaves import EDGE_M, mounting
from layouts.finding import Finding, Remedy
from layouts.records import House

_CLEAR_M = 0.02  # this far below the edge no doubt is left


def eave_findings(house: House) -> Iterator[Finding]:
    """Code `run-on-edge`: how far above the edge a run is drawn, and where it would be plain."""
    found = mounting(house)
    for run in house.runs:
        above_m, over = found.above_edge_m[run.pixels], found.over[run.pixels]
        if not (above_m > 0).any():
            continue
        most = int(above_m.argmax())
        board = house.drawing.surfaces[int(over[most])].name
        value = round(float(above_m[most]), 3)
        depth_m = float(np.median(found.depth_m[run.pixels][above_m > 0]))
        yield Finding(
            "note",
            "run-on-edge",
            run.name,
            value=value,
            limit=0.0,
            unit="m",
            remedies=(
                Remedy("move-down", run.name, round(value + _CLEAR_M, 3), "m"),
                Remedy("move-up", run.name, round(EDGE_M + _CLEAR_M - value, 3), "m"),
            ),
            detail={"board": board, "depth_m": depth_m, "edge_m": EDGE_M},
        )
