"""`evenfall check HOUSE [SCHEME…]`: is everything in order?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    DANGER,
    HouseArgument,
    JsonFlag,
    SecondsOption,
    announce_compiling,
    console,
    print_json,
    progress,
)

if TYPE_CHECKING:
    from effects import Scheme
    from layouts.records import House


def check(
    house: HouseArgument,
    schemes: Annotated[
        list[Path] | None, typer.Argument(metavar="SCHEME...", help="Scheme files.")
    ] = None,
    seconds: SecondsOption = None,
    noise: Annotated[
        bool, typer.Option("--noise", help="Noise on feeds and data, and what a surge does.")
    ] = False,
    light: Annotated[
        bool, typer.Option("--light", help="How evenly each run lights its wall: min/max.")
    ] = False,
    json: JsonFlag = False,
) -> None:
    """Validate files and print findings; exit status 1 where something is dangerous."""
    from sim.report.check import as_json, check_blocks, check_report

    announce_compiling()
    read_house, read_schemes = _load(house, schemes or [])
    with progress(f"checking {read_house.name}") as report_progress:
        report = check_report(
            read_house,
            read_schemes,
            seconds=seconds,
            noisy=noise,
            lit=light,
            progress=report_progress,
        )
    if json:
        print_json(as_json(report))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), check_blocks(report))
    if any(found.level == "danger" for found in report.all):
        raise typer.Exit(DANGER)


def _load(house_path: Path, scheme_paths: list[Path]) -> tuple[House, list[Scheme]]:
    """The house and every scheme; raises InputError with the problems of all schemes."""
    from effects import load_scheme
    from layouts import InputError, Problem, load_house

    house = load_house(house_path)
    schemes: list[Scheme] = []
    problems: list[Problem] = []
    for path in scheme_paths:
        try:
            schemes.append(load_scheme(path, house))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return house, schemes
