"""`evenfall patch HOUSE`: which pixel is at which output, universe, slot and place."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import (
    HouseArgument,
    JsonFlag,
    console,
    print_json,
    read_beside,
    say,
    will_write,
    write_out,
)


def patch(
    house: HouseArgument,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write a line a pixel.")
    ] = None,
    json: JsonFlag = False,
) -> None:
    """Output, universe, slot and place of every pixel, and each output's refresh rate."""
    will_write(csv, endings=(".csv",), inputs=(house,))
    from layouts import load_house
    from sim.data.patch import patch_of
    from sim.report.patch import as_json, csv_lines, patch_blocks

    built = load_house(house)
    will_write(csv, endings=(".csv",), inputs=read_beside(built))
    found = patch_of(built)
    if csv is not None:
        write_out(csv, "".join(csv_lines(found)).encode())
        say(f"wrote {csv}")
    if json:
        print_json(as_json(found))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), patch_blocks(found))
