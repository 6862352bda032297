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
            on_edge_text(run.name, board, value, depth_m),
            value=value,
            limit=0.0,
            unit="m",
            remedies=(
                Remedy("move-down", run.name, round(value + _CLEAR_M, 3), "m"),
                Remedy("move-up", run.name, round(EDGE_M + _CLEAR_M - value, 3), "m"),
            ),
        )


def on_edge_text(run: str, board: str, above_m: float, depth_m: float) -> str:
    """The sentence of `run-on-edge`."""
    return (
        f"run {run} is drawn {100 * above_m:.1f} cm above the lower edge of {board} and faces away"
        f" from it; it is taken to hang under it, {depth_m:.2f} m before the drawing's depth 0, so"
        f" that no light falls on {board}; draw it below the edge to say so, or more than"
        f" {100 * EDGE_M:.0f} cm above it if it is fixed to its face"
    )
