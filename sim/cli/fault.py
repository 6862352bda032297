"""`evenfall fault HOUSE SCHEME FAULTS`: the house with that broken."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import (
    DANGER,
    HouseArgument,
    JsonFlag,
    SchemeArgument,
    SizeOption,
    console,
    fail,
    load_show,
    parse_time_s,
    print_json,
    read_beside,
    say,
    will_write,
    write_out,
)


def fault(
    house: HouseArgument,
    scheme: SchemeArgument,
    faults: Annotated[Path, typer.Argument(metavar="FAULTS", help="What is broken.")],
    at: Annotated[
        float, typer.Option("--at", parser=parse_time_s, metavar="TIME", help="When, e.g. 3s.")
    ] = 0.0,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="A picture of it, .png")
    ] = None,
    size: SizeOption = None,
    beside: Annotated[
        bool, typer.Option("--beside", help="The sound house beside it, at one exposure.")
    ] = False,
    json: JsonFlag = False,
) -> None:
    """The house with something broken: what is dark, volts, load; exit status 1 on danger."""
    if beside and out is None:
        fail("--beside is of the picture; name it with --out FILE.png")
    will_write(out, endings=(".png",), inputs=(house, scheme, faults))
    rig, show = load_show(house, scheme)
    will_write(out, endings=(".png",), inputs=read_beside(rig.house))
    from layouts.faults import load_faults
    from sim.report.fault import as_json, fault_blocks, fault_report

    report = fault_report(rig, show, load_faults(faults, rig.house), at_s=at)
    if out is not None:
        from sim.frame import scene
        from sim.light import picture
        from sim.light.photo_shape import usual_size
        from sim.pictures import Picture

        lit = scene(rig.house, usual_size(rig.house) if size is None else size)
        drawn = picture(lit, report.frame.light[0])
        if beside:
            from sim.report.fault import words_below
            from sim.report.pair_sheet import pair_sheet

            sound = picture(lit, report.sound.light[0])
            said = f"one exposure, {lit.exposure_ev:+.1f} EV"
            write_out(out, pair_sheet((sound, drawn), words_below(report), said))
        else:
            write_out(out, Picture(drawn).png())
        say(f"wrote {out}")
    if json:
        print_json(as_json(report))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), fault_blocks(report))
    if any(found.level == "danger" for found in report.findings):
        raise typer.Exit(DANGER)
