"""The picture of a plan: everything on it, nothing over anything, the same each time."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw

from layouts import load_house
from layouts.errors import EvenfallError
from sim.parts.load import builtin_parts
from sim.plan.loadcase import full_codes
from sim.plan.plan import Plan, plan_house
from sim.report import plan_marks as marks
from sim.report import plan_picture as drawing
from sim.report.lengths import laid_text
from sim.report.plan_facts import plan_facts
from sim.report.plan_labels import Label, cable_lines, feed_table, wordings
from sim.report.plan_marks import SUPPLY, colour_of
from sim.report.plan_picture import plan_picture, plan_png
from sim.report.plan_words import price_words, proposal_words
from sim.report.theme import GROUND

FILE = """\
# Invented for a test.
format: evenfall-house/1
name: Barn
units: m
drawing:
  size: [10, 5]
  viewer: 8
  surfaces:
    - {name: wall, material: lap-siding-white, depth: 0, outline: [[1, 0], [9, 0], [9, 3], [1, 3]]}
runs:
  - {name: eave, pixels: ws2812b, path: [[1, 3], [9, 3]], count: 240, aim: 30, standoff: 0.03,
     profile: channel-frosted, cuts: [120]}
  - {name: door, pixels: ws2812b, path: [[3, 0.1], [3, 2.0]], count: 20, aim: wall,
     standoff: 0.03, profile: channel-frosted}
places:
  - {name: porch, at: [2, 1], mains: true, sheltered: true}
outputs:
  - {name: A, chain: [eave, door], universe: 1, fps: 40}
