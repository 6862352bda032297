"""`evenfall repair HOUSE --cut-out "gable[0]"`: a pixel taken out, everything else kept."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from sim.cli.common import (
    HouseArgument,
    JsonFlag,
    PartsOption,
    console,
    fail,
    print_json,
    say,
    will_write,
)


def repair(
    house: HouseArgument,
    cut_out: Annotated[
        list[str] | None,
        typer.Option("--cut-out", metavar="PIXEL", help="e.g. 'gable[0]'; may be given again."),
    ] = None,
    replace: Annotated[
        list[str] | None,
        typer.Option("--replace", metavar="PIXEL", help="Exchanged; may be given again."),
    ] = None,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DATE", help="For the history; left out: today.")
    ] = None,
    parts: PartsOption = None,
    write: Annotated[
        bool, typer.Option("--write", help="Put it into the house file, with its history.")
    ] = False,
    json: JsonFlag = False,
) -> None:
    """How a pixel is cut out or replaced: steps, parts, which addresses move."""
    if not cut_out and not replace:
        fail("nothing to do: give --cut-out 'gable[0]' or --replace 'gable[3]'")
    when = _date(on)
    if write:
        will_write(house, endings=(".yaml", ".yml"))
    from layouts import load_house
    from layouts.files.writeback import digest_of
    from sim.cli.parts import parts_for
    from sim.report.repair_text import as_json, repair_blocks
    from sim.upkeep.repair import repair_of, write_repair
    from sim.upkeep.repair_bill import repair_bill

    read = digest_of(house)
    built = load_house(house)
    bought = parts_for(built, parts)
    made = repair_of(built, cut_out=cut_out or (), replace=replace or (), date=when)
    bill = repair_bill(made, bought)
    if write:
        write_repair(made, house, expected=read)
        say(f"wrote {house}; what it was is beside it as .{house.name}.bak")
    if json:
        print_json(as_json(made, bill, str(house) if write else None))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), repair_blocks(made, bill))


def _date(text: str | None) -> str:
    if text is None:
        return date.today().isoformat()
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        fail(f"--on {text}: no date; write it like 2026-12-24")
