"""`evenfall power HOUSE SCHEME`: what a scheme asks of supplies, wires and fuses."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import (
    DANGER,
    HouseArgument,
    JsonFlag,
    SchemeArgument,
    SecondsOption,
    console,
    load_show,
    parse_time_s,
    print_json,
    progress,
    read_beside,
    say,
    will_write,
    write_out,
)


def power(
    house: HouseArgument,
    scheme: SchemeArgument,
    at: Annotated[
        float | None,
        typer.Option(
            "--at", parser=parse_time_s, metavar="TIME", help="Every pixel at that time, e.g. 3s."
        ),
    ] = None,
    seconds: SecondsOption = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write the totals of every frame.")
    ] = None,
    json: JsonFlag = False,
) -> None:
    """Amperes, volts, watts and fuses of a scheme; exit status 1 where something is dangerous."""
    from sim.report.power import power_report
    from sim.report.power_data import as_json, csv_lines
    from sim.report.power_text import power_blocks

    will_write(csv, endings=(".csv",), inputs=(house, scheme))
    rig, show = load_show(house, scheme)
    will_write(csv, endings=(".csv",), inputs=read_beside(rig.house))
    with progress(f"watching {show.scheme.name}") as report_progress:
        report = power_report(rig, show, seconds=seconds, at_s=at, progress=report_progress)
    if csv is not None:
        write_out(csv, ("\n".join(csv_lines(report)) + "\n").encode())
        say(f"wrote {csv}")
    if json:
        print_json(as_json(report))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), power_blocks(report))
    if any(found.level == "danger" for found in report.findings):
        raise typer.Exit(DANGER)
