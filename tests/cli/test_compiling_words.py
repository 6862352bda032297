"""What is said while kernels are compiled: what they serve, once each, and before a report."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from rich.console import Console

from sim import kernels
from sim.cli import common
from sim.report.blocks import Block, words
from sim.report.terminal import print_blocks

SIM = Path(kernels.__file__).parent


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Callable, Callable]]:
    """What is called at the beginning and end of compiling, once that is announced."""
    heard: list[tuple[Callable, Callable]] = []
    monkeypatch.setattr(kernels, "tell_compiling", lambda *both: heard.append(both))
    monkeypatch.setattr(common, "at_once_while", lambda *_: None)
    common.announce_compiling.cache_clear()
    common.announce_compiling()
    yield heard[0]
    common.announce_compiling.cache_clear()


def test_each_thing_is_named_once(told, capsys: pytest.CaptureFixture[str]) -> None:
    begun, ended = told
    begun("sim.circuit.kernel.solve_frames")
    begun("sim.colour.kernel.fill_codes")  # called by the one before: a part of it
    ended()
    ended()
    for name in ("sim.circuit.alone_kernel.factor_alone", "sim.light.raster._covered"):
        begun(name)
        ended()
    lines = capsys.readouterr().err.splitlines()
    assert [line.partition(", ")[0] for line in lines] == [
        "compiling what solves the circuit",
        "compiling what works out the light",
    ]


def test_every_kernel_serves_something() -> None:
    """Of the modules that have kernels, by their text."""
    files = [each for each in SIM.rglob("*.py") if re.search(r"^@njit", each.read_text(), re.M)]
    names = {".".join(("sim", *file.relative_to(SIM).with_suffix("").parts)) for file in files}
    assert len(names) > 30
    assert {name for name in names if kernels.serves(f"{name}.f") == kernels.serves("")} == set()


def test_nothing_is_said_in_the_middle_of_a_report() -> None:
    paper = io.StringIO()

    def blocks() -> Iterator[Block]:
        yield words("the first line")
        paper.write("compiling\n")
        yield words("the last line")

    print_blocks(Console(file=paper, width=80, color_system=None), blocks())
    assert paper.getvalue().splitlines() == ["compiling", "the first line", "the last line"]
