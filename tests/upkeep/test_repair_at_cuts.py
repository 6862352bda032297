"""Repairs where the + of a run is cut: it stays open, in what is told, written and computed.

A cut opens + alone (`layouts.cuts`). What is expected of amperes is Kirchhoff's current law: a
supply gives what the pixels of its own pieces of + draw, and no more.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from layouts import change, load_house
from layouts.faults import Fault
from layouts.records import House
from sim.circuit import build, solve
from sim.cli.main import app
from sim.parts import builtin_parts
from sim.report.repair_steps import parts_needed, steps
from sim.report.wording.diagnosis import repair_of as repair_named
from sim.upkeep.diagnosis import Suspect
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.repair import repair_of
from sim.upkeep.repair_bill import repair_bill

# 120 pixels in three pieces of +: 0–39 on `left`, 40–79 on `left` by another wire, 80–119 `right`.
HOUSE = """\
format: evenfall-house/1
name: Cut
units: m
drawing: {size: [6, 4]}
runs:
  - {name: gable, pixels: KIND, path: [[1, 3], [3, 3]], count: 120, cuts: [40, 80]}
supplies:
  - {name: left, volts: 5, amps: 12}
  - {name: right, volts: 5, amps: 12}
wires:
  - {from: left, to: "gable[20]", wire: 14 AWG, length: 1 m, fuse: 7.5}
  - {from: left, to: "gable[60]", wire: 14 AWG, length: 1 m, fuse: 7.5}
  - {from: right, to: "gable[80]", wire: 14 AWG, length: 1 m, fuse: 7.5}
outputs:
  - {name: A, chain: [gable], universe: 1}
