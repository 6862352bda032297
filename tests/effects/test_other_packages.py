"""Effects of other packages, found by the entry-point group `evenfall.effects`."""

from __future__ import annotations

import json
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

#: All that a package with an effect of its own needs.
MODULE = '''
"""A lighthouse's beam goes round."""

import numpy as np

from effects import Effect, Parameter


def field(time_s, place, settings, colours, seed):
    across = place.xy_m[:, 0] - np.float32(settings["at"])
    turn = np.mod(time_s / settings["every"], 1).astype(np.float32) - np.float32(0.5)
    beam = np.maximum(1 - np.abs(across - 40 * turn) / 2, np.float32(0))
    return np.zeros((1, 1), np.float32), beam


BEAM = Effect(
    "beam",
    "a beam of light sweeps over the house from afar",
    field,
    (
        Parameter("at", "m", -100, 100, 5, "where the beam crosses half way"),
        Parameter("every", "s", 2, 60, 10, "time of one turn"),
    ),
    period_s=lambda settings, colours, place: settings["every"],
    change_per_s=lambda settings, colours, place: 20 / settings["every"],
)
'''

ASK = """
import json, numpy as np
from effects import Layer, Scheme, asked, bind, effects
from layouts import load_house
from layouts.errors import EvenfallError
try:
    names = list(effects())
except EvenfallError as error:
    print(json.dumps(str(error)))
    raise SystemExit
house = load_house("house.yaml")
show = bind(house, Scheme("s", "", (Layer("beam", palette=("#ffffff",)),), colour="raw"))
print(json.dumps([names, show.period_s, asked(show, np.array([5.0]))[0, :, 0].tolist()]))
"""

HOUSE = """
format: evenfall-house/1
name: Test
drawing: {size: [20, 8], viewer: 12, surfaces: []}
runs: [{name: eave, pixels: ws2813, path: [[0, 3], [10, 3]], count: 10, aim: down,
        standoff: 0.1, profile: bare}]
"""


def ask(folder: Path, points: str):
    """What a new interpreter that has the package on its path answers."""
    (folder / "seaside.py").write_text(MODULE)
    info = folder / "seaside-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: seaside\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(f"[evenfall.effects]\n{textwrap.dedent(points)}\n")
    (folder / "house.yaml").write_text(HOUSE)
    run = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(folder)!r})\n{ASK}"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert not run.stderr
    return json.loads(run.stdout)


def test_is_found_and_shown(tmp_path):
    names, period_s, row = ask(tmp_path, "beam = seaside:BEAM")
    assert names[0] == "steady"
    assert names[-1] == "beam"
    assert period_s == 10
    # Half way through its turn the beam, 4 m wide, stands at 5 m: pixels at 4.5 and 5.5 m.
    assert row == pytest.approx([0, 0, 0, 0.25, 0.75, 0.75, 0.25, 0, 0, 0])


@pytest.mark.parametrize(
    ("points", "says"),
    [
        ("beam = seaside:field", "effect 'beam' of seaside (seaside:field) is not an effects.Eff"),
        ("beam = seaside:NONE", "effect 'beam' of seaside (seaside:NONE) cannot be loaded: modu"),
        ("beam = nowhere:BEAM", "effect 'beam' of seaside (nowhere:BEAM) cannot be loaded: No m"),
        ("a = seaside:BEAM\nb = seaside:BEAM", "effect 'beam' of seaside (seaside:BEAM): there i"),
    ],
)
def test_a_faulty_package_is_named(tmp_path, points, says):
    assert ask(tmp_path, points).startswith(says)
