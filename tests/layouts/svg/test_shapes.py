"""Transforms, paths and paint, against numpy, closed forms and another library."""

from __future__ import annotations

import math

import numpy as np
import pytest
import svgpathtools
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layouts.svg.flatten import polylines
from layouts.svg.page import Page
from layouts.svg.primitives import path_of
from layouts.svg.shapes import page_of
from layouts.svg.tree import parse_tree

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 300">'


def page(inside: str, head: str = HEAD) -> Page:
    return page_of(parse_tree(f"{head}{inside}</svg>".encode(), "a.svg"), "a.svg")


def points(inside: str, head: str = HEAD, tolerance: float = 0.01) -> np.ndarray:
    (shape,) = page(inside, head).shapes
    ((made, _),) = polylines(shape.path, tolerance)
    return made


# ---- transforms -------------------------------------------------------------------------------


def T(x: float, y: float) -> np.ndarray:
    return np.array([[1, 0, x], [0, 1, y], [0, 0, 1]])


def S(x: float, y: float) -> np.ndarray:
    return np.diag([x, y, 1])


def R(degrees: float) -> np.ndarray:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def M(a: float, b: float, c: float, d: float, e: float, f: float) -> np.ndarray:
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]])


def tan(degrees: float) -> float:
    return math.tan(math.radians(degrees))


#: Definitions: CSS Transforms 1, section 8 and its mathematical description; SVG 2, chapter 8.
TRANSFORMS = [
    ("translate(50,30)", T(50, 30)),
    ("translate(50)", T(50, 0)),
    ("rotate(30)", R(30)),
    ("rotate(-45 10 20)", T(10, 20) @ R(-45) @ T(-10, -20)),
    ("scale(1.5)", S(1.5, 1.5)),
    ("scale(2 .5)", S(2, 0.5)),
    ("skewX(30)", M(1, 0, tan(30), 1, 0, 0)),
    ("skewY(30)", M(1, tan(30), 0, 1, 0, 0)),
    ("matrix(1 2 3 4 5 6)", M(1, 2, 3, 4, 5, 6)),
    ("translate(50,90), rotate(-45) translate(130 160)", T(50, 90) @ R(-45) @ T(130, 160)),
    ("translate(-10,-20)scale(2)rotate(45)translate(5,10)",
     T(-10, -20) @ S(2, 2) @ R(45) @ T(5, 10)),
]  # fmt: skip


@pytest.mark.parametrize(("text", "matrix"), TRANSFORMS)
def test_a_transform_is_its_matrix(text: str, matrix: np.ndarray) -> None:
    found = points(f'<path d="M 0 0 L 10 0 L 10 20" stroke="red" transform="{text}"/>')
    corners = np.array([[0, 0, 1], [10, 0, 1], [10, 20, 1]])
    assert found == pytest.approx((corners @ matrix.T)[:, :2])


@pytest.mark.parametrize(("outer", "a"), TRANSFORMS)
@pytest.mark.parametrize(("inner", "b"), TRANSFORMS[2:8])
def test_groups_multiply_from_the_outside(
    outer: str, a: np.ndarray, inner: str, b: np.ndarray
) -> None:
    found = points(
        f'<g transform="{outer}"><g style="transform: {inner}">'
        '<use href="#a" x="3" y="4" transform="scale(2)"/></g></g>'
        '<defs><path id="a" d="M 0 0 L 10 0 L 10 20" stroke="red" transform="rotate(10)"/></defs>'
    )
    corners = np.array([[0, 0, 1], [10, 0, 1], [10, 20, 1]])
    # SVG 2, 5.6.2: x and y of a use are a translation after its own transform
    assert found == pytest.approx((corners @ (a @ b @ S(2, 2) @ T(3, 4) @ R(10)).T)[:, :2])


