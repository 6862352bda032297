"""Compiles the kernels that most tests need, before two processes would each compile them.

Called by `tests/conftest.py` where the tests run in several processes; two processes share the
work, so that on two cores it takes half the time. Where everything is compiled already it takes
the time of loading it. `python tests/warm.py circuit` does one half.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "demo"
HALVES = ("circuit", "light")


def both() -> None:
    """Compile in two processes. What fails here is told by the test that needs it."""
    made = [
        subprocess.Popen([sys.executable, __file__, half], cwd=ROOT, stdout=subprocess.DEVNULL,
                         stderr=subprocess.DEVNULL)
        for half in HALVES
    ]  # fmt: skip
    for each in made:
        each.wait()


def circuit() -> None:
    """The wires, in frames and over a scheme, and the wiring proposed."""
    from typer.testing import CliRunner

    from sim.cli.main import app

    cottage, unwired = DEMO / "cottage", DEMO / "unwired" / "house.yaml"
    scheme = cottage / "evening.scheme.yaml"
    for call in (
        ["check", cottage / "house.yaml", scheme, "--seconds", "1s", "--json"],
        ["plan", unwired, "--json"],
    ):
        CliRunner().invoke(app, [str(each) for each in call])


def light() -> None:
    """A picture of the cottage in one moment of a scheme."""
    from typer.testing import CliRunner

    from sim.cli.main import app

    cottage = DEMO / "cottage"
    with tempfile.TemporaryDirectory() as folder:
        for call in (
            ["render", cottage / "house.yaml", cottage / "evening.scheme.yaml",
             "--out", f"{folder}/a.png", "--size", "320x200"],
        ):  # fmt: skip
            CliRunner().invoke(app, [str(each) for each in call])


if __name__ == "__main__":
    {"circuit": circuit, "light": light}[sys.argv[1]]()
