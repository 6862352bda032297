"""`evenfall schema WHICH`: the JSON Schema of a file people write, for an editor to complete."""

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
    prices = "prices"
    parts = "parts"
    faults = "faults"
    sightings = "sightings"
    readings = "readings"


def schema(
    of: Annotated[
        Format,
        typer.Argument(metavar="FORMAT", show_choices=False, help=f"One of: {', '.join(Format)}."),
    ],
) -> None:
    """Print the JSON Schema of a house, scheme, season, price, parts or other file."""
    if of is Format.house:
        from layouts import house_schema

        print_json(house_schema())
    elif of is Format.scheme:
        from effects import scheme_schema

        print_json(scheme_schema())
    elif of is Format.season:
        from sim.season import season_schema

        print_json(season_schema())
    elif of is Format.faults:
        from layouts.faults import faults_schema

        print_json(faults_schema())
    elif of is Format.sightings:
        from layouts.sightings import sightings_schema

        print_json(sightings_schema())
    elif of is Format.parts:
        from sim.parts import parts_schema

        print_json(parts_schema())
    elif of is Format.readings:
        from sim.upkeep.readings import readings_schema

        print_json(readings_schema())
    else:
        from sim.report.prices import prices_schema

        print_json(prices_schema())
