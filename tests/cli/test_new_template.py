"""A house made of a template: its measures set, every other byte kept."""

from __future__ import annotations

import itertools
import shutil
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from effects import load_scheme
from layouts import load_house
from layouts.errors import EvenfallError
from sim.cli.main import app
from sim.cli.new_template import from_template

TEMPLATE = Path(__file__).resolve().parents[2] / "demo" / "template"

SCHEME = """\
format: evenfall-scheme/1
name: x
layers:
  - {{zones: {zone}, effect: steady, palette: ["2700 K"]}}
"""


@pytest.fixture
def template(tmp_path: Path) -> Path:
    shutil.copytree(TEMPLATE, tmp_path / "template")
    for name, zone in (("evening", "eaves"), ("winter", "gable")):
        (tmp_path / "template" / f"{name}.scheme.yaml").write_text(SCHEME.format(zone=zone))
    return tmp_path / "template" / "house.yaml"


def lines_that_differ(one: Path, other: Path) -> list[str]:
    ours, theirs = (path.read_text().splitlines() for path in (one, other))
    assert len(ours) == len(theirs)
    return [new.strip() for old, new in zip(ours, theirs, strict=True) if old != new]


def test_measures_are_replaced_and_nothing_else(tmp_path: Path, template: Path) -> None:
    sets = ["width=14m", "eave = 9 ft", "pitch=5/12"]
    written = from_template(tmp_path / "mine", template, sets)
    assert [path.name for path in written] == [
        "house.yaml",
        "evening.scheme.yaml",
        "winter.scheme.yaml",
    ]
    assert [line.split("#")[0].strip() for line in lines_that_differ(template, written[0])] == [
        "width: 14m",
        "eave: 9 ft",
        'pitch: "= 5/12"',
    ]
    house = load_house(written[0])
    wall = next(each for each in house.drawing.surfaces if each.name == "wall")
    # by hand: 2.6 m beside it, 14 m wide; the eave 9 ft = 2.7432 m less 45 cm at 5 in 12
    assert wall.outline_m[2] == pytest.approx([2.6 + 14, 2.7432 - 0.45 * 5 / 12])


@pytest.mark.parametrize("width_m", [8, 10.5, 12, 16, 20])
def test_every_part_follows_the_width(tmp_path: Path, template: Path, width_m: float) -> None:
    house = load_house(from_template(tmp_path / "mine", template, [f"width={width_m}"])[0])
    by_name = {each.name: each.outline_m for each in house.drawing.surfaces}
    right = 2.6 + width_m
    assert by_name["wall"][:, 0].max() == pytest.approx(right)
    for name in ("window-two-frame", "door-frame", "gable-wall", "hedge"):
        assert by_name["wall"][:, 0].min() < by_name[name][:, 0].min()
        assert by_name[name][:, 0].max() < right
    # windows, door and gable do not run into each other
    order = ["gable-wall", "door-frame", "window-one-frame", "window-two-frame"]
    for left, next_one in itertools.pairwise(order):
        assert by_name[left][:, 0].max() < by_name[next_one][:, 0].min()
    gable = house.run("gable").path_m
    slope = (gable[1, 1] - gable[0, 1]) / (gable[1, 0] - gable[0, 0])
    assert slope == pytest.approx(0.5)


def test_a_bare_length_is_in_the_units_of_the_house(tmp_path: Path, template: Path) -> None:
    house = from_template(tmp_path / "mine", template, ["width=14"])[0]
    assert lines_that_differ(template, house)[0].startswith("width: 14 m")


@pytest.mark.parametrize(
    ("sets", "told"),
    [
        (
            ["widht=3m"],
            "there is no measure 'widht'; did you mean 'width'? there are: width (12 m), eave",
        ),
        (["width"], "--set width: write it like --set width=14m"),
        (["width="], "--set width=: write it like --set width=14m"),
        (["width=3m", "width=4m"], "'width' is set twice; set it once"),
        (["pitch=1 m"], "this is a length; 'pitch' is a number without a unit: 0.5"),
        (["width=3 m * 2 m"], "this is an area; 'width' is a length: 12 m"),
        (["width=three"], "unknown measure 'three'"),
        (["width=right"], "refer to each other in a circle"),
        (["width=1/0"], "this divides by zero"),
        (["width=0"], "with width 0 m this house does not hold:\n"),
    ],
)
def test_what_cannot_be_set_is_refused_and_nothing_written(
    tmp_path: Path, template: Path, sets: list[str], told: str
) -> None:
    with pytest.raises(EvenfallError) as caught:
        from_template(tmp_path / "mine", template, sets)
    assert told in str(caught.value)
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize("width", ["-4m", "4m", "0 m"])
def test_what_turns_a_part_inside_out_is_refused(
    tmp_path: Path, template: Path, width: str
) -> None:
    with pytest.raises(EvenfallError, match="does not hold"):
        from_template(tmp_path / "mine", template, [f"width={width}"])
    assert not (tmp_path / "mine").exists()