"""


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    path: Path = tmp_path_factory.mktemp("barn") / "house.yaml"
    path.write_text(FILE)
    house = load_house(path)
    return plan_house(house, full_codes(house, 0.6), builtin_parts())


def test_facts_are_those_of_the_true_circuit_and_of_the_house(plan: Plan) -> None:
    facts = plan_facts(plan)
    assert facts is not None
    assert facts.feeds == sum(len(fed.plan.feeds) for fed in plan.proposal.fed)
    assert [cut.before for cut in facts.cuts] == list(plan.house.run("eave").cuts)
    # Half-way between pixels 119 and 120 of 240 on 8 m that begin at x = 1 m: the middle.
    at = next(cut for cut in facts.cuts if cut.before == 120)
    assert at.at_m == pytest.approx((5, 3), abs=0.02)
    # Kirchhoff: what the boxes give is what star feeds carry.
    stars = [each for each in facts.cables if each.wire.start.kind == "supply"]
    assert sum(each.peak_a for each in stars) == pytest.approx(
        sum(box.peak_a for box in facts.boxes), rel=1e-6
    )
    for each in stars:
        step = np.hypot(*np.diff(each.way_m, axis=0).T).sum()
        # The length bought is the way drawn, out from the wall to the run, and slack at both ends,
        # rounded up to the centimetre.
        out_m = plan.house.run(each.wire.end.name).standoff_m
        own_m = step + out_m + 2 * plan.parts.slack_m
        assert each.wire.length_m == pytest.approx(own_m, abs=0.0101)


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080), (800, 500)])
def test_size_colours_and_the_same_again(plan: Plan, size: tuple[int, int]) -> None:
    image = plan_picture(plan, size)
    assert image.size == size
    seen = np.asarray(image).reshape(-1, 3)
    facts = plan_facts(plan)
    assert facts is not None
    for number in range(len(facts.boxes)):
        assert (seen == colour_of(number)).all(axis=1).sum() > 100
    again = Image.open(BytesIO(plan_png(plan, size)))  # PNG loses nothing
    assert again.size == size
    assert np.array_equal(np.asarray(again.convert("RGB")), np.asarray(image.convert("RGB")))


def test_labels_that_find_no_place_stand_in_a_table(
    plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    facts = plan_facts(plan)
    assert facts is not None
    table = feed_table(facts, 1.0, 500)
    assert [row[1] for row in table.rows[1:]] == [each.wire.end.text for each in facts.cables]
    usual = plan_picture(plan)
    monkeypatch.setattr(drawing, "FURTHEST", -1.0)  # none is near enough
    with_table = plan_picture(plan)
    assert with_table != usual
    wide = np.asarray(with_table)[drawing.HEAD + 2, -table.width + 2 :]
    assert (wide == GROUND).all()  # the house ends where the table begins


def test_a_house_that_hangs_a_supply_nowhere_is_refused(plan: Plan) -> None:
    lost = replace(plan.house, supplies=tuple(replace(s, at=None) for s in plan.house.supplies))
    with pytest.raises(EvenfallError, match="write at"):
        plan_picture(replace(plan, house=lost))


def test_supply_colours_are_told_apart_without_colour_vision() -> None:
    """Two supplies beside each other differ in lightness too, or in more than red and green.

    Dichromats confuse colours along lines of constant long- and middle-wave mix; for a rough and
    strict stand-in red and green are replaced by their mean (no source; the palette has its own).
    """
    for a, b in combinations(SUPPLY[:4], 2):
        blind = [np.array([(c[0] + c[1]) / 2, c[2]], float) for c in (a, b)]
        assert np.abs(blind[0] - blind[1]).max() > 40


def test_words_of_a_proposal(plan: Plan) -> None:
    title, lines = proposal_words(plan, 0.6, True)
    feeds = sum(len(fed.plan.feeds) for fed in plan.proposal.fed)
    assert f"{feeds} feed" in title
    text = " ".join(lines)
    assert f"{plan.price:.2f} by stand-in prices" in text
    assert "60 %" in text
    assert "licensed electrician" in text


@pytest.mark.parametrize(
    ("bound", "trunks", "said"),
    [
        (100.0, (), "the least there is with a wire for each feed"),
        (100.0, ("one",), "less than 1 % above the least with a wire for each feed (100.00)"),
        (80.0, (), "at most 25 % above the least with a wire for each feed (80.00)"),
    ],
)
def test_how_far_from_the_least_a_price_is(plan: Plan, bound: float, trunks, said: str) -> None:
    """A plan with a trunk can be cheaper than any with a wire for each feed; no bound proves it."""
    fed = tuple(replace(each, plan=replace(each.plan, trunks=trunks)) for each in plan.proposal.fed)
    made = replace(plan.proposal, price=100.0, lower_bound=bound, fed=fed)
    assert price_words(replace(plan, proposal=made)) == f"100.00 by stand-in prices, {said}"


def test_stand_ins_are_some_where_the_file_has_prices(plan: Plan) -> None:
    assert "in part by" not in price_words(plan)
    partly = replace(plan, parts=replace(plan.parts, currency="EUR"))
    assert f"{plan.price:.2f} in part by stand-in prices" in price_words(partly)
    priced = price_words(replace(partly, priced=True))
    assert "EUR" in priced
    assert "stand-in" not in priced


@pytest.mark.parametrize(
    ("units", "said"),
    # 3.7497 m are 147.62 in: 12 ft and 3 5/8 in, as a tape shows it; 25.4 mm to the inch.
    [("ft", "12 ft 3 5/8 in"), ("in", "147 5/8 in"), ("m", "3.75 m"), ("cm", "374.97 cm")],
)
def test_lengths_as_the_reports_tell_them(plan: Plan, units: str, said: str) -> None:
    facts = plan_facts(plan)
    assert facts is not None
    cable = facts.cables[0]
    cable = replace(cable, wire=replace(cable.wire, length_m=3.7497))
    facts = replace(facts, house=replace(facts.house, units=units), cables=(cable,))
    assert f" {said}," in cable_lines(facts, cable)[1]
    assert feed_table(facts, 1.0, 500).rows[1][4] == said


def test_words_are_legible_where_the_picture_is_shown_900_px_wide(
    plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """11 px is small type of a page [common practice, no source]; it was 8."""
    facts = plan_facts(plan)
    assert facts is not None
    drawn: list[float] = []
    real = drawing.marks.label

    def seen(draw: ImageDraw.ImageDraw, words: Label, *given: Any) -> None:
        drawn.append(words.type_px)
        real(draw, words, *given)

    monkeypatch.setattr(drawing.marks, "label", seen)
    plan_picture(plan)
    assert len(drawn) == len(facts.boxes) + len(facts.cables)
    assert min(drawn) * 900 / 1280 >= 11
    assert feed_table(facts, 1.0, 476).type_px * 900 / 1280 >= 11
    for type_px in (marks.TYPE, marks.SUMMARY, drawing._LARGEST):
        assert type_px * 900 / 1280 >= 10.5


def test_where_room_is_short_the_length_goes_before_the_size(plan: Plan) -> None:
    facts = plan_facts(plan)
    assert facts is not None
    first, second, *_ = wordings(facts, 1.0)
    for with_length, without, cable in zip(
        first[len(facts.boxes) :], second[len(facts.boxes) :], facts.cables, strict=True
    ):
        far = laid_text(cable.wire.length_m, "m")
        assert far in with_length.lines[1]
        assert far not in without.lines[1]
        assert without.lines[1].startswith(f"{cable.wire.size.name}, fuse")
        assert without.size < with_length.size
    for labels in wordings(facts, 1.0):
        words = [each.lines[1] for each in labels[len(facts.boxes) :]]
        assert all(
            cable.wire.size.name in said for cable, said in zip(facts.cables, words, strict=True)
        )
