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
    _diagnosed("bullet-12v-buck")  # the kernels of step-down regulators too


def _diagnosed(kind: str) -> None:
    """A short run, of which something is dark."""
    import numpy as np

    from layouts import house_from
    from layouts.sightings import sightings_from_text
    from sim.circuit import solve
    from sim.frame import rig
    from sim.upkeep.diagnosis import case, diagnose, load_priors

    house = house_from(
        {
            "format": "evenfall-house/1", "name": "Short", "drawing": {"size": [6, 4]},
            "runs": [{"name": "eave", "pixels": kind, "path": [[1, 3], [3, 3]], "count": 20}],
            "supplies": [{"name": "box", "volts": 12, "amps": 4}],
            "wires": [{"from": "box", "to": "eave.start", "wire": "18 AWG", "length": 2}],
        }
    )  # fmt: skip
    made = rig(house)
    solve(made.network, np.full((1, 20, 4), 255, np.uint8))
    text = "format: evenfall-sightings/1\nseen:\n  - {dark: 'eave[9:20]'}\n"
    diagnose(case(made, load_priors()), sightings_from_text(text, "s.yaml", house).seen)


def light() -> None:
    """Pictures of one moment of a scheme: of a house, on wet ground, of single points."""
    from typer.testing import CliRunner

    from sim.cli.main import app

    cottage, lodge = DEMO / "cottage", DEMO / "lodge"
    with tempfile.TemporaryDirectory() as folder:
        for house, ground in ((cottage, ()), (cottage, ("--ground", "wet")), (lodge, ())):
            scheme = sorted(house.glob("*.scheme.yaml"))[0]
            call = ["render", house / "house.yaml", scheme, "--out", f"{folder}/a.png",
                    "--size", "320x200", *ground]  # fmt: skip
            CliRunner().invoke(app, [str(each) for each in call])


if __name__ == "__main__":
    {"circuit": circuit, "light": light}[sys.argv[1]]()
