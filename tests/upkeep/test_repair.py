"""Pixels cut out: what moves, what stays, what is written; and the house without them."""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from effects import bind, load_scheme
from layouts import addresses, change, house_data, house_from, load_house
from layouts.errors import EvenfallError, InputError
from sim.circuit import build, solve
from sim.cli.main import app
from sim.frame import frame, rig_for
from sim.upkeep.repair import repair_of

HOUSE = """\
# My house. Nothing of this comment may be lost.
format: evenfall-house/1
name: Small
units: m
drawing:
  size: [6, 4]
runs:
  # the gable
  - {name: gable, pixels: sk6812, path: [[1, 3], [3, 3]], cuts: [60]}  # 120 pixels
  - {name: porch, pixels: sk6812, path: [[1, 2], [2, 2]]}
zones:
  left: ["gable[0:60]"]
  both: [gable, porch]
supplies:
  - {name: box, volts: 5, amps: 12, source_ohm: 0.005}
wires:
  - {from: box, to: gable.start, wire: 14 AWG, length: 1 m, fuse: 7.5}
  - {from: box, to: "gable[90]", wire: 14 AWG, length: 1 m, fuse: 7.5}
  - {from: box, to: porch.start, wire: 14 AWG, length: 1 m, fuse: 5}
outputs:
  - {name: A, chain: [gable, porch], universe: 3, address: 1}
"""
SCHEME = """\
format: evenfall-scheme/1
name: Wash
layers:
  - {zones: [both], effect: EFFECT, palette: ["#ff8000", "#00ff40"]}
"""


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    house, scheme = tmp_path / "house.yaml", tmp_path / "wash.scheme.yaml"
    house.write_text(HOUSE, encoding="utf-8")
    scheme.write_text(SCHEME, encoding="utf-8")
    return house, scheme


def run(*arguments: object):
    return CliRunner().invoke(app, [str(each) for each in arguments])


# 170 pixels of three channels fill a universe of 512 slots (3·170 = 510).
def test_addresses_move_up(files: tuple[Path, Path]) -> None:
    house = load_house(files[0])
    mended = change(house, runs={"gable": {"missing": [0]}})
    old, new = addresses(house), addresses(mended)
    assert (old.universe[0], old.address[0]) == (3, 1)
    assert (new.place[0], new.universe[0], new.address[0], new.output[0]) == (-1, 0, 0, -1)
    assert (new.universe[1], new.address[1]) == (3, 1)
    # pixel 50 of the porch was the 171st: the first of the next universe
    porch = house.run("porch").first
    assert (old.universe[porch + 50], old.address[porch + 50]) == (4, 1)
    assert (new.universe[porch + 50], new.address[porch + 50]) == (3, 508)
    assert (new.universe[porch + 51], new.address[porch + 51]) == (4, 1)


def test_everything_else_keeps_its_place(files: tuple[Path, Path]) -> None:
    house = load_house(files[0])
    mended = change(house, runs={"gable": {"missing": [0, 30]}})
    assert (mended.pixels.xy_m == house.pixels.xy_m).all()
    assert [wire.label for wire in mended.wires] == [wire.label for wire in house.wires]
    assert [wire.end.pad for wire in mended.wires] == [wire.end.pad for wire in house.wires]
    assert mended.run("gable").cuts == house.run("gable").cuts
    assert mended.zones["left"].length_m == house.zones["left"].length_m
    kept = ~np.isin(house.zones["left"].pixels, [0, 30])
    assert (mended.zones["left"].pixels == house.zones["left"].pixels[kept]).all()
    assert (mended.zones["left"].along_m == house.zones["left"].along_m[kept]).all()
    assert house_from(house_data(mended)).run("gable").missing == (0, 30)


@pytest.mark.parametrize("effect", ["chase", "picket", "twinkle", "glint", "hearth"])
def test_a_scheme_needs_no_change_and_the_gap_is_dark(
    files: tuple[Path, Path], effect: str
) -> None:
    files[1].write_text(SCHEME.replace("EFFECT", effect), encoding="utf-8")
    house = load_house(files[0])
    mended = change(house, runs={"gable": {"missing": [0, 30]}})
    shown = []
    for each in (house, mended):
        scheme = load_scheme(files[1], each)
        shown.append(frame(rig_for(each, scheme), bind(each, scheme), np.array([0.4, 2.0])))
    sound, now = shown
    there = ~np.isin(np.arange(len(house.pixels)), [0, 30])
    assert (now.codes[:, there] == sound.codes[:, there]).all()
    assert (now.light[:, ~there] == 0).all()
    assert (now.amps[:, ~there] == 0).all()
    # whatever is sent: there is nothing to light
    full = np.full((1, len(house.pixels), 4), (255, 255, 255, 0), dtype=np.uint8)
    solution = solve(build(mended), full)
    assert (solution.amps[0, ~there] == 0).all()
    assert (solution.dim[0, ~there] == 0).all()


def test_the_rail_goes_on_over_the_gap(files: tuple[Path, Path]) -> None:
    """The bridge is as long as the gap: a dark pixel without its idle current, and no other."""
    idle = {"dark": {"like": "sk6812", "idle_ma": 0.0}}
    data = house_data(load_house(files[0]))
    data["runs"] = [{**entry, "pixels": "dark"} for entry in data["runs"]]
    house = house_from({**data, "kinds": idle})
    mended = change(house, runs={"gable": {"missing": [20]}})
    codes = np.full((1, len(house.pixels), 4), (200, 100, 50, 0), dtype=np.uint8)
    codes[:, 20] = 0
    ours, theirs = (solve(build(each), codes).volts for each in (mended, house))
    assert np.abs(ours - theirs).max() < 1e-12


