"""A house out of a page: its scale, its ground, what every shape became."""

from __future__ import annotations

import numpy as np
import pytest

from layouts import House, house_from
from layouts.catalogue import kinds, materials
from layouts.errors import InputError
from layouts.polygon import area_m2
from layouts.svg import DrawnHouse, house_of_page
from layouts.svg.shapes import page_of
from layouts.svg.style import Rgb
from layouts.svg.tree import parse_tree

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 300">\n'
WALL = '<rect id="wall" x="100" y="100" width="200" height="100" fill="#fff"/>\n'
EAVE = '<path id="eave" fill="none" stroke="red" d="M90 100 H310"/>\n'
SCALE = '<g><path stroke="red" fill="none" d="M100 250 H300"/><text x="150" y="245">10 m</text></g>'


def by_red(rgb: Rgb) -> tuple[str, float]:
    """Stands in for the nearest material: the redder, the more brick."""
    return ("brick-red", 0.01) if rgb[0] > rgb[1] else ("render-white", 0.3)


def drawn(inside: str, width: str | None = None, units: str = "m", head: str = HEAD) -> DrawnHouse:
    page = page_of(parse_tree(f"{head}{inside}</svg>".encode(), "a.svg"), "a.svg")
    return house_of_page(
        page,
        materials=materials(),
        nearest=by_red,
        kind=kinds()["ws2815"],
        hedge_kind=kinds()["ws2811-12v-group3"],
        profile="channel-frosted",
        name="x",
        units=units,
        width=width,
    )


def house(*given: str, **more: str) -> House:
    return house_from(drawn("".join(given), **more).data)


@pytest.mark.parametrize(
    "scale",
    [
        SCALE,
        SCALE.replace("<g>", "").replace("</g>", ""),  # beside it
        '<line stroke="red" aria-label="10 m" x1="100" y1="250" x2="300" y2="250"/>',
        '<line stroke="red" x1="100" y1="250" x2="300" y2="250"><title>10 m</title></line>',
        '<line stroke="red" id="1000 cm" x1="100" y1="250" x2="300" y2="250"/>',
        '<g transform="scale(2)"><path stroke="red" fill="none" d="M50 125 v-50"/>'
        '<text x="55" y="90">5 m</text></g>',
    ],
)
def test_a_labelled_line_says_the_scale(scale: str) -> None:
    made = house(WALL, EAVE, scale)
    assert made.drawing.size_m == pytest.approx((20, 10))
    assert made.drawing.surfaces[0].outline_m.tolist() == [[5, 5], [15, 5], [15, 0], [5, 0]]
    assert made.runs[0].path_m.tolist() == [[4.5, 5], [15.5, 5]]
    assert [run.name for run in made.runs] == ["eave"]


@pytest.mark.parametrize(("width", "units"), [("10 m", "m"), ("1000", "cm"), ("10", "m")])
def test_the_width_of_the_house_says_it(width: str, units: str) -> None:
    lawn = '<rect id="lawn" x="-50" y="200" width="500" height="100" fill="green"/>'
    made = house(lawn, WALL, EAVE, width=width, units=units)
    wall = next(each for each in made.drawing.surfaces if each.name == "wall")
    assert wall.outline_m[:, 0].tolist() == pytest.approx([5, 15, 15, 5])


def test_a_width_goes_before_a_label_and_the_line_is_no_run() -> None:
    made = house(WALL, EAVE, SCALE, width="20 m")
    assert made.drawing.size_m[0] == pytest.approx(40)
    assert [run.name for run in made.runs] == ["eave"]


def test_feet_are_rounded_to_sixteenths() -> None:
    made = house(WALL, EAVE, width="33 ft 1/3 in", units="ft")
    steps = made.drawing.surfaces[0].outline_m / (0.0254 / 16)
    assert steps == pytest.approx(np.rint(steps), abs=1e-3)