def test_by_the_flags_of_the_command(tmp_path: Path) -> None:
    call = ["new", str(tmp_path / "mine"), "--from-template", str(TEMPLATE / "house.yaml")]
    made = CliRunner().invoke(app, [*call, "--set", "width=14m", "--set", "eave=9 ft"])
    assert made.exit_code == 0, made.output
    measures = load_house(tmp_path / "mine" / "house.yaml").measures
    assert (measures["width"], measures["eave"]) == ("14m", "9 ft")
    assert "evenfall preview" in made.output
    again = CliRunner().invoke(app, call)
    assert again.exit_code == 2
    assert "already there" in again.output


def test_a_plan_is_written_and_the_expressions_stay(tmp_path: Path) -> None:
    house = from_template(tmp_path / "mine", TEMPLATE / "house.yaml", ["width=9m"])[0]
    before = house.read_text().splitlines()
    made = CliRunner().invoke(app, ["plan", str(house), "--write"])
    assert made.exit_code in (0, 1), made.output
    after = house.read_text().splitlines()
    assert load_house(house).wires
    assert [line for line in before if "=" in line] == [
        line for line in after if "=" in line and line in before
    ]
    assert [line for line in after if line in before] == before


def test_a_template_without_schemes_gets_a_plain_one(tmp_path: Path) -> None:
    written = from_template(tmp_path / "mine", TEMPLATE / "house.yaml", [])
    assert [path.name for path in written] == ["house.yaml", "evening.scheme.yaml"]
    load_scheme(written[1], load_house(written[0]))


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path, template: Path) -> None:
    with pytest.raises(EvenfallError) as caught:
        from_template(tmp_path / "mine", template, ["a=1", "pitch=2 m", "b"])
    assert len(str(caught.value).splitlines()) == 3


def test_a_house_without_measures_says_so(tmp_path: Path) -> None:
    with pytest.raises(EvenfallError, match="has no measures that could be set"):
        from_template(tmp_path / "mine", TEMPLATE.parent / "cottage" / "house.yaml", ["width=3m"])


def test_nothing_is_written_over(tmp_path: Path, template: Path) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "winter.scheme.yaml").write_text("mine")
    with pytest.raises(EvenfallError, match=r"winter\.scheme\.yaml is already there"):
        from_template(mine, template, ["width=14m"])
    assert [path.name for path in mine.iterdir()] == ["winter.scheme.yaml"]
    assert (mine / "winter.scheme.yaml").read_text() == "mine"


def test_what_is_part_of_it_goes_along(
    tmp_path: Path, template: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = template.parent
    (folder / "pictures").mkdir()
    Image.fromarray(np.zeros((8, 8, 3), dtype=np.uint8)).save(folder / "pictures" / "front.png")
    text = template.read_text().replace(
        "  viewer: 14\n",
        "  viewer: 14\n  photo: {file: pictures/front.png,"
        " corners: [[0, 0], [9, 0], [9, 5], [0, 5]]}\n",
    )
    template.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    (folder / "broken.scheme.yaml").write_text("format: evenfall-scheme/1\nname: x\nlayers: 3\n")
    (folder / "prices.yaml").write_text("format: evenfall-prices/1\n")
    season = (TEMPLATE.parent / "bungalow" / "year.season.yaml").read_text()
    (folder / "year.season.yaml").write_text(season)
    written = from_template(tmp_path / "mine", template, ["width=14m"])
    names = [str(path.relative_to(tmp_path / "mine")) for path in written]
    assert names == [
        "house.yaml",
        "evening.scheme.yaml",
        "winter.scheme.yaml",
        "prices.yaml",
        "pictures/front.png",
    ]
    assert load_house(written[0]).drawing.photo is not None
    # byte order mark and line ends stay as they were
    wanted = template.read_bytes().replace(b"width: 12 m", b"width: 14m")
    assert written[0].read_bytes() == wanted
    told = capsys.readouterr().err.splitlines()
    assert told[0].startswith("left out: broken.scheme.yaml, which does not load with this house: ")
    assert told[1].startswith("left out: year.season.yaml, which does not load with this house: ")