@pytest.mark.parametrize(
    ("missing", "problem"),
    [
        ([120], "position 120"),
        ([3, 3], "missing twice"),
        (list(range(120)), "no pixel left"),
    ],
)
def test_positions_that_cannot_be_missing(
    files: tuple[Path, Path], missing: list[int], problem: str
) -> None:
    text = HOUSE.replace("cuts: [60]", f"cuts: [60], missing: {missing}")
    files[0].write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=problem) as refused:
        load_house(files[0])
    assert all(each.line == 9 for each in refused.value.problems)


def test_what_is_written(files: tuple[Path, Path]) -> None:
    done = run("repair", files[0], "--cut-out", "gable[0]", "--replace", "porch[3]",
               "--on", "2026-12-24", "--write")  # fmt: skip
    assert done.exit_code == 0, done.stderr
    text = files[0].read_text(encoding="utf-8")
    assert "cuts: [60], missing: [0]}  # 120 pixels" in text
    kept = [line for line in HOUSE.splitlines() if "cuts" not in line]
    assert [line for line in text.splitlines() if line in kept] == kept
    house = load_house(files[0])
    assert house.run("gable").missing == (0,)
    assert [(each.date, each.what) for each in house.history] == [
        ("2026-12-24", "cut out gable[0]"),
        ("2026-12-24", "replaced porch[3]"),
    ]
    backup = files[0].with_name(".house.yaml.bak")
    assert backup.read_text(encoding="utf-8") == HOUSE
    # and once more
    assert run("repair", files[0], "--cut-out", "gable[1]", "--write").exit_code == 0
    assert load_house(files[0]).run("gable").missing == (0, 1)
    assert len(load_house(files[0]).history) == 3


def test_nothing_is_written_unless_asked(files: tuple[Path, Path]) -> None:
    done = run("repair", files[0], "--cut-out", "gable[0]", "--json")
    assert files[0].read_text(encoding="utf-8") == HOUSE
    told = json.loads(done.stdout)
    assert told["wrote"] is None
    assert told["outputs"] == [{"output": "A", "pixels_before": 180, "pixels": 179}]
    first = told["moved"][0]
    assert (first["run"], first["first"], first["output"]) == ("gable", 1, "A")
    assert first["before"] == {"number": 2, "universe": 3, "slot": 4}
    assert first["after"] == {"number": 1, "universe": 3, "slot": 1}
    assert sum(each["last"] - each["first"] + 1 for each in told["moved"]) == 179
    assert any("Unplug supply box" in step for step in told["steps"])
    assert told["cautions"]
    assert "gable[1] is now the first pixel on output A" in told["spares"][0]


def test_steps_bridge_the_gap(files: tuple[Path, Path]) -> None:
    done = run("repair", files[0], "--cut-out", "gable[90:92]")
    said = " ".join(done.stdout.split())
    assert "Bridge the gap between gable[89] and gable[92]" in said
    assert said.count("Bridge the gap") == 1
    assert "Wire box → gable[90] ends at this pixel: join it to the bridge." in said
    assert "Unplug" in said


@pytest.mark.parametrize(
    ("options", "problem"),
    [
        ((), "nothing to do"),
        (("--cut-out", "gabel[0]"), "no run 'gabel'; did you mean 'gable'?"),
        (("--cut-out", "gable"), "'gable' names no pixel"),
        (("--cut-out", "gable[120]"), "outside run 'gable'; its pixels are 0 to 119"),
        (("--cut-out", "gable[0:120]"), "no pixel left"),
        (("--cut-out", "gable[0]", "--replace", "gable[0]"), "cannot be cut out and replaced"),
        (("--replace", "gable[0]", "--on", "24.12."), "--on 24.12.: no date"),
    ],
)
def test_refusals(files: tuple[Path, Path], options: tuple[str, ...], problem: str) -> None:
    done = run("repair", files[0], *options, "--write")
    assert done.exit_code == 2
    assert problem in done.stderr
    assert "Traceback" not in done.stderr
    assert files[0].read_text(encoding="utf-8") == HOUSE


def test_a_pixel_is_not_cut_out_twice(files: tuple[Path, Path]) -> None:
    mended = change(load_house(files[0]), runs={"gable": {"missing": [0]}})
    with pytest.raises(EvenfallError, match="pixel 0 of run 'gable' is cut out already"):
        repair_of(mended, cut_out=["gable[0]"], date="2026-12-24")


def test_a_broken_house_with_a_gap(files: tuple[Path, Path]) -> None:
    """Data goes over the gap; a dead pixel behind it still ends the chain."""
    from layouts.faults import Fault
    from sim.frame import rig
    from sim.upkeep import broken, frame_of_broken

    mended = change(load_house(files[0]), runs={"gable": {"missing": [0, 1]}})
    codes = np.full((1, len(mended.pixels), 4), (9, 9, 9, 0), dtype=np.uint8)
    made = rig(mended)
    lit = frame_of_broken(broken(made, []), codes).light[0].max(axis=-1) > 0
    assert np.flatnonzero(~lit).tolist() == [0, 1]
    dead = frame_of_broken(broken(made, [Fault("dead", "gable", 5)]), codes)
    assert np.flatnonzero(dead.light[0].max(axis=-1) > 0).tolist() == [2, 3, 4]
    assert not dead.alive[[0, 1, 5]].any()
    assert dead.alive[6:].all()
