"""Where pixels sit under eaves, and the finding where two things could be meant."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from layouts import House, house_findings
from layouts.eaves import EDGE_M, Mounting, _lower_edges, mounting
from sim.report.wording import sentence

HOUSE = """\
format: evenfall-house/1
name: Test
drawing:
  size: [10, 5]
  surfaces:
    - {{name: trees, material: hedge, depth: -6, outline: [[-9, 0], [19, 0], [19, 3], [-9, 3]]}}
    - {{name: roof, material: slate, depth: {roof}, outline: [[0, 3], [10, 3], [9, 4], [1, 4]]}}
    - {{name: wall, material: brick-red, outline: [[1, 0], [9, 0], [9, 3], [1, 3]]}}
    - {{name: door, material: door-red, depth: -0.1, outline: [[4, 0], [5, 0], [5, 3], [4, 3]]}}
{board}
runs: [{{name: eave, pixels: ws2813, path: [[0.6, {y}], [9.4, {y}]], aim: {aim}, standoff: {off}}}]
"""
FASCIA = (
    "    - {name: fascia, material: trim-white, depth: 0.5,"
    " outline: [[0.5, 2.8], [9.5, 2.8], [9.5, 3], [0.5, 3]]}"
)
Hung = Callable[..., Mounting]


@pytest.fixture
def build(house: Callable[[str], House]) -> Callable[..., House]:
    def built(y: float, off: float, aim: object = "down", board: str = FASCIA, roof: float = 0.5):
        return house(HOUSE.format(y=y, off=off, aim=aim, board=board, roof=roof))

    return built


# Expected depths: a strip hangs straight along its board, its standoff from the wall (0), never
# before the board's front (0.5); drawn on the board with a profile's standoff, that far behind it.
@pytest.mark.parametrize(
    ("y", "off", "depth_m"),
    [
        (2.78, 0.45, 0.45),  # under the edge
        (2.78, 0.55, 0.50),  # a little far: up to the front
        (2.80, 0.45, 0.45),  # on the edge
        (2.82, 0.45, 0.45),  # just above it
        (2.82, 0.90, 0.49),  # would be far in front
        (2.82, 0.02, 0.48),  # as far behind the front as a profile is deep
    ],
)
@pytest.mark.parametrize("aim", ["down", 45, -5])
def test_hangs_under_the_edge(build, y, off, depth_m, aim):
    found = mounting(build(y, off, aim))
    assert np.ptp(found.depth_m) < 1e-9  # straight before trees, wall and door
    assert found.depth_m[0] == pytest.approx(depth_m)
    assert set(found.over) == {4}
    assert found.soffit == pytest.approx(np.tile([0, 1], (len(found.over), 1)))


@pytest.mark.parametrize(
    ("y", "off", "aim", "depth_m"),
    [
        (2.82, 0.02, "out", 0.52),  # on the face, seen from the street
        (2.82, 0.02, "up", 0.52),
        (2.90, 0.02, "down", 0.52),  # in the middle of the board
        (2.80 - EDGE_M - 0.01, 0.45, "down", 0.45),  # below, out of the edge's reach
        (2.78, 0.80, "down", 0.80),  # plainly in front of it
    ],
)
def test_is_fixed_to_what_it_is_drawn_on(build, y, off, aim, depth_m):
    found = mounting(build(y, off, aim))
    assert set(found.over) == {-1}
    assert not found.soffit.any()
    beside_the_door = np.r_[0:150, -150:0]
    assert found.depth_m[beside_the_door] == pytest.approx(depth_m)


def test_a_roof_without_a_board_hangs_over_whatever_its_depth(build):
    found = mounting(build(2.98, 0.4, board="", roof=-1))
    assert set(found.over) == {1}
    assert found.depth_m == pytest.approx(0.4)


def test_a_thin_band_is_no_overhang(build):
    found = mounting(build(2.78, 0.02, board=FASCIA.replace("0.5,", "0.1,")))
    assert set(found.over) == {-1}


def test_under_a_slope(house):
    text = HOUSE.format(y=3, off=0.4, aim=45, roof=0, board=FASCIA)
    slope = "[[1, 2], [5, 4], [5, 4.2], [1, 2.2]]"
    text = text.replace("[[0.5, 2.8], [9.5, 2.8], [9.5, 3], [0.5, 3]]", slope)
    text = text.replace("[[0.6, 3], [9.4, 3]]", "[[1.2, 2.08], [4.8, 3.88]]")
    found = mounting(house(text))
    # 2 cm plumb below a board that rises by a half: square to it, (−1, 2) / √5
    assert found.soffit == pytest.approx(np.tile([-1, 2], (len(found.over), 1)) / np.sqrt(5))
    assert found.above_edge_m == pytest.approx(-0.02 * 2 / np.sqrt(5))


def _over(house: House, x: float, y: float) -> str:
    """The surface over one place from which a pixel shines down."""
    surfaces = house.drawing.surfaces
    _, over, _ = _lower_edges(surfaces, np.array([[x, y]]), np.array([[0.0, -1.0, 0.0]]))
    return surfaces[over[0]].name


def test_what_is_metres_in_front_does_not_outweigh_the_aim(build):
    """By hand, in parts of EDGE_M: at (5, 2.78) the fascia, 0.5 m out, is 0.02 m off and square to
    the aim: 0.4 - 0.5 = -0.1. A slope of 45° is 0.01/√2 m off, 0.14, and 4 (1 - 1/√2) = 1.17 from
    square: 1.31, less 1 for being in front: 0.31, however many metres it is. The fascia counts.
    A level edge 0.01 m off, 4 m out, weighs 0.2 - 1 = -0.8: that counts, and 1.5 m out as well.
    """
    slope = "[[3, 0.79], [7, 4.79], [7, 5], [3, 5]]"
    level = "[[3, 2.79], [7, 2.79], [7, 5], [3, 5]]"
    for outline, depth, name in ((slope, 4, "fascia"), (level, 4, "bay"), (level, 1.5, "bay")):
        bay = f"    - {{name: bay, material: trim-white, depth: {depth}, outline: {outline}}}"
        assert _over(build(2.0, 0.4, board=f"{FASCIA}\n{bay}"), 5, 2.78) == name


def test_beyond_a_metre_the_nearer_edge_counts(build):
    """Two bays 1.5 and 4 m out: their edges 0.005 and 0.02 m off, the one further out first."""
    told = [
        f"    - {{name: out-{depth}, material: trim-white, depth: {depth},"
        f" outline: [[3, {y}], [7, {y}], [7, 5], [3, 5]]}}"
        for depth, y in ((1.5, 2.785), (4, 2.8))
    ]
    assert _over(build(2.0, 0.4, board="\n".join(told)), 5, 2.78) == "out-1.5"


def test_on_the_edge_is_told(build):
    (finding,) = [f for f in house_findings(build(2.82, 0.02)) if f.code == "run-on-edge"]
    assert (finding.level, finding.where) == ("note", "eave")
    assert (finding.value, finding.limit, finding.unit) == (0.02, 0.0, "m")
    assert [(r.action, r.target, r.value) for r in finding.remedies] == [
        ("move-down", "eave", 0.04),
        ("move-up", "eave", 0.05),
    ]
    assert sentence(finding).startswith("run eave is drawn 2.0 cm above the lower edge of fascia")
    for remedy in finding.remedies:  # what it advises ends the doubt
        sign = -1 if remedy.action == "move-down" else 1
        moved = house_findings(build(2.82 + sign * remedy.value, 0.02))
        assert "run-on-edge" not in {f.code for f in moved}


@pytest.mark.parametrize(("y", "aim"), [(2.78, "down"), (2.82, "out"), (2.9, "down")])
def test_what_is_plain_is_not_told(build, y, aim):
    assert "run-on-edge" not in {f.code for f in house_findings(build(y, 0.02, aim))}


def test_hidden_behind_what_is_nearer(house):
    post = (
        FASCIA + "\n    - {name: post, material: timber, depth: 1.5,"
        " outline: [[4.5, 0], [5.5, 0], [5.5, 2.9], [4.5, 2.9]]}"
    )
    made = house(HOUSE.format(y=2.78, off=0.45, aim="down", board=post, roof=0.5))
    found = mounting(made)
    x = made.pixels.xy_m[:, 0]
    assert found.depth_m == pytest.approx(0.45)  # the post does not bend the run
    assert np.array_equal(found.hidden, (x > 4.5) & (x < 5.5))


# The far end of a soffit shows a little below the board before it, and a lower roof may begin just
# under a gable's rake: what the run is below shuts it off, not what it happens to be drawn on.
@pytest.mark.parametrize(
    "behind",
    [
        "{name: soffit, material: trim-white, depth: 0.02, outline: END}",
        "{name: other, material: slate, depth: 0.3, outline: END}",
    ],
)
def test_the_board_before_it_counts_and_not_what_it_is_drawn_on(build, behind):
    board = f"    - {behind.replace('END', '[[1, 2.765], [9, 2.765], [9, 3], [1, 3]]')}\n{FASCIA}"
    made = build(2.78, 0.45, board=board)
    found = mounting(made)
    assert {made.drawing.surfaces[number].name for number in found.over} == {"fascia"}
    assert found.above_edge_m == pytest.approx(-0.02)
    assert "run-on-edge" not in {f.code for f in house_findings(made)}
