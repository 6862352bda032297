"""What the terminal shows stays the same to the byte, at every width, with and without colour.

`kept_screens.txt` holds screens as they were meant to be. After a wanted change, read the
difference and run this file as a program, which writes them anew.
"""

import io
from pathlib import Path

import pytest
from rich.console import Console

from effects import Layer, Scheme, bind, effects
from layouts import load_house, profiles
from sim.frame import rig_for
from sim.report.check import check_blocks, check_report
from sim.report.listing import list_blocks, row_blocks
from sim.report.power import power_report
from sim.report.power_text import power_blocks
from sim.report.terminal import print_blocks

KEPT = Path(__file__).with_name("kept_screens.txt")
HOUSE = """
format: evenfall-house/1
name: Shed
drawing: {size: [6, 3], viewer: 6, surfaces: []}
runs:
  - {name: eave, pixels: ws2813, path: [[0.5, 2.6], [4.5, 2.6]], aim: 45, standoff: 0.05}
  - {name: door, pixels: ws2811-12v-group3, path: [[0.5, 1], [2.5, 1]], aim: 45, standoff: 2.4}
supplies:
  - {name: loft, volts: 5, amps: 7, efficiency: 0.85, no_load_w: 0.5}
  - {name: porch, volts: 12, amps: 2, efficiency: 0.85, no_load_w: 0.5}
wires:
  - {from: loft, to: eave.start, wire: 18 AWG, length: 1.5, fuse: 6}
  - {from: porch, to: door.start, wire: 14 AWG, length: 0.3}
outputs:
  - {name: port, chain: [eave], universe: 1, fps: 200}
"""


def screens(folder):
    """(name, blocks) of every screen that is kept."""
    file = folder / "house.yaml"
    file.write_text(HOUSE, "utf-8")
    house = load_house(file)
    layers = (Layer("chase", palette=("#ffffff", "#ff4000")), Layer("steady", ("door",)))
    scheme = Scheme("Test", "test.yaml", layers, brightness=0.9, fps=20.0)
    told = power_report(rig_for(house, scheme), bind(house, scheme), seconds=4.0, at_s=1.0)
    yield "power", lambda: power_blocks(told)
    checked = check_report(house, (scheme,), seconds=4.0)
    yield "check", lambda: check_blocks(checked)
    yield "list profiles", lambda: list_blocks("profiles", profiles())
    yield "list effects chase", lambda: row_blocks(effects()["chase"])


def kept(folder):
    """All screens as one text."""
    parts = []
    for name, blocks in screens(folder):
        for width, colour in ((80, False), (100, True), (120, False), (200, False)):
            console = Console(
                file=io.StringIO(), width=width, markup=False, highlight=False, emoji=False,
                force_terminal=colour, color_system="truecolor" if colour else None,
            )  # fmt: skip
            print_blocks(console, blocks())
            text = console.file.getvalue().replace("\x1b", "␛")
            # air at the end of lines is kept as a mark, lest an editor takes it
            lines = (f"{line}⏎" if line.endswith(" ") else line for line in text.split("\n"))
            parts.append(
                f"==== {name}, {width}{' in colour' if colour else ''}\n" + "\n".join(lines)
            )
    return "\n".join(parts)


def test_the_screens_are_the_same(tmp_path):
    told, meant = kept(tmp_path).split("===="), KEPT.read_text("utf-8").split("====")
    assert len(told) == len(meant)
    for each, other in zip(told, meant, strict=True):
        assert each == other


@pytest.mark.parametrize("width", [80, 100])
def test_no_screen_is_wider_than_the_terminal(tmp_path, width):
    for name, blocks in screens(tmp_path):
        console = Console(file=io.StringIO(), width=width, markup=False, highlight=False)
        print_blocks(console, blocks())
        assert max(map(len, console.file.getvalue().split("\n"))) <= width, name


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        KEPT.write_text(kept(Path(folder)), "utf-8")
