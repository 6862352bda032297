"""`evenfall preview HOUSE SCHEME`: the window."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from sim.cli.common import HouseArgument, SchemeArgument, fail, load

NO_DISPLAY = (
    "no display here; make a picture instead: evenfall render HOUSE SCHEME --at 3s --out a.png, "
    "or see the demo: evenfall demo --out evenfall-demo"
)

ScaleOption = Annotated[
    float | None,
    typer.Option("--scale", min=1.0, max=2.0, help="Size of text and controls, 1 to 2."),
]


def has_display() -> bool:
    """Whether a window can be shown: on Linux a display must be named, anywhere SDL not muted."""
    if os.environ.get("SDL_VIDEODRIVER") in ("dummy", "offscreen"):
        return False
    if sys.platform.startswith("linux"):
        return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return True


def preview(house: HouseArgument, scheme: SchemeArgument, scale: ScaleOption = None) -> None:
    """Show the house in a window: play, scrub, compare, edit."""
    load(house, scheme)  # what is wrong in a file is said here, before a window opens
    if not has_display():
        fail(NO_DISPLAY)
    from sim.app import run_window

    run_window(house, scheme, scale=scale)
