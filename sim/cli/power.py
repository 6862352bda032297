"""`evenfall power HOUSE SCHEME`: what a scheme asks of supplies, wires and fuses."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sim.cli.common import (
    COLDEST_C,
    DANGER,
    HOTTEST_C,
    AgeOption,
    HouseArgument,
    JsonFlag,
    RatesOption,
    SecondsOption,
    TemperatureOption,
    announce_compiling,
    console,
    fail,
    load_show,
    parse_time_s,
    print_json,
    progress,
    read_beside,
    say,
    will_write,
    write_out,
    writing,
)
from sim.cli.spread_options import SeedOption, SpreadOption, refuse_draws

DigitsOption = Annotated[
    int | None,
    typer.Option(
        "--digits", min=1, max=3, help="End once so many digits of every uncertainty hold."
    ),
]

if TYPE_CHECKING:
    import numpy as np

    from sim.circuit import Loads
    from sim.frame import Rig
    from sim.report.blocks import Block
    from sim.report.power import PowerReport
    from sim.upkeep.rates import Rates


def power(
    house: HouseArgument,
    scheme: Annotated[
        Path | None, typer.Argument(metavar="SCHEME", help="The scheme file; not for --capture.")
    ] = None,
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
    capture: Annotated[
        Path | None,
        typer.Option(
            "--capture", metavar="FILE", help="A recorded show, .pcap or .pcapng, for the scheme."
        ),
    ] = None,
    temperature: TemperatureOption = None,
    between: Annotated[
        tuple[float, float] | None,
        typer.Option(
            "--between", metavar="COLD HOT", help="Figures at both, in °C of the parts: -20 35."
        ),
    ] = None,
    age: AgeOption = None,
    rates: RatesOption = None,
    spread: SpreadOption = None,
    seed: SeedOption = 0,
    digits: DigitsOption = None,
    json: JsonFlag = False,
) -> None:
    """Amperes, volts, watts and fuses of a scheme; exit status 1 where something is dangerous."""
    if capture is not None:
        if any(each is not None for each in (temperature, between, age, rates)):
            fail("--capture is played at the house's own temperature and age: leave the rest out")
        if spread is not None:
            fail("--spread draws a scheme again and again: give a scheme instead of --capture")
        _recorded(house, scheme, at, seconds, csv, capture, json)
        return
    if scheme is None:
        fail("name a scheme file, or a recorded show with --capture FILE")
    from sim.report.power import power_report
    from sim.report.power_data import as_json, csv_lines
    from sim.report.power_text import power_blocks

    if spread is None and (seed or digits is not None):
        fail("--seed and --digits serve --spread; give it how many draws, 1000")
    if spread is not None:
        refuse_draws(spread, "power")
    will_write(csv, endings=(".csv",), inputs=(house, scheme))
    rig, show = load_show(house, scheme)
    will_write(csv, endings=(".csv",), inputs=read_beside(rig.house))
    known = _known(temperature, between, rates, age)
    now = rig if known is None or temperature is None else _at(rig, temperature, known)
    with progress(f"watching {show.scheme.name}") as report_progress:
        report = power_report(now, show, seconds=seconds, at_s=at, progress=report_progress)
    if spread is not None:
        report = _drawn(report, spread, seed, digits)
    data: dict[str, Any] = {}
    blocks: list[Block] = []
    if known is not None and (temperature is not None or between is not None):
        from sim.report.weather import at_temperature, weather_blocks, weather_json, weather_of
        from sim.report.weather_ends import with_ends

        weather = (
            [weather_of(rig, report, temperature, known)]
            if temperature is not None
            else [at_temperature(rig, show, each, known, seconds=seconds) for each in between or ()]
        )
        report = replace(report, findings=with_ends(report.findings, weather))
        data["temperatures"] = weather_json(weather)
        blocks += weather_blocks(weather)
    if known is not None and age is not None:
        from sim.report.years import after_years, years_blocks, years_json

        after = after_years(rig.house, age, known)
        data["age"] = years_json(after)
        blocks += years_blocks(after)
    if csv is not None:
        write_out(csv, ("\n".join(csv_lines(report)) + "\n").encode())
        say(f"wrote {csv}")
    if json:
        print_json(as_json(report) | data)
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), power_blocks(report, blocks))
    if any(found.level == "danger" for found in report.findings):
        raise typer.Exit(DANGER)


def _at(rig: Rig, temperature: float, known: Rates) -> Rig:
    """The rig with its parts at another temperature [°C]."""
    from sim.upkeep.weather import rig_at

    return rig_at(rig, temperature, known)


def _drawn(report: PowerReport, spread: int, seed: int, digits: int | None) -> PowerReport:
    """The report with what many draws of the parts say."""
    from sim.report.power_text import EVENING_H
    from sim.spread.study import study

    with progress(f"drawing the parts {spread} times") as report_progress:
        found = study(
            report.scan,
            report.ceiling,
            spread,
            seed=seed,
            digits=digits,
            lit_hours=EVENING_H,
            progress=report_progress,
        )
    return replace(report, study=found)


def _recorded(
    house_path: Path,
    scheme: Path | None,
    at: float | None,
    seconds: float | None,
    csv: Path | None,
    capture: Path,
    json: bool,
) -> None:
    """The same of a recorded show."""
    if scheme is not None or at is not None or seconds is not None:
        fail("--capture is the show: leave the scheme, --at and --seconds out")
    will_write(csv, endings=(".csv",), inputs=(house_path, capture))
    from layouts import load_house
    from sim.report.capture import capture_report
    from sim.report.capture_data import as_json
    from sim.report.capture_text import capture_blocks
    from sim.report.power_data import totals_head, totals_rows

    announce_compiling()
    house = load_house(house_path)
    will_write(csv, endings=(".csv",), inputs=read_beside(house))
    with progress(f"playing {capture.name}") as report_progress:
        if csv is None:
            report = capture_report(house, capture, progress=report_progress)
        else:
            with writing(csv) as file:
                file.write(f"{totals_head(house)}\n".encode())

                def write_rows(time_s: np.ndarray, part: Loads) -> None:
                    file.writelines(f"{row}\n".encode() for row in totals_rows(time_s, part))

                report = capture_report(house, capture, progress=report_progress, seen=write_rows)
    if csv is not None:
        say(f"wrote {csv}")
    if json:
        print_json(as_json(report))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), capture_blocks(report))
    if any(found.level == "danger" for found in report.findings):
        raise typer.Exit(DANGER)


def _known(
    temperature: float | None,
    between: tuple[float, float] | None,
    rates: Path | None,
    age: float | None,
) -> Rates | None:
    """The rates where something asks for them; refuses what makes no sense."""
    if temperature is not None and between is not None:
        fail("evenfall power: --temperature and --between both say how warm it is; give one")
    if between is not None and not COLDEST_C <= between[0] <= between[1] <= HOTTEST_C:
        fail(
            f"evenfall power: --between {between[0]:g} {between[1]:g} makes no sense; write the"
            f" coldest first, {COLDEST_C:g} to {HOTTEST_C:g} °C"
        )
    if temperature is None and between is None and age is None:
        if rates is not None:
            fail(
                "evenfall power: --rates serves --temperature, --between and --age; give one of"
                " them"
            )
        return None
    from sim.upkeep.rates import load_rates

    return load_rates(rates)
