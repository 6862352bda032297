"""A photograph behind the lights: which files and corners are taken, and which are not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from layouts import House

RIGHT = "[[0, 0], [9, 0], [9, 5], [0, 5]]"


def text(file: str = "my.jpg", corners: str = RIGHT) -> str:
    return (
        "format: evenfall-house/1\nname: T\n"
        f"drawing: {{size: [9, 5], photo: {{file: {file}, corners: {corners}}}}}\n"
        "runs: [{name: r, pixels: ws2813, path: [[0, 1], [3, 1]]}]\n"
    )


@pytest.fixture(autouse=True)
def photo(tmp_path: Path) -> None:
    Image.new("RGB", (40, 30), (90, 80, 70)).save(tmp_path / "my.jpg")


def test_a_photo_as_the_readme_writes_it(house: Callable[[str], House], tmp_path: Path) -> None:
    readme = Path(__file__).resolve().parents[2] / "README.md"
    line = "photo: {file: my.jpg, corners: [[0, 0], [9, 0], [9, 5], [0, 5]]}"
    assert line in readme.read_text(encoding="utf-8")
    found = house(text()).drawing.photo
    assert found is not None
    assert found.file == str(tmp_path / "my.jpg")
    assert found.corners_m == ((0, 0), (9, 0), (9, 5), (0, 5))


def test_a_garden_beyond_the_drawing_may_be_on_it(house: Callable[[str], House]) -> None:
    # taken from the left, with a lawn in front and a sky above
    assert house(text(corners="[[-8, -3], [20, -5], [19, 12], [-7, 9]]")).drawing.photo


@pytest.mark.parametrize(
    ("corners", "problem"),
    [
        ("[[0, 0], [9, 5], [9, 0], [0, 5]]", "the photo's corners do not go once around"),
        ("[[0, 5], [9, 5], [9, 0], [0, 0]]", "the photo would stand upside down and mirrored"),
        ("[[9, 5], [0, 5], [0, 0], [9, 0]]", "the photo would stand upside down"),
        ("[[9, 0], [0, 0], [0, 5], [9, 5]]", "the photo would stand mirrored"),
        ("[[9, 0], [9, 5], [0, 5], [0, 0]]", "the photo would lie on its side"),
    ],
)
def test_corners_in_the_wrong_order(
    refused: Callable[[str], list[str]], corners: str, problem: str
) -> None:
    (found,) = refused(text(corners="¶" + corners))
    assert found == f"¶ {problem}; give lower left, lower right, upper right, upper left"


@pytest.mark.parametrize(
    "corners",
    [
        "[[0, 0], [9000, 0], [9000, 5000], [0, 5000]]",  # millimetres
        "[[0, -26], [9, -26], [9, 5], [0, 5]]",
        "[[20, 0], [29, 0], [29, 5], [20, 5]]",  # beside the drawing
        "[[0, -9], [9, -9], [9, -1], [0, -1]]",  # below it
    ],
)
def test_corners_far_outside(refused: Callable[[str], list[str]], corners: str) -> None:
    assert refused(text(corners="¶" + corners)) == [
        "¶ the photo's corners lie far outside the drawing, which is 9 m wide and 5 m high;"
        " check their unit"
    ]


def test_a_text_is_no_photo(refused: Callable[[str], list[str]], tmp_path: Path) -> None:
    (tmp_path / "my.jpg").write_text("a shopping list")
    assert refused(text(file="¶my.jpg")) == [
        "¶ 'my.jpg' is no picture that can be read; save the photograph as JPEG or PNG"
    ]


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ('"a\\0b.jpg"', "¶ a text with the character NUL"),
        ("x" * 300 + ".jpg", "¶ no file can have the name"),
    ],
)
def test_names_that_no_file_has(refused: Callable[[str], list[str]], name: str, says: str) -> None:
    assert refused(text(file="¶" + name))[0].startswith(says)
