"""`evenfall list …`: what there is to choose from, with where every figure comes from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from sim.cli.common import JsonFlag, console, fail, print_json, say, will_write, write_out


class ListName(StrEnum):
    """The lists there are."""

    kinds = "kinds"
    effects = "effects"
    palettes = "palettes"
    materials = "materials"
    wires = "wires"
    profiles = "profiles"


def list_(
    what: Annotated[
        ListName,
        typer.Argument(metavar="LIST", show_choices=False, help=f"One of: {', '.join(ListName)}."),
    ],
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="One of them, in full.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE.png", help="Palettes: a picture of them.")
    ] = None,
    json: JsonFlag = False,
) -> None:
    """List kinds of pixels, effects, palettes, materials, wires or profiles, with sources."""
    if out is not None and what is not ListName.palettes:
        fail(f"--out: {what} have no picture; only palettes have")
    will_write(out, endings=(".png",))
    things = _things(what)
    if name is not None:
        if name not in things:
            from layouts.files.names import did_you_mean

            fail(f"no {name!r} among the {what}; {did_you_mean(name, things)}")
        things = {name: things[name]}
    if out is not None:
        from sim.report.palette_sheet import palette_sheet_png

        write_out(out, palette_sheet_png(list(things.values())))
    if json:
        from sim.report.listing import as_json

        print_json({str(what): [as_json(thing) for thing in things.values()]})
        return
    if out is not None:
        return
    from sim.report.listing import list_blocks, row_blocks
    from sim.report.terminal import print_blocks

    if what is ListName.effects:
        _tell_faulty()
    print_blocks(console(), list_blocks(what, things) if name is None else row_blocks(things[name]))


def _tell_faulty() -> None:
    """Say on stderr which effects of installed packages cannot be used, and why."""
    from effects.registry import faulty

    for reason in faulty().values():
        say(reason)


def _things(what: ListName) -> Mapping[str, Any]:
    import effects
    import layouts

    tables: Mapping[ListName, Callable[[], Mapping[str, Any]]] = {
        ListName.kinds: layouts.kinds,
        ListName.effects: effects.effects,
        ListName.palettes: effects.palettes,
        ListName.materials: layouts.materials,
        ListName.wires: layouts.wire_sizes,
        ListName.profiles: layouts.profiles,
    }
    return tables[what]()
