"""`evenfall frames HOUSE SCHEME`: the codes that go down the wire, as a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    HouseArgument,
    SchemeArgument,
    SecondsOption,
    fail,
    load_show,
    progress,
    read_beside,
    say,
    will_write,
    writing,
)

if TYPE_CHECKING:
    from sim.data.patch import HousePatch

ENDINGS = (".npz", ".csv", ".pcap")


def frames(
    house: HouseArgument,
    scheme: SchemeArgument,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help=".npz arrays, .csv table, .pcap packets")
    ],
    seconds: SecondsOption = None,
) -> None:
    """The codes of every frame in each output's channel order; .pcap as E1.31 packets."""
    will_write(out, endings=ENDINGS, inputs=(house, scheme))
    rig, show = load_show(house, scheme)
    will_write(out, endings=ENDINGS, inputs=read_beside(rig.house))
    from effects.course import frame_count, span_s
    from sim.data.frames import pcap_blocks
    from sim.data.patch import patch_of, refreshes
    from sim.report.frames import csv_blocks, write_arrays

    if not rig.house.outputs:
        fail(f"{house}: no outputs, so nothing is sent; add outputs with their chains")
    patch = patch_of(rig.house)
    count = frame_count(span_s(show) if seconds is None else seconds, show.fps)
    suffix = out.suffix.lower()
    if suffix == ".pcap":
        needs_universes(house, patch)
    with progress(f"writing {out.name}") as report, writing(out) as file:
        if suffix == ".npz":
            write_arrays(file, patch, rig, show, count, report)
        elif suffix == ".csv":
            for block in csv_blocks(rig, show, count, report):
                file.write(block)
        else:
            for number, block in enumerate(pcap_blocks(patch, rig, show, count)):
                file.write(block)
                report(number, 1 + count * len(rig.house.pixels) / (1 << 17))
    say(f"wrote {out}: {count} frames at {show.fps:g} fps")
    for each in refreshes(rig.house):
        late = "; it leaves frames out" if show.fps > each.most_hz else ""
        say(f"output {each.output}: at most {each.most_hz:.1f} Hz{late}")


def needs_universes(house: Path, patch: HousePatch) -> None:
    """Refuse a house of which no pixel has a universe; tell how many have none."""
    if not patch.universes:
        fail(f"{house}: no output has a universe; give the outputs one, such as universe: 1")
    if patch.unaddressed:
        say(f"{patch.unaddressed} pixels have no universe and are left out")