def refused(*given: str, **more: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        drawn("".join(given), **more)
    return str(caught.value).splitlines()


def test_without_a_scale_both_ways_are_said() -> None:
    assert refused(WALL, EAVE) == [
        "a.svg:1:1: nothing says how large this is; draw a line along something you know and write"
        " its length beside it, like '4.2 m', or give the width of the house: --width \"12 m\""
    ]


def test_two_lines_that_disagree_are_told_at_both() -> None:
    other = '\n<line aria-label="5 m" stroke="red" x1="0" y1="0" x2="0" y2="50"/>'
    found = refused(WALL, EAVE, SCALE, other)
    assert [each.split(": ")[0] for each in found] == ["a.svg:4:4", "a.svg:5:1"]
    assert "this line says 20 px for a metre, another something else" in found[0]


def test_a_text_far_from_every_line_says_nothing() -> None:
    far = SCALE.replace("<g>", "").replace("</g>", "").replace('y="245"', 'y="10"')
    assert "nothing says how large this is" in refused(WALL, EAVE.replace("310", "92"), far)[0]


@pytest.mark.parametrize("width", ["0", "-3 m", "twelve", "12 parsec", "1e9 m"])
def test_a_width_that_is_none(width: str) -> None:
    with pytest.raises(ValueError, match="; "):
        drawn(WALL + EAVE, width=width)


def test_a_drawing_without_width_or_without_anything() -> None:
    upright = '<path stroke="red" fill="none" d="M5 5 V50"/>'
    assert "all that is drawn has no width" in refused(upright, width="3 m")[0]
    assert "nothing is drawn here that could be a house" in refused("", width="3 m")[0]
    assert "there is no unfilled line along which lights" in refused(WALL, width="3 m")[0]


def test_a_line_called_ground_is_the_ground() -> None:
    ground = '<line id="ground" stroke="red" x1="0" y1="180" x2="400" y2="180"/>'
    made = house(ground, WALL, EAVE, SCALE)
    assert made.drawing.surfaces[0].outline_m[:, 1].tolist() == [4, 4, -1, -1]
    assert [run.name for run in made.runs] == ["eave"]


@pytest.mark.parametrize(
    ("shape", "material"),
    [
        ('<rect aria-label="Slate" {}/>', "slate"),
        ('<rect aria-label="old_Brick RED wall 3" {}/>', "brick-red"),
        ('<rect aria-label="glass-lit" {}/>', "glass-lit"),
        ('<rect aria-label="glasshouse" {}/>', "trim-white"),  # small beside the wall
        ('<rect id="rect12" class="x timber" {}/>', "timber"),
        ('<g aria-label="concrete"><rect {}/></g>', "concrete"),
        ('<rect {} fill="#800"/>', "brick-red"),
        ('<rect {} fill="#008"/>', "trim-white"),
        ('<rect {} aria-label="render-white"/>', "render-white"),  # a label is believed
    ],
)
def test_materials(shape: str, material: str) -> None:
    shape = shape.format('x="120" y="120" width="20" height="20"')
    assert house(WALL, EAVE, SCALE, shape).drawing.surfaces[-1].material.name == material


def test_white_that_is_large_is_a_wall() -> None:
    wing = '<rect x="120" y="120" width="150" height="100" fill="#008"/>'
    assert house(WALL, EAVE, SCALE, wing).drawing.surfaces[-1].material.name == "render-white"


def test_a_depth_is_a_length_of_the_shape_or_its_group() -> None:
    square = '<rect id="{}" {} x="120" y="120" width="20" height="20"/>'
    shapes = (
        square.format("own", 'data-depth="40 cm"'),
        f'<g data-depth="-0.5">{square.format("of-group", "")}</g>',
        square.format("lost", 'data-depth="near"'),
        square.format("far", 'data-depth="300 m"'),
    )
    made = house(WALL, EAVE, SCALE, *shapes)
    assert [each.depth_m for each in made.drawing.surfaces] == [0, 0.4, -0.5, 0, 0]
    told = rows(WALL, EAVE, SCALE, *shapes)
    assert "40 cm before the wall" in told["own"]
    assert "'near' is no length" in told["lost"]
    assert "more than 20 m" in told["far"]


def test_a_transform_about_its_origin() -> None:
    """CSS Transforms 1, section 4: the origin is moved to 0, the transform done, and moved back."""
    shape = '<rect id="q" x="120" y="120" width="20" height="10" transform="rotate(90)" {}/>'
    turned = shape.format('transform-origin="120px 120px"')
    plain = '<rect x="110" y="120" width="10" height="20"/>'
    first, second = (
        sorted(house(WALL, EAVE, SCALE, each).drawing.surfaces[-1].outline_m.round(6).tolist())
        for each in (turned, plain)
    )
    assert first == second
    told = drawn("".join((WALL, EAVE, SCALE, shape.format('style="transform-origin: center"'))))
    assert any("transform-origin 'center' is not read" in row.said for row in told.rows)


def rows(*given: str, **more: str) -> dict[str, str]:
    made = drawn("".join(given), **more)
    return {row.name or row.shape: f"{row.became}: {row.said}" for row in made.rows}


def test_what_became_of_every_shape_is_told() -> None:
    found = rows(
        '<rect id="sky" width="400" height="300" fill="url(#g)"/>'
        "<linearGradient id='g'><stop stop-color='red'/></linearGradient>",
        WALL,
        EAVE,
        SCALE,
        '<rect id="speck" x="10" y="10" width="0.1" height="0.1"/>',
        '<path id="dot" stroke="red" fill="none" d="M10 10 h.1"/>',
        '<rect id="weave" x="120" y="120" width="9" height="9" fill="url(#nowhere)"/>',
        '<rect id="sunset" x="120" y="120" width="9" height="9" fill="url(#g)"/>',
        '<image id="logo" href="a.png"/>',
    )
    assert found == {
        "sky": "nothing: it covers the page: the sky is drawn by itself",
        "wall": "surface: render-white, nearest to #ffffff, which is far from it",
        "eave": "run: 11.00 m of ws2815",
        "path": "scale: it says how large the drawing is",
        "speck": "nothing: it encloses nothing",
        "dot": "nothing: it is shorter than one pixel",
        "weave": "nothing: it has no colour; label it with the name of a material",
        "sunset": "surface: brick-red, nearest to #ff0000; the mean of its gradient",
        "logo": "nothing: a picture is not loaded; trace it, or use --photo",
    }


@pytest.mark.parametrize(
    ("page", "name"),
    [
        ('<rect id="wall" {}/>', "wall"),
        ('<rect id="rect7" aria-label="gable wall" {}/>', "gable-wall"),
        ("<rect {}><title>north side</title></rect>", "north-side"),
        ('<g id="render-cream"><rect {}/></g>', "render-cream"),
        ('<rect class="brick-red" {}/>', "brick-red"),
    ],
)
def test_what_has_a_name_and_fills_the_page_is_of_the_house(page: str, name: str) -> None:
    fill = page.format('width="400" height="300" fill="#fff"')
    (surface,) = house(fill, EAVE, SCALE).drawing.surfaces
    assert surface.name == name


@pytest.mark.parametrize(
    "page",
    [
        "<rect {}/>",
        '<rect id="rect7" {}/>',
        '<g id="house"><rect {}/></g>',
        '<rect class="wide" {}/>',
        '<rect id="sky" {}><title>dusk</title></rect>',
        '<rect id="evening sky" {}/>',
        '<rect id="background2" {}/>',
    ],
)
def test_what_has_none_or_is_called_the_sky_is_the_sky(page: str) -> None:
    fill = page.format('width="400" height="300" fill="#fff"')
    (surface,) = house(fill, WALL, EAVE, SCALE).drawing.surfaces
    assert surface.name == "wall"


def test_names_are_made_fit_and_given_once() -> None:
    made = house(
        WALL,
        EAVE,
        SCALE,
        '<path id="a/b: c" stroke="red" fill="none" d="M100 90 H150 M200 90 H250"/>',
        '<path id="eave" stroke="red" fill="none" d="M100 80 H150"/>',
        '<path id="all" stroke="red" fill="none" d="M100 70 H150"/>',
        '<path id="path7" stroke="red" fill="none" d="M100 60 H150 V90 Z"/>',
    )
    names = [run.name for run in made.runs]
    assert names == ["eave", "a-b-c-1", "a-b-c-2", "eave 2", "all 2", "run"]
    assert made.runs[-1].path_m[0].tolist() == made.runs[-1].path_m[-1].tolist()


def test_a_line_on_a_hedge_is_a_string_that_faces_the_street() -> None:
    hedge = '<rect id="hedge" x="100" y="170" width="80" height="40"/>'
    string = '<path id="s" stroke="red" fill="none" d="M105 190 q 30 -20 70 0"/>'
    run = house(WALL, hedge, EAVE, string, SCALE).run("s")
    assert (run.kind.name, run.aim, run.profile.name) == ("ws2811-12v-group3", "out", "bare")


def test_an_upright_line_is_aimed_where_it_can_be() -> None:
    post = '<path id="post" stroke="red" fill="none" d="M105 190 V120"/>'
    assert house(WALL, EAVE, post, SCALE).run("post").aim == "out"


@pytest.mark.parametrize(("rule", "area"), [("evenodd", 4 - 1), ("nonzero", 4)])
def test_holes_stay_open(rule: str, area: float) -> None:
    frame = (
        f'<path id="frame" fill-rule="{rule}" d="M120 120 h40 v40 h-40 z M130 130 h20 v20 h-20 z"/>'
    )
    made = house(WALL, EAVE, SCALE, frame)
    parts = [each for each in made.drawing.surfaces if each.name.startswith("frame")]
    assert sum(abs(area_m2(each.outline_m)) for each in parts) == pytest.approx(area)


def test_a_shape_that_crosses_itself_is_painted_as_it_is_seen() -> None:
    bow = '<path id="bow" d="M120 120 L160 160 V120 L120 160 Z"/>'
    made = house(WALL, EAVE, SCALE, bow)
    parts = [each for each in made.drawing.surfaces if each.name.startswith("bow")]
    assert sum(abs(area_m2(each.outline_m)) for each in parts) == pytest.approx(2)


def test_curves_keep_five_millimetres() -> None:
    round_ = '<circle id="rose" cx="200" cy="150" r="20"/>'
    outline = house(WALL, EAVE, SCALE, round_).drawing.surfaces[-1].outline_m
    middles = (outline + np.roll(outline, -1, axis=0)) / 2
    # corners are rounded to 1 mm, which is 0.7 mm at most
    gap = 1 - np.linalg.norm(middles - [10, 2.5], axis=1)
    assert gap.max() < 0.005 + 0.0008


def test_chains_end_where_data_cannot_go_on() -> None:
    far = '<path id="far" stroke="red" fill="none" d="M90 190 H120"/>'
    near = '<path id="near" stroke="red" fill="none" d="M125 190 H150"/>'
    made = house(WALL, EAVE, far, near, SCALE)
    assert [output.chain for output in made.outputs] == [("eave",), ("far", "near")]
