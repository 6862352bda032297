"""A house written out of the demo drawing, and the colours that stand for materials."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from effects import load_scheme
from layouts import load_house
from layouts.errors import EvenfallError
from sim.cli.new_svg import LIT, from_svg, nearest_material

DRAWING = Path(__file__).resolve().parents[2] / "demo" / "drawing" / "house.svg"


def test_the_demo_drawing_becomes_a_house(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    written = from_svg(tmp_path / "mine", DRAWING, None, None, None)
    assert [path.name for path in written] == ["house.yaml", "evening.scheme.yaml"]
    house = load_house(written[0])
    load_scheme(written[1], house)
    # by hand: the wall is 576 px wide at 50 px a metre, from x = 204 on; its foot is at y = 432
    wall = next(each for each in house.drawing.surfaces if each.name == "wall")
    assert wall.outline_m[:, 0].min() == pytest.approx(204 / 50)
    assert wall.outline_m[:, 0].max() == pytest.approx(780 / 50)
    assert wall.material.name == "render-cream"
    assert [run.name for run in house.runs] == [
        "gable",
        "eave-left",
        "eave-middle",
        "porch",
        "eave-right",
        "hedge-string",
    ]
    told = capsys.readouterr().err
    assert "labelled '11.52 m', is 576 px long" in told
    assert "it covers the page" in told
    assert "cut into" in told


def test_units_follow_the_width_and_a_name_the_file(tmp_path: Path) -> None:
    copy = tmp_path / "my_old-house.svg"
    shutil.copy(DRAWING, copy)
    house = load_house(from_svg(tmp_path / "mine", copy, "38 ft", None, None)[0])
    assert (house.units, house.name) == ("ft", "My old house")
    house = load_house(from_svg(tmp_path / "two", copy, "38 ft", "cm", "Ours")[0])
    assert (house.units, house.name) == ("cm", "Ours")


def test_nothing_is_written_over_and_nothing_half(tmp_path: Path) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "evening.scheme.yaml").write_text("mine")
    with pytest.raises(EvenfallError, match="is already there; name another folder"):
        from_svg(mine, DRAWING, None, None, None)
    assert [path.name for path in mine.iterdir()] == ["evening.scheme.yaml"]


@pytest.mark.parametrize("width", ["0 m", "wide"])
def test_a_width_that_is_none_is_told_with_its_flag(tmp_path: Path, width: str) -> None:
    with pytest.raises(EvenfallError, match=f"--width {width}: "):
        from_svg(tmp_path / "mine", DRAWING, width, None, None)
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize(
    ("rgb", "material"),
    [
        # the colours that paints.yaml gives for these materials
        ((0x96, 0x5C, 0x44), "brick-red"),
        ((0xB8, 0x9A, 0x72), "brick-buff"),
        ((0x64, 0x80, 0x9B), "lap-siding-blue"),
        (LIT, "glass-lit"),
    ],
)
def test_the_nearest_material_is_that_of_the_colour(
    rgb: tuple[int, int, int], material: str
) -> None:
    name, apart = nearest_material()(rgb)
    assert name == material
    assert apart < 0.03


def test_white_is_not_snow() -> None:
    assert nearest_material()((255, 255, 255))[0] != "snow"
