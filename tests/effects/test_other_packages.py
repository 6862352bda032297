"""Effects of other packages, found by the entry-point group `evenfall.effects`."""

from __future__ import annotations

import json
import subprocess
import sys
import textwrap
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from effects import Effect
from effects.foreign import loaded
from layouts.errors import EvenfallError

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
house = load_house("house.yaml")

def row(effect):
    show = bind(house, Scheme("s", "", (Layer(effect, palette=("#ffffff",)),), colour="raw"))
    return show.period_s, asked(show, np.array([5.0]))[0, :, 0].tolist()

steady = row("steady")[1]  # what does not use the package is shown whatever is wrong with it
assert steady == [1.0] * 10
try:
    row(ASKED)
except EvenfallError as error:
    print(json.dumps(str(error)))
else:
    print(json.dumps([list(effects()), *row(ASKED)]))
"""

HOUSE = """
format: evenfall-house/1
name: Test
drawing: {size: [20, 8], viewer: 12, surfaces: []}
runs: [{name: eave, pixels: ws2813, path: [[0, 3], [10, 3]], count: 10, aim: down,
        standoff: 0.1, profile: bare}]
"""


def ask(folder: Path, points: str, more: str = "", asked: str = "beam"):
    """What a new interpreter that has the package on its path answers."""
    (folder / "seaside.py").write_text(MODULE + more)
    info = folder / "seaside-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: seaside\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(f"[evenfall.effects]\n{textwrap.dedent(points)}\n")
    (folder / "house.yaml").write_text(HOUSE)
    run = subprocess.run(
        [
            sys.executable,
            "-c",
            f"import sys; sys.path.insert(0, {str(folder)!r})\nASKED = {asked!r}\n{ASK}",
        ],
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
    ],
)
def test_a_faulty_package_is_named_where_it_is_asked_for(tmp_path, points, says):
    assert ask(tmp_path, points).startswith(says)


def test_of_two_effects_of_one_name_the_first_counts(tmp_path):
    says = ask(tmp_path, "a = seaside:BEAM\nb = seaside:BEAM", asked="b")
    assert says.startswith("effect 'beam' of seaside (seaside:BEAM): there is one of that name")


def test_one_that_ends_the_program_does_not(tmp_path):
    says = ask(tmp_path, "beam = seaside:BEAM", more="\nraise SystemExit(7)\n")
    assert says.startswith("effect 'beam' of seaside (seaside:BEAM) cannot be loaded: it ends the")


class Entry:
    """An entry point whose effect's field does as it is told."""

    name, value, dist = "beam", "seaside:BEAM", None

    def __init__(self, field):
        self.field = field

    def load(self):
        nothing = lambda settings, colours, place: 1 / 0  # noqa: E731
        return Effect("beam", "", self.field, (), nothing, nothing)


def ended(*_):
    raise SystemExit(7)


ONES = np.ones((2, 3), np.float32)


@pytest.mark.parametrize(
    ("field", "says"),
    [
        (lambda *_: 1 / 0, "failed: ZeroDivisionError: division by zero"),
        (ended, "failed: SystemExit: it ends the program (7)"),
        (lambda *_: ONES, "gave no pair of position and level"),
        (lambda *_: (ONES, np.ones((5, 3))), r"gave a level of shape (5, 3), where (2, 3) belongs"),
        (lambda *_: (ONES * np.nan, ONES), "gave a position that is not finite"),
        (lambda *_: ("red", ONES), "gave a position that is no number"),
    ],
)
def test_what_its_field_does_wrong_is_told_with_its_name(field, says):
    effect = loaded(Entry(field))
    place = SimpleNamespace(xy_m=np.zeros((3, 2)))
    with pytest.raises(EvenfallError) as refusal:
        effect.field(np.zeros((2, 1)), place, {}, 1, 0)
    assert str(refusal.value).startswith(f"effect 'beam' of a package (seaside:BEAM) {says}")
    with pytest.raises(EvenfallError, match=r"of a package .* failed: ZeroDivisionError"):
        effect.period_s({}, 1, place)


def test_a_sound_field_is_passed_on_as_it_is():
    answer = (np.zeros((1, 1), np.float32), ONES)
    effect = loaded(Entry(lambda *_: answer))
    place = SimpleNamespace(xy_m=np.zeros((3, 2)))
    assert effect.field(np.zeros((2, 1)), place, {}, 1, 0) is answer
