"""`evenfall draw HOUSE`: the window with its drawing tools open."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import HouseArgument, announce_compiling, fail, load
from sim.cli.preview import ScaleOption, has_display

SchemeOption = Annotated[
    Path | None,
    typer.Option("--scheme", help="What the runs show; without it, a scheme beside the house."),
]


def draw(house: HouseArgument, scheme: SchemeOption = None, scale: ScaleOption = None) -> None:
    """Draw on the house in a window: runs, surfaces, supplies, feeds; by mouse or by keys."""
    # what is wrong in a file is said here, before a window opens
    if scheme is None:
        from layouts import load_house

        load_house(house)
    else:
        load(house, scheme)
    if not has_display():
        from sim.app.display import NO_DISPLAY

        fail(NO_DISPLAY)
    announce_compiling()
    from sim.app import run_window

    run_window(house, scheme, scale=scale, drawing=True)
