"""Drawings with huge and tiny numbers: refused at their place or drawn, and never with a warning.

The numbers stand where changing a sound drawing at random put them: in control points, arcs,
transforms, the viewBox, and where the scale comes from.
"""

from __future__ import annotations

import warnings

import pytest

from layouts import house_from
from layouts.catalogue import kinds, materials
from layouts.errors import InputError
from layouts.new_file import rounded
from layouts.svg import house_of_page
from layouts.svg.shapes import page_of
from layouts.svg.tree import parse_tree

WALL = '\n<rect x="20" y="50" width="300" height="250" fill="#8a4a38"/>'
RUN = '\n<path d="M 0 20 H 400" fill="none" stroke="black"/>'


def drawing(inside: str, box: str = "0 0 400 300", around: str = WALL + RUN) -> bytes:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">'
    return f"{head}{around}\n{inside}</svg>".encode()


def read(data: bytes, width: str | None = "12 m") -> None:
    """The house that is drawn, as `new --svg` makes it; any warning is an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        page = page_of(parse_tree(data, "a.svg"), "a.svg")
        some = kinds()
        drawn = house_of_page(
            page, materials=materials(), nearest=lambda rgb: ("brick-red", 0.0),
            kind=some["ws2815"], hedge_kind=some["ws2811-12v-group3"], profile="bare",
            name="House", width=width,
        )  # fmt: skip
        house_from(rounded(drawn.data))


FAR = "this lies beyond any page: every number must be less than 10000000; look at its coordinates"
TURNED = "its transforms put this beyond any page; look at their numbers"


@pytest.mark.parametrize(
    ("inside", "told"),
    [
        ('<path fill="#2c4a24" d="M10 9 C 12 -1e308 30 8 40 9 V 60 Z"/>', FAR),
        ('<path fill="#2c4a24" d="M10 9 Q 1e300 40 40 9 V 60 Z"/>', FAR),
        ('<path fill="#2c4a24" d="M10 9 S 1e308 40 40 9 Z"/>', FAR),
        ('<path fill="none" stroke="black" d="M10 9 C 20 1e308 30 9 50 9"/>', FAR),
        ('<path fill="#2c4a24" d="M10 9 A 52 1e300 0 0 0 90 9 Z"/>', FAR),
        ('<rect transform="translate(5 1e308)" width="9" height="9"/>', TURNED),
        ('<rect transform="scale(1e200) scale(1e200)" width="9" height="9"/>', TURNED),
        ('<g transform="scale(1e20)"><path stroke="red" fill="none" d="M1 2 H9"/></g>', TURNED),
        ('<path fill="#2c4a24" d="M10 9 A 1e-300 1e-300 0 0 0 90 9 Z"/>', "the path data of this"),
        (
            '<path fill="none" stroke="red" d="M9000000 20 h 9"/>',
            "at this scale this lies 360 km from",
        ),
    ],
)
def test_what_is_far_is_refused_at_its_place(inside: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read(drawing(inside))
    (line,) = str(caught.value).splitlines()
    column = 28 if inside.startswith("<g") else 1
    assert line.startswith(f"a.svg:4:{column}: {told}"), line


@pytest.mark.parametrize(
    "box", ["0 1e308 400 300", "-1e300 0 400 300", "0 0 1e308 300", "0 0 5 -1"]
)
def test_a_page_that_is_none(box: str) -> None:
    with pytest.raises(InputError, match=r"a\.svg:1:1: the page .*; correct the viewBox"):
        read(drawing("", box))


@pytest.mark.parametrize("size", ["1000000000", "1e9"])
def test_a_page_that_is_too_large_is_told_with_the_most(size: str) -> None:
    sky = f'<rect width="{size}" height="9"/>'
    with pytest.raises(InputError) as caught:
        read(drawing(sky, f"0 0 {size} 300"))
    most = "every number must be less than 10000000; "
    assert str(caught.value).splitlines() == [
        f"a.svg:1:1: the page of 1000000000 x 300 is larger than can be read: {most}"
        "correct the viewBox, or make the drawing smaller",
        f"a.svg:4:1: {FAR}",
    ]


@pytest.mark.parametrize(
    ("around", "width", "told"),
    [
        ('<rect width="1e-300" height="9"/>' + RUN, "12 m", "all that is drawn has no width"),
        ('<rect width="1e-9" height="9"/>' + RUN, "12 m", "all that is drawn has no width"),
        (WALL + RUN, "0.000001 m", "at this scale all that is drawn is 1e-06 m wide"),
        (
            WALL + RUN + '<line x1="0" x2="1e-5" stroke="red" aria-label="4 m"/>',
            None,
            "at this scale all that is drawn is 1.2e+08 m wide: the line of line",
        ),
        (
            WALL + RUN + '<line x1="0" x2="1e-300" stroke="red" aria-label="4 m"/>',
            None,
            "nothing says how large this is",
        ),
    ],
)
def test_a_scale_of_no_house(around: str, width: str | None, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read(drawing("", around=around), width)
    assert str(caught.value).startswith(f"a.svg:1:1: {told}"), str(caught.value)


@pytest.mark.parametrize(
    "inside",
    [
        '<path fill="#2c4a24" d="M10 9 C 1e-308 5e-324 30 8 40 9 V 60 Z"/>',
        '<path fill="#2c4a24" fill-rule="evenodd" d="M10 9 H 1e-300 V 60 L 90 5e-324 Z"/>',
        '<rect transform="scale(1e-300)" width="9" height="9"/>',
        '<path fill="none" stroke="black" d="M10 9 L 10 9.0000000001 10 9"/>',
    ],
)
def test_what_is_tiny_is_drawn_or_left_out_in_silence(inside: str) -> None:
    read(drawing(inside))
