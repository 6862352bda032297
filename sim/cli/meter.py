"""`evenfall meter HOUSE READINGS`: what a meter at the wall says of pixels and supplies."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import (
    DANGER,
    HouseArgument,
    JsonFlag,
    announce_compiling,
    console,
    fail,
    print_json,
    progress,
    say,
    will_write,
)


def meter(
    house: HouseArgument,
    readings: Annotated[Path, typer.Argument(metavar="READINGS", help="The readings file.")],
    write: Annotated[
        bool, typer.Option("--write", help="Keep it in the house file, under 'calibration'.")
    ] = False,
    json: JsonFlag = False,
) -> None:
    """Currents, idle and supply as a plug-in meter finds them; exit 1 where the law is another."""
    if write:
        will_write(house, endings=(".yaml", ".yml"))
    announce_compiling()
    from layouts import load_house
    from layouts.files.writeback import digest_of
    from sim.report.meter import as_json, meter_blocks, meter_report
    from sim.upkeep.readings import load_readings

    read_from = digest_of(house)
    measured = load_house(house)
    with progress(f"fitting {readings.name}") as told:
        told(0, 1)
        report = meter_report(measured, load_readings(readings, measured))
    if json:
        print_json(as_json(report))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), meter_blocks(report))
    if any(found.level == "danger" for found in report.findings):
        if write:
            say(f"{house}: nothing was written: the readings do not fit its pixels")
        raise typer.Exit(DANGER)
    if not write:
        return
    if not report.can_write:
        fail(f"{house}: nothing was written: the readings are too few to find anything")
    from sim.upkeep.meter_write import write_calibration

    write_calibration(report.house, house, expected=read_from)
    say(f"wrote {house}")
