"""`evenfall season HOUSE SEASON`: which scheme on which evening, hours, energy, cost."""

from __future__ import annotations

from datetime import datetime
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
    read_beside,
    say,
    stderr,
    will_write,
    write_out,
)

_FORMS = (".html", ".ics")


def season(
    house: HouseArgument,
    season: Annotated[Path, typer.Argument(metavar="SEASON", help="The season file.")],
    year: Annotated[
        int | None, typer.Option("--year", metavar="Y", help="Left out: this year.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write a calendar: .html or .ics.")
    ] = None,
    json: JsonFlag = False,
) -> None:
    """Plan a year: which scheme on which evening, hours, energy, cost; status 1 on danger."""
    will_write(out, endings=_FORMS, inputs=(house, season))
    announce_compiling()
    from layouts import EvenfallError, load_house
    from sim.report.blocks import Findings
    from sim.report.cautions import WIRING
    from sim.report.terminal import print_blocks
    from sim.season import bill, load_season, measure, plan, warned
    from sim.season.days import check_year

    lit_house = load_house(house)
    will_write(out, endings=_FORMS, inputs=read_beside(lit_house))
    which = datetime.now().year if year is None else year
    try:
        check_year(which)
    except EvenfallError as error:
        fail(f"--year: {error}")
    loaded = load_season(season, lit_house, year=which)
    named = [Path(scheme.file) for scheme in loaded.schemes.values()]
    will_write(out, endings=_FORMS, inputs=named)
    planned = plan(loaded, which)
    with progress("measuring the schemes") as report:
        measured = measure(lit_house, planned.season, report)
    planned, costs = warned(planned, measured), bill(planned, measured.watts)
    dangers = [finding for finding in planned.findings if finding.level == "danger"]
    if out is not None:
        if out.suffix.lower() == ".html":
            from sim.report.season_page import season_page

            data = season_page(lit_house.name, planned, costs, WIRING)
        else:
            from sim.report.season_ics import ics

            data = ics(lit_house.name, planned)
        write_out(out, data)
        say(f"wrote {out}")
    if json:
        from sim.report.season_data import as_json

        print_json(as_json(lit_house.name, planned, costs))
    elif out is not None:
        if dangers:
            print_blocks(stderr(), [Findings(tuple(dangers))])
    else:
        from sim.report.season_screen import season_blocks

        print_blocks(console(), season_blocks(lit_house.name, planned, costs, WIRING))
    if dangers:
        raise typer.Exit(DANGER)
