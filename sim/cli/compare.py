"""`evenfall compare`: the same scheme on several kinds of pixel."""

from __future__ import annotations

from dataclasses import replace
from itertools import zip_longest
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand

from sim.cli.common import (
    AgeOption,
    HouseArgument,
    JsonFlag,
    RatesOption,
    SchemeArgument,
    SecondsOption,
    TemperatureOption,
    announce_compiling,
    console,
    fail,
    load,
    parse_size_px,
    parse_time_s,
    print_json,
    progress,
    read_beside,
    say,
    will_write,
    write_out,
)
from sim.cli.spread_options import SeedOption, SpreadOption, refuse_draws

_NO_KIND = (
    "--kinds names no kind; write one or more behind it, as in '--kinds ws2812b ws2815'; 'evenfall"
    " list kinds' names them all"
)


def _is_kind(text: str | None) -> bool:
    """Whether it may name a kind: a word that is neither a flag nor a file."""
    if not text or text.startswith("-"):
        return False
    return Path(text).suffix not in (".yaml", ".yml")


class SeveralKinds(TyperCommand):
    """Lets `--kinds` take all the names that follow it."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Write `--kinds A B` as `--kinds A --kinds B`, up to a flag or a file."""
        spelled: list[str] = []
        taking = False
        for text, behind in zip_longest(args, args[1:]):
            if text == "--kinds":
                if not _is_kind(behind):
                    raise typer.BadParameter(_NO_KIND, ctx)
                taking = True
            elif taking and _is_kind(text):
                spelled += ["--kinds", text]
            else:
                taking = False
                spelled.append(text)
        return super().parse_args(ctx, spelled)


def compare(
    house: HouseArgument,
    scheme: SchemeArgument,
    kinds: Annotated[
        list[str],
        typer.Option("--kinds", metavar="KIND KIND…", help="Two kinds or more, side by side."),
    ],
    out: Annotated[
        Path | None, typer.Option("--out", help="Write the picture, both at the same exposure.")
    ] = None,
    at: Annotated[
        float | None,
        typer.Option(
            "--at",
            parser=parse_time_s,
            metavar="TIME",
            help="The instant in the picture; left out: the brightest.",
        ),
    ] = None,
    size: Annotated[
        str, typer.Option(metavar="WxH", help="Size of each house in pixels.")
    ] = "960x640",
    hour: Annotated[str, typer.Option(help="Hour of the night: dusk, evening, late.")] = "late",
    seconds: SecondsOption = None,
    temperature: TemperatureOption = None,
    age: AgeOption = None,
    rates: RatesOption = None,
    spread: SpreadOption = None,
    seed: SeedOption = 0,
    as_json: JsonFlag = False,
) -> None:
    """The same scheme on several kinds: light, current, white, materials, price.

    Every kind gets the same metres of the same runs, the same wires and the same exposure. A
    difference smaller than what parts differ by anyway is called none.
    """
    from layouts.files.names import did_you_mean
    from sim.light.night import HOURS

    will_write(out, endings=(".png",), inputs=(house, scheme))
    size_px = parse_size_px(size)
    if hour not in HOURS:
        raise typer.BadParameter(f"unknown hour '{hour}'; {did_you_mean(hour, HOURS)}")
    announce_compiling()
    from sim.report.compare import chosen
    from sim.report.compare import compare as compared
    from sim.report.compare_json import comparison_json
    from sim.report.compare_text import comparison_blocks
    from sim.report.compare_years import after_years, at_temperature, then_blocks, then_json
    from sim.report.prices import load_prices
    from sim.report.terminal import print_blocks
    from sim.upkeep.rates import load_rates

    if rates is not None and temperature is None and age is None:
        fail("evenfall compare: --rates serves --temperature and --age; give one of them")
    if spread is None and seed:
        fail("evenfall compare: --seed serves --spread; give it how many draws, 1000")
    if spread is not None:
        refuse_draws(spread, "compare")
    known = load_rates(rates)
    the_house, the_scheme = load(house, scheme)
    will_write(out, endings=(".png",), inputs=read_beside(the_house))
    picked = chosen(kinds, the_house.kinds)
    prices = load_prices(the_house, the_house.kinds)
    with progress("comparing") as report:
        comparison = compared(
            the_house, the_scheme, picked, prices=prices, seconds=seconds, progress=report
        )
    if spread is not None:
        from sim.report.compare_spread import compared_spread

        with progress(f"drawing the parts {spread} times") as report:
            found = compared_spread(comparison.kinds, spread, seed=seed, progress=report)
        comparison = replace(comparison, drawn=found)
    cold = None if temperature is None else at_temperature(comparison, temperature, known)
    old = None if age is None else after_years(comparison, age, known)
    if out is not None:
        from sim.report.compare_picture import comparison_png

        write_out(out, comparison_png(comparison, size_px=size_px, at_s=at, hour=hour))
        say(f"wrote {out}")
    if as_json:
        data = comparison_json(comparison)
        if cold is not None:
            data["temperature"] = {"celsius": temperature, "kinds": then_json(cold)}
        if old is not None:
            data["age"] = {"years": age, "kinds": then_json(old)}
        print_json(data)
        return
    more = [
        *(then_blocks(f"At {temperature:g} °C", cold) if cold is not None else ()),
        *(then_blocks(f"After {age:g} years", old) if old is not None else ()),
    ]
    print_blocks(console(), comparison_blocks(comparison, more))