"""


def house(tmp_path: Path, kind: str = "sk6812") -> House:
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE.replace("KIND", kind), encoding="utf-8")
    return load_house(path)


def told(of: House, *, out: tuple[str, ...] = (), new: tuple[str, ...] = ()) -> str:
    made = repair_of(of, cut_out=out, replace=new, date="2026-11-26")
    return "\n".join(steps(made, builtin_parts()))


@pytest.mark.parametrize(
    ("gone", "gap"),
    [
        ("gable[79]", (78, 80)),  # the pixel before the cut
        ("gable[80]", (79, 81)),  # the one behind it
        ("gable[78:83]", (77, 83)),  # the cut inside the gap
        ("gable[40:80]", (39, 80)),  # a whole piece, cuts at both its ends
    ],
)
def test_the_plus_of_two_pieces_is_never_joined(
    tmp_path: Path, gone: str, gap: tuple[int, int]
) -> None:
    before, behind = gap
    said = told(house(tmp_path), out=(gone,))
    assert f"gap between gable[{before}] and gable[{behind}]: − to −, and data from" in said
    assert f"Do not join the + of gable[{before}] to that of gable[{behind}]" in said
    assert "that of left is on one side, that of right on the other" in said
    assert "+ to +" not in said


def test_where_nothing_is_cut_it_is_joined_and_the_same_supply_is_named(tmp_path: Path) -> None:
    said = told(house(tmp_path), out=("gable[81]",))
    assert "gap between gable[80] and gable[82]: + to +, − to −, and data from" in said
    assert "stays open" not in said
    said = told(house(tmp_path), out=("gable[40]",))
    assert "cut before gable[40]: both sides are fed by left, each by a wire of its own" in said


def test_a_gap_that_grows_to_a_cut_is_open_too(tmp_path: Path) -> None:
    once = change(house(tmp_path), runs={"gable": {"missing": [78]}})
    said = told(once, out=("gable[79]",))
    assert "gap between gable[77] and gable[80]: − to −, and data" in said


def test_the_second_data_line_goes_over_a_cut(tmp_path: Path) -> None:
    said = told(house(tmp_path, "ws2813"), out=("gable[80]",))
    assert ": − to −, and data and the second data line from the output of gable[79]" in said


def test_a_wire_goes_on_with_its_own_side(tmp_path: Path) -> None:
    said = told(house(tmp_path), out=("gable[80]",))
    assert (
        "Wire right → gable[80] ends at this pixel: join its + to that of gable[81] alone, its − to"
        " the bridge." in said
    )
    said = told(house(tmp_path), out=("gable[40:80]",))
    assert "Wire left → gable[60] ends at this pixel: no pixel is left on its piece." in said
    assert "never lead it to a piece beside" in said


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        ("gable[0:40]", "Do not join the + that came to the start to gable[40]; insulate it."),
        ("gable[80:120]", "Do not join the + of what was behind it to gable[79]; insulate it."),
    ],
)
def test_a_piece_at_an_end_of_the_run(tmp_path: Path, gone: str, words: str) -> None:
    said = told(house(tmp_path), out=(gone,))
    assert words in said
    assert "+, − and data" not in said
    assert "+ and −" not in said


@pytest.mark.parametrize(
    ("new", "one", "other"),
    [("gable[80]", 79, 80), ("gable[79]", 79, 80), ("gable[80:90]", 79, 80)],
)
def test_a_new_piece_beside_a_cut(tmp_path: Path, new: str, one: int, other: int) -> None:
    said = told(house(tmp_path), new=(new,))
    assert (
        f"Between gable[{one}] and gable[{other}] join − and data alone. The + stays open" in said
    )


def test_a_new_piece_over_a_cut_is_cut_too(tmp_path: Path) -> None:
    said = told(house(tmp_path), new=("gable[30:90]",))
    for cut in (40, 80):
        assert f"Cut the + of the new piece between gable[{cut - 1}] and gable[{cut}]" in said
    assert "join − and data alone" not in said


def test_wire_and_parts_of_a_gap_that_stays_open(tmp_path: Path) -> None:
    made = repair_of(house(tmp_path), cut_out=["gable[79]"], date="2026-11-26")
    (needed,) = (part for part in parts_needed(made, builtin_parts()) if "pieces of wire" in part)
    assert needed.startswith("2 pieces of wire")  # − and data
    assert "for − as thick" in needed
    lines = {line.item: line for line in repair_bill(made, builtin_parts()).lines}
    # two conductors over one pixel and a pitch more: 2 · 2/60 m = 0.067 m, bought as 0.1 m
    assert lines["bridge wire"].quantity == pytest.approx(0.1)


@pytest.mark.parametrize("gone", ["gable[79]", "gable[80]", "gable[78:83]", "gable[40:80]"])
def test_what_is_written_is_open_there_and_each_supply_feeds_its_own(
    tmp_path: Path, gone: str
) -> None:
    whole = house(tmp_path)
    path = tmp_path / "house.yaml"
    done = CliRunner().invoke(app, ["repair", str(path), "--cut-out", gone, "--write"])
    assert done.exit_code == 0, done.output
    mended = load_house(path)
    assert mended.run("gable").cuts == whole.run("gable").cuts == (40, 80)
    codes = np.full((1, 120, 4), (160, 160, 160, 0), dtype=np.uint8)
    solution = solve(build(mended), codes)
    drawn = solution.amps[0]
    assert drawn[mended.run("gable").has_pixel].min() > 0
    # the current law, with + open before 40 and before 80
    assert solution.supply_a[0] == pytest.approx([drawn[:80].sum(), drawn[80:].sum()], abs=1e-5)
    assert solution.wire_a[0] == pytest.approx(
        [drawn[:40].sum(), drawn[40:80].sum(), drawn[80:].sum()], abs=1e-5
    )


def test_the_cut_is_what_keeps_them_apart(tmp_path: Path) -> None:
    """Without it `right`, at more volts, would feed pixels of `left`: the check above can fail."""
    path = tmp_path / "house.yaml"
    text = HOUSE.replace("KIND", "sk6812").replace("cuts: [40, 80]", "cuts: [40], missing: [79]")
    path.write_text(text.replace("right, volts: 5,", "right, volts: 5.2,"), encoding="utf-8")
    solution = solve(build(load_house(path)), np.full((1, 120, 4), (160, 160, 160, 0), np.uint8))
    assert solution.supply_a[0, 1] > solution.amps[0, 80:].sum() + 0.01


@pytest.mark.parametrize(
    ("kind", "first", "last", "open_at"),
    [
        ("dead", 79, 79, "gable[80]"),
        ("dead", 80, 80, "gable[80]"),
        ("dead", 82, 82, None),
        ("joint", 38, 43, "gable[40]"),
        ("short", 77, 79, "gable[80]"),
        ("open-data", 80, 80, None),  # it touches data alone
    ],
)
def test_the_repair_that_a_diagnosis_names_leaves_it_open(
    tmp_path: Path, kind: str, first: int, last: int, open_at: str | None
) -> None:
    of_run = "open" if kind == "open-data" else kind
    cause = Breakage(kind, (Fault(of_run, "gable", first),), 1.0, first, last)  # type: ignore[arg-type]
    said = "\n".join(repair_named(Suspect((cause,), 1.0, (), ()), house(tmp_path)).steps)
    assert (f"leave the + open before {open_at}" in said) == (open_at is not None)
    if kind == "dead":
        assert ("bridge +, − and data over the gap" in said) == (open_at is None)
