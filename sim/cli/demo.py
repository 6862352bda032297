"""`evenfall demo`: the demo house in the window; with no display, its pictures and its report."""

from __future__ import annotations

import io
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    announce_compiling,
    console,
    fail,
    load_show,
    progress,
    say,
    will_write,
    write_out,
)
from sim.cli.demo_files import demo_houses, schemes_of
from sim.cli.preview import ScaleOption, has_display

if TYPE_CHECKING:
    import numpy as np

#: What the window opens and the report is about.
HOUSE, SCHEME = "cottage", "christmas"
#: When the pictures are taken [s]: late enough for every effect to have spread.
AT_S = 4.0
REPORT = f"{HOUSE}-{SCHEME}-power.txt"
SIZE_PX = (1280, 720)


def demo(
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Write pictures and a report there, no window."),
    ] = None,
    scale: ScaleOption = None,
) -> None:
    """See the demo house: in a window, or as pictures and a report where there is no display."""
    houses = {path.parent.name: path for path in demo_houses()}
    shown = houses[HOUSE]
    if out is None and has_display():
        from sim.app import run_window

        run_window(shown, _scheme(shown), scale=scale)
        return
    if out is None:
        out = Path("evenfall-demo")
        say(f"no display here: writing pictures and a power report into {out}/ instead")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        fail(f"{out}: cannot be made: {error.strerror or error}")
    read = [file for house in houses.values() for file in (house, *schemes_of(house))]
    names = [_name(file) for file in read if file not in houses.values()]
    for name in (*names, REPORT):
        will_write(out / name, endings=(".png", ".txt"), inputs=read)
    from sim.compiling import share_compiling

    announce_compiling()
    share_compiling("file")
    made = 0
    total = sum(len(schemes_of(house)) for house in houses.values())
    with progress("lighting the demo houses") as report:
        for house in houses.values():
            for name, data in _pictures(house):
                write_out(out / name, data)
                made += 1
                report(made, total)
    write_out(out / REPORT, _power_report(shown).encode())
    said = console()
    said.print(f"{made} pictures and {REPORT} are in {out}/", soft_wrap=True)
    command = shlex.join(["evenfall", "power", str(shown), str(_scheme(shown))])
    said.print(f"Next: {command}", soft_wrap=True)


def _scheme(house: Path) -> Path:
    from layouts.file_names import SCHEME_ENDING

    return house.parent / f"{SCHEME}{SCHEME_ENDING}"


def _pictures(house_path: Path) -> Iterator[tuple[str, bytes]]:
    """A name and a PNG for every scheme of a house; the house is drawn once."""
    from effects import bind, load_scheme
    from layouts import load_house
    from sim.frame import frame, rig_for, scene
    from sim.light import picture

    house = load_house(house_path)
    drawn = scene(house, SIZE_PX)
    for path in schemes_of(house_path):
        scheme = load_scheme(path, house)
        lit = frame(rig_for(house, scheme), bind(house, scheme), AT_S)
        yield _name(path), _png(picture(drawn, lit.light))


def _name(scheme: Path) -> str:
    """What the picture of a scheme is called."""
    from layouts.file_names import SCHEME_ENDING

    return f"{scheme.parent.name}-{scheme.name.removesuffix(SCHEME_ENDING)}.png"


def _png(rgb: np.ndarray) -> bytes:
    from PIL import Image

    held = io.BytesIO()
    Image.fromarray(rgb).save(held, "PNG")
    return held.getvalue()


def _power_report(house_path: Path) -> str:
    """What `evenfall power` says of the demo scheme, as plain text."""
    from rich.console import Console

    from sim.report.power import power_report
    from sim.report.power_text import power_blocks
    from sim.report.terminal import print_blocks

    rig, show = load_show(house_path, _scheme(house_path))
    with progress(f"watching {show.scheme.name}") as report:
        told = power_report(rig, show, progress=report)
    paper = Console(
        file=io.StringIO(), width=100, markup=False, highlight=False, emoji=False, record=True
    )
    print_blocks(paper, power_blocks(told))
    return paper.export_text()