def test_the_nested_example_of_the_specification() -> None:
    """SVG 1.1, 7.5: translate(50,90) rotate(-45) translate(130,160) is
    [.707 -.707 .707 .707 255.03 111.21], in its three digits of the root of a half [from memory].
    """
    found = points(
        '<g transform="translate(50,90)"><g transform="rotate(-45)">'
        '<path d="M0 0 L1 0 L1 1" stroke="red" transform="translate(130,160)"/></g></g>'
    )
    assert found[0] == pytest.approx([255.03, 111.21], abs=0.05)
    assert found[1] - found[0] == pytest.approx([0.707, -0.707], abs=1e-3)


@pytest.mark.parametrize(
    ("head", "corner"),
    [
        ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="100 50 40 30">', [-90, -30]),
        ('<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="30mm">', [10, 20]),
        # stretched: 200 px over 40 units across, 60 over 30 down
        ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 30" width="200" height="60"'
         ' preserveAspectRatio="none">', [50, 40]),
    ],
)  # fmt: skip
def test_the_page_begins_at_its_corner(head: str, corner: list[float]) -> None:
    assert points('<rect x="10" y="20" width="3" height="4"/>', head)[0] == pytest.approx(corner)


def test_the_size_of_a_page_without_a_viewbox() -> None:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="25.4mm">'
    assert page("", head).size == pytest.approx((384, 96))


# ---- curves -----------------------------------------------------------------------------------


def apart(places: np.ndarray, line: np.ndarray) -> float:
    """The largest distance of `places` (N, 2) from the polyline `line` (K, 2)."""
    begin, along = line[:-1], np.diff(line, axis=0)
    length2 = np.maximum((along**2).sum(axis=1), 1e-30)
    share = ((places[:, None] - begin) * along).sum(axis=2) / length2
    near = begin + np.clip(share, 0, 1)[..., None] * along
    return float(np.linalg.norm(places[:, None] - near, axis=2).min(axis=1).max())


@pytest.mark.parametrize("tolerance", [1.0, 0.1, 0.01, 0.001])
def test_a_circle_is_as_long_and_as_round_as_it_is(tolerance: float) -> None:
    found = points('<circle cx="100" cy="90" r="50"/>', tolerance=tolerance)
    assert np.linalg.norm(found - [100, 90], axis=1) == pytest.approx(50, abs=1e-6)
    closed = np.concatenate([found, found[:1]])
    middles = (closed[1:] + closed[:-1]) / 2
    sagitta = 50 - np.linalg.norm(middles - [100, 90], axis=1)
    assert sagitta.max() <= tolerance * (1 + 1e-9)
    # chords of sagitta s: 2 pi r less at most 8 s / 3 / (2 r) of it
    length = np.hypot(*np.diff(closed, axis=0).T).sum()
    assert 2 * math.pi * 50 * (1 - 4 / 3 * tolerance / 50) <= length <= 2 * math.pi * 50


