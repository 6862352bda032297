"""`evenfall preview HOUSE [SCHEME]`: the window."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import (
    GroundOption,
    HouseArgument,
    announce_compiling,
    check_ground,
    fail,
    load,
    progress,
)

ScaleOption = Annotated[
    float | None,
    typer.Option("--scale", min=1.0, max=2.0, help="Size of text and controls, 1 to 2."),
]


def has_display() -> bool:
    """Whether a window can be shown: on Linux a display must be named, anywhere SDL not muted.

    SDL would otherwise draw into memory and wait for ever for somebody to close what nobody sees.
    """
    if os.environ.get("SDL_VIDEODRIVER") in ("dummy", "offscreen"):
        return False
    if sys.platform.startswith("linux"):
        return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return True


def preview(
    house: HouseArgument,
    scheme: Annotated[
        Path | None,
        typer.Argument(metavar="SCHEME", help="The scheme file; without it, choose by looking."),
    ] = None,
    capture: Annotated[
        Path | None,
        typer.Option(
            "--capture", metavar="FILE", help="A recorded show, its load beside the scheme's."
        ),
    ] = None,
    ground: GroundOption = None,
    scale: ScaleOption = None,
) -> None:
    """Show the house in a window: play, scrub, compare, edit."""
    from sim.compiling import share_compiling

    if has_display():
        share_compiling("screen")
    from layouts import load_house

    # what is wrong in a file is said here, before a window opens
    built = load_house(house) if scheme is None else load(house, scheme)[0]
    check_ground(ground)
    if not has_display():
        from sim.app.display import NO_DISPLAY

        fail(NO_DISPLAY)
    announce_compiling()
    from sim.app import run_window

    recorded = None
    if capture is not None:
        from sim.app.work.recorded_course import RecordedCourse

        with progress(f"playing {capture.name}") as told:
            recorded = RecordedCourse(built, capture, told)
    run_window(house, scheme, scale=scale, recorded=recorded, ground=ground)
