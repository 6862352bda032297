"""`evenfall parts HOUSE`: everything a wired house takes to build."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    HouseArgument,
    JsonFlag,
    PartsOption,
    console,
    print_json,
    read_beside,
    say,
    will_write,
    write_out,
)

if TYPE_CHECKING:
    from layouts.records import House
    from sim.parts import Parts


def parts(
    house: HouseArgument,
    parts: PartsOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write the list as a table.")
    ] = None,
    json: JsonFlag = False,
) -> None:
    """What to buy and how to cut it: reels, channel, wire, fuses, supplies, and the work."""
    will_write(csv, endings=(".csv",), inputs=(house, parts))
    from layouts import load_house
    from sim.parts import bill_of
    from sim.report.parts_data import as_csv, as_json

    built = load_house(house)
    will_write(csv, endings=(".csv",), inputs=read_beside(built))
    bill = bill_of(built, parts_for(built, parts))
    if csv is not None:
        write_out(csv, as_csv(bill).encode())
        say(f"wrote {csv}")
    if json:
        print_json(as_json(bill))
    else:
        from sim.report.parts_text import parts_blocks
        from sim.report.terminal import print_blocks

        print_blocks(console(), parts_blocks(bill))


def parts_for(house: House, path: Path | None) -> Parts:
    """The parts file named; else the one beside the house; else usual quantities, and prices from
    a price file."""
    from sim.parts import load_parts, parts_beside, with_pixel_prices
    from sim.report.prices import load_prices

    if path is not None:
        return load_parts(path, house)
    found = parts_beside(house)
    if found.file:
        return found
    prices = load_prices(house, house.kinds)
    if prices is None:
        return found
    return with_pixel_prices(found, prices.currency, prices.note, prices.per_pixel, house.kinds)