def test_an_ellipse_has_the_area_of_one() -> None:
    x, y = points('<ellipse cx="9" cy="9" rx="40" ry="10"/>', tolerance=1e-4).T
    area = abs((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) / 2
    assert area == pytest.approx(math.pi * 400, rel=1e-4)


def test_a_rounded_rectangle_has_the_area_of_one() -> None:
    x, y = points('<rect width="40" height="20" rx="5"/>', tolerance=1e-4).T
    area = abs((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) / 2
    assert area == pytest.approx(800 - (4 - math.pi) * 25, rel=1e-4)


NUMBER = st.integers(-200, 200)
PAIR = st.tuples(NUMBER, NUMBER)
SEGMENT = st.one_of(
    st.tuples(st.just("L"), PAIR),
    st.tuples(st.just("Q"), PAIR, PAIR),
    st.tuples(st.just("C"), PAIR, PAIR, PAIR),
    st.tuples(st.just("c"), PAIR, PAIR, PAIR),
    st.tuples(st.just("S"), PAIR, PAIR),
    st.tuples(st.just("T"), PAIR),
    st.tuples(st.just("A"), st.tuples(st.integers(20, 200), st.integers(20, 200)),
              st.integers(0, 90), st.sampled_from([(0, 0), (0, 1), (1, 0), (1, 1)]), PAIR),
)  # fmt: skip


def _text(segment: tuple[object, ...]) -> str:
    parts = []
    for each in segment:
        parts.append(" ".join(map(str, each)) if isinstance(each, tuple) else str(each))
    return " ".join(parts)


@settings(deadline=None, max_examples=60)
@given(PAIR, st.lists(SEGMENT, min_size=1, max_size=6), st.sampled_from([0.05, 0.5]))
def test_polylines_stay_beside_the_curve_of_another_library(
    start: tuple[int, int], segments: list[tuple[object, ...]], tolerance: float
) -> None:
    """svgpathtools reads the same path data with code of its own."""
    text = f"M {start[0]} {start[1]} " + " ".join(map(_text, segments))
    try:
        theirs = svgpathtools.parse_path(text)
    except AssertionError:  # an arc that ends where it begins is nothing, and no arc to it
        assume(False)
    assume(len(theirs) > 0)
    assume(all(each.start != each.end for each in theirs))
    found = polylines(path_of(text), tolerance)
    assume(found)
    ((ours, _),) = found
    steps = np.linspace(0, 1, 400)
    places = np.array([each.point(t) for each in theirs for t in steps])
    assert apart(np.column_stack([places.real, places.imag]), ours) <= tolerance * 1.01 + 1e-6
    # and every corner of ours lies on theirs, as far as their 400 chords are it
    fine = np.column_stack([places.real, places.imag])
    assert apart(ours, fine) <= 0.1


# ---- paint and names --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("attributes", "fill", "stroked"),
    [
        ('fill="#abc"', (170, 187, 204), False),
        ('fill="rgb(10%, 20%, 100%)"', (26, 51, 255), False),
        ('fill="rgb(10 20 30 / 0.5)"', (10, 20, 30), False),
        ('style="fill: teal; stroke: none"', (0, 128, 128), False),
        ('class="b a"', (1, 2, 3), False),
        ('class="c" fill="red"', (0, 0, 0), False),
        ('id="d"', (4, 5, 6), False),
        ('fill="none" stroke="red"', None, True),
        ('fill="currentColor" color="#010101"', (1, 1, 1), False),
        ('fill="url(#g)"', (100, 50, 0), False),
        ('fill="url(#h)"', (100, 50, 0), False),
        ('fill="url(#p) #070809"', (7, 8, 9), False),
    ],
)
def test_paint(attributes: str, fill: tuple[int, int, int] | None, stroked: bool) -> None:
    rules = (
        "<style>/* x { y } */ .a { fill: rgb(1,2,3) } rect.c, .x > .y { fill: black !important }"
        " #d { fill: #040506 } rect { fill: #333 }</style>"
        "<linearGradient id='g'><stop stop-color='#c86400'/><stop style='stop-color: black'/>"
        "</linearGradient><radialGradient id='h' href='#g'/><pattern id='p'/>"
    )
    plain = "class" in attributes or "id" in attributes
    (shape,) = page((rules if plain else rules.replace("rect { fill: #333 }", ""))
                    + f'<rect width="9" height="9" {attributes}/>').shapes  # fmt: skip
    assert shape.fill == fill
    assert shape.stroked == stroked


@pytest.mark.parametrize(
    "attributes",
    [
        'fill="none"',
        'display="none"',
        'visibility="hidden"',
        'opacity="0"',
        'fill-opacity="0%"',
        'style="display:none"',
    ],
)
def test_what_is_not_seen_is_not_read(attributes: str) -> None:
    assert page(f'<g {attributes}><rect width="9" height="9"/></g>').shapes == [] or (
        page(f'<rect width="9" height="9" {attributes}/>').shapes == []
    )


def test_names_are_of_what_uses_it_then_its_own_then_of_groups_then_classes() -> None:
    (shape,) = page(
        '<defs><g id="inner"><rect id="own" aria-label="said" class="c" width="9" height="9">'
        "<title>titled</title></rect></g></defs>"
        '<g id="outer"><use id="used" href="#inner"/></g>'
    ).shapes
    assert shape.labels == ("used", "own", "said", "titled", "inner", "outer", "c")
