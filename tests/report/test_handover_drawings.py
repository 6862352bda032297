"""The drawings of the document: nothing over anything, nothing outside, every wire once."""

from __future__ import annotations

from datetime import date
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest

from layouts import house_from, load_house
from sim.parts import builtin_parts
from sim.report.handover import handover_of
from sim.report.handover.elevation import elevation
from sim.report.handover.facts import Subject
from sim.report.handover.single_line import single_line
from sim.report.handover.small_figures import data_lines
from sim.report.handover.tree import branches, unsupplied

DEMO = Path(__file__).resolve().parents[2] / "demo"
DAY = date(2026, 3, 1)
SVG = "{http://www.w3.org/2000/svg}"


def crowded():
    """A barn of 30 runs on one bus of 15 joints, a ring, runs joined at corners, and 60 wires."""
    runs, wires, chains = [], [], []
    for n in range(30):
        y, x = 1 + 0.5 * (n // 3), 1 + 5 * (n % 3)
        runs.append({"name": f"a-rather-long-name-{n}", "pixels": "ws2815",
                     "path": [[x, y], [x + 4, y]], "aim": "down", "standoff": 0.3})  # fmt: skip
    name = "a-rather-long-name-{}".format
    before = "box"
    for n in range(15):
        wires.append({"from": before, "to": f"joint-{n}", "wire": "10 AWG", "length": 1,
                      "fuse": 30 if n == 0 else None})  # fmt: skip
        before = f"joint-{n}"
        wires.append({"from": before, "to": f"{name(n)}.start", "wire": "14 AWG", "length": 2,
                      "fuse": 5})  # fmt: skip
        wires.append({"from": before, "to": f"{name(n)}[100]", "wire": "14 AWG", "length": 3})
        wires.append({"from": f"{name(n)}.end", "to": f"{name(n + 15)}.start", "wire": "16 AWG",
                      "length": 1})  # fmt: skip
    wires.append({"from": "joint-14", "to": "joint-0", "wire": "14 AWG", "length": 9})
    chains = [[name(3 * n), name(3 * n + 1), name(3 * n + 2)] for n in range(10)]
    return house_from({
        "format": "evenfall-house/1", "name": "Barn",
        "drawing": {"size": [18, 8], "surfaces": []},
        "runs": runs,
        "supplies": [{"name": "box", "volts": 12, "amps": 60, "efficiency": 0.85, "no_load_w": 0.5,
                      "source_ohm": 0.002, "at": [9, 0.3]}],
        "wires": [{k: v for k, v in wire.items() if v is not None} for wire in wires],
        "outputs": [{"name": f"out-{n}", "chain": chain} for n, chain in enumerate(chains)],
    })  # fmt: skip


def facts_of(house):
    return handover_of(house, builtin_parts(), Subject(DAY))


@pytest.fixture(scope="module", params=("bungalow", "cottage", "townhouse", "unwired", "crowded"))
def facts(request):
    if request.param == "crowded":
        return facts_of(crowded())
    return facts_of(load_house(DEMO / request.param / "house.yaml"))


def words_of(svg: str) -> list[tuple[str, float, float, float, float]]:
    """Every line of words with the box it takes: left, top, right, bottom."""
    found = []
    for each in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        size, wide = float(each.get("font-size")), float(each.get("textLength"))
        x, y = float(each.get("x")), float(each.get("y"))
        found.append((each.text, x, y - 0.72 * size, x + wide, y + 0.18 * size))
    return found


def apart(one, other) -> bool:
    return one[3] <= other[1] or other[3] <= one[1] or one[4] <= other[2] or other[4] <= one[2]


@pytest.fixture(scope="module")
def drawn(facts):
    return elevation(facts)


@pytest.fixture(scope="module")
def drawings(facts, drawn) -> list[str]:
    return [drawn.svg, *(each.svg for each in single_line(facts)), *data_lines(facts)]


def test_words_never_overlap_and_stay_inside(drawings):
    for svg in drawings:
        root = ElementTree.fromstring(svg)
        _, _, width, height = map(float, root.get("viewBox").split())
        told = words_of(svg)
        assert told
        for one in told:
            assert one[1] >= 0
            assert one[3] <= width + 0.01
            assert one[2] >= 0
            assert one[4] <= height
        for one, other in combinations(told, 2):
            assert apart(one, other), (one, other)


def test_labels_of_the_elevation_never_overlap(drawn):
    boxes = [(tag.lines[0], *tag.corner, tag.corner[0] + tag.size[0], tag.corner[1] + tag.size[1])
             for tag in drawn.tags if tag.corner is not None]  # fmt: skip
    for one, other in combinations(boxes, 2):
        assert apart(one, other), (one, other)
    assert len(boxes) + len(drawn.left_out) == len(drawn.tags)


def test_every_wire_is_on_the_diagram_once(facts):
    told = [words[0] for each in single_line(facts) for words in words_of(each.svg)]
    for load in facts.wires:
        assert told.count(f"W{load.number}") == 1
    house = facts.house
    hung = [each.wire for supply in house.supplies for each in branches(house, supply.name)]
    assert sorted([*hung, *unsupplied(house)]) == list(range(len(house.wires)))


def test_a_drawing_fits_a_page(drawings):
    """At 182 mm wide, what A4 and Letter leave, none may be taller than 235 mm."""
    for svg in drawings:
        _, _, width, height = map(float, ElementTree.fromstring(svg).get("viewBox").split())
        assert height / width * 182 < 235


def test_what_hangs_where_in_the_cottage():
    house = load_house(DEMO / "cottage" / "house.yaml")
    rows = branches(house, "loft")
    assert [(row.wire + 1, row.depth, row.parent) for row in rows] == [
        (1, 0, -1), (2, 0, -1), (3, 0, -1), (4, 1, 2),
    ]  # fmt: skip
    rows = branches(house, "porch-box")
    assert [(row.wire + 1, row.depth) for row in rows] == [(5, 0), (6, 0), (7, 1), (8, 1)]
