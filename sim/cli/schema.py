"""`evenfall schema house|scheme|season`: the JSON Schema of a file, for an editor to complete."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from sim.cli.common import print_json


class Format(StrEnum):
    """The files people write."""

    house = "house"
    scheme = "scheme"
    season = "season"


def schema(
    of: Annotated[Format, typer.Argument(metavar="house|scheme|season", help="Which file.")],
) -> None:
    """Print the JSON Schema of a house, scheme or season file."""
    if of is Format.house:
        from layouts import house_schema

        print_json(house_schema())
    elif of is Format.scheme:
        from effects import scheme_schema

        print_json(scheme_schema())
    else:
        from sim.season import season_schema

        print_json(season_schema())
