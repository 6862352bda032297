"""`evenfall diagnose HOUSE SIGHTINGS`: what is broken, and what to look at next."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    HouseArgument,
    JsonFlag,
    SizeOption,
    announce_compiling,
    console,
    print_json,
    read_beside,
    say,
    will_write,
    write_out,
)

if TYPE_CHECKING:
    from layouts.records import House
    from sim.upkeep.diagnosis import Case, Priors


def diagnose(
    house: HouseArgument,
    sightings: Annotated[
        Path, typer.Argument(metavar="SIGHTINGS", help="What was seen and measured.")
    ],
    priors: Annotated[
        Path | None,
        typer.Option("--priors", metavar="FILE", help="How often what breaks, where it differs."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="A picture of what was seen, .png"),
    ] = None,
    size: SizeOption = None,
    json: JsonFlag = False,
) -> None:
    """Causes by probability from what was seen, the next test worth making, and the repair."""
    will_write(out, endings=(".png",), inputs=(house, sightings, *filter(None, [priors])))
    announce_compiling()
    from layouts import load_house
    from layouts.sightings import load_sightings
    from sim.report.diagnosis import as_json, diagnosis_blocks
    from sim.upkeep.diagnosis import diagnose as found_in
    from sim.upkeep.diagnosis import load_priors

    read = load_house(house)
    will_write(out, endings=(".png",), inputs=read_beside(read))
    seen = load_sightings(sightings, read)
    beside = [seen.scheme] if seen.scheme is not None else []
    will_write(out, endings=(".png",), inputs=beside)
    assumed = load_priors(priors)
    found = found_in(_case(read, seen.scheme, assumed), seen.seen)
    if out is not None:
        from sim.light.photo_shape import USUAL_PX, usual_size
        from sim.report.diagnosis_picture import diagnosis_png

        if size is None:
            size = usual_size(read)
            size = size if size[0] > size[1] else USUAL_PX  # causes need room beside the house
        write_out(out, diagnosis_png(found, read, size))
        say(f"wrote {out}")
    if json:
        print_json(as_json(found, read, assumed.source))
    else:
        from sim.report.terminal import print_blocks

        print_blocks(console(), diagnosis_blocks(found, read, assumed.source))


def _case(house: House, scheme: Path | None, priors: Priors) -> Case:
    from sim.upkeep.diagnosis import case

    if scheme is None:
        from sim.frame import rig

        return case(rig(house), priors)
    from effects import bind, load_scheme
    from sim.frame import rig_for
    from sim.upkeep.diagnosis.shown import shown

    read = load_scheme(scheme, house)
    made = rig_for(house, read)
    return case(made, priors, shown(made, bind(house, read)))
