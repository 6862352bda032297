"""`evenfall new DIR`: a commented starter house and scheme, ready to be changed."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import console


def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to write into.")],
) -> None:
    """Write a commented starter house and scheme; never overwrites a file."""
    from layouts import write_starter

    written = write_starter(folder)
    out = console()
    for path in written:
        out.print(str(path), soft_wrap=True)
    house = next(path for path in written if path.name == "house.yaml")
    scheme = next(path for path in written if path != house)
    command = shlex.join(["evenfall", "preview", str(house), str(scheme)])
    out.print(f"Next: {command}", soft_wrap=True)
