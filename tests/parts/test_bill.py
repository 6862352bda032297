"""The bill of a small house, counted by hand; and what holds for every house."""

import json
import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layouts import load_house
from sim.parts import bill_of, builtin_parts, load_parts, parts_beside
from sim.report.jsonable import jsonable
from sim.report.parts_data import as_json


def rows(bill, *fields):
    return [tuple(getattr(line, field) for field in fields) for line in bill.lines]


# Counted by hand. Pixels, 60 a metre: 3 m are 180, 1.5 + 1.2 m are 162, a tenth of 342 rounded up
# is 35 spare; on reels of 300 that is 180 and 162, which share no reel: 2, without a joint.
# Channel in bars of 2 m, 3 mm a cut: pieces of 2, 1, 1.5 and 1.2 m, of which no two fit: 4 bars.
# Two free ends a run are 4 caps and 1 spare. Clips every 0.5 m: 7 on 3 m, 4 on 1.5 m, 4 on 1.2 m
# and 2 spare. Wire as long as the house file says: 2.0 + 0.4 m of 14 AWG, one reel of 5 m a colour;
# 1.0 + 0.5 m of 16 AWG by the metre. One fuse of each rating and 1 spare. Four wires end on runs.
# The cheapest supply of 5 V for 10 A is the one of 12 A, not weatherproof. 342 pixels on an output.
# Saw: the piece of 2 m none, 1 m one, 1.5 m one at its mitre, 1.2 m two. Data goes to the door
# beside the wire of 0.4 m that joins the same ends, in the thinnest wire listed, 16 AWG.
COUNTED = [
    ("strip", "ws2812b", 2, "reel of 5 m", 60.0),
    ("channel", "channel, 2 m", 4, "bar", 32.0),
    ("cover", "channel, 2 m", 4, "bar", 12.0),
    ("end cap", "channel", 5, "piece", 2.5),
    ("clip", "channel", 17, "piece", 3.4),
    ("wire", "14 AWG, brown", 1, "reel of 5 m", 2.5),
    ("wire", "14 AWG, blue", 1, "reel of 5 m", 2.5),
    ("wire", "16 AWG, red", 1.5, "m", 0.6),
    ("wire", "16 AWG, black", 1.5, "m", 0.6),
    ("fuse", "fuse, 5 A", 2, "piece", 0.8),
    ("fuse", "fuse, 7.5 A", 2, "piece", 0.8),
    ("fuse holder", "holder", 2, "piece", 4.0),
    ("feed plug", "plug", 4, "piece", 6.0),
    ("junction", "lever", 2, "piece", 1.5),
    ("supply", "right", 1, "piece", 22.0),
    ("enclosure", "tin", 1, "piece", 15.0),
    ("data wire", "16 AWG, data", 0.4, "m", 0.16),
    ("data plug", "data", 2, "piece", 2.5),
    ("controller", "two", 1, "piece", 35.0),
    ("work", "feeds", 1.33, "h", 39.9),  # 4 · 20 min
    ("work", "sawing", 0.2, "h", 6.0),  # 4 · 3 min
    ("work", "mounting", 0.95, "h", 28.5),  # 5.7 m · 10 min
]


def test_a_small_house_counted_by_hand(house):
    bill = bill_of(house, parts_beside(house))
    assert rows(bill, "item", "part", "quantity", "unit", "price") == COUNTED
    assert bill.total == pytest.approx(278.26)
    assert bill.total == pytest.approx(sum(row[-1] for row in COUNTED))
    # Of data cable it says that the file does not give the lead's length, and how the rest counts.
    told = [finding.code for finding in bill.findings]
    assert told == ["parts-no-lead", "parts-data-gaps"]


def test_its_cutting_list(house):
    bill = bill_of(house, parts_beside(house))
    channel = next(cuts for cuts in bill.cuts if cuts.item == "channel")
    assert (channel.least_bars, channel.proven) == (4, True)
    pieces = {piece.name: piece for bar in channel.bars for piece in bar.pieces}
    told = {
        name: (piece.length_m, piece.start_deg, piece.end_deg) for name, piece in pieces.items()
    }
    assert told == {
        "eave 1a": (2.0, 0, 0),
        "eave 1b": (pytest.approx(1.0), 0, 0),
        "door 1": (1.5, 0, 45),
        "door 2": (1.2, 45, 0),
    }


def test_a_run_longer_than_a_reel_is_joined(house, folder):
    parts = load_parts(folder / "parts.yaml", house)
    strips = {"ws2812b": replace(parts.strips["ws2812b"], reel_m=1.0)}
    bill = bill_of(house, replace(parts, strips=strips))
    told = dict(rows(bill, "item", "quantity"))
    # 180 pixels are 3 reels of 60 and 2 joints; 162 are 60 + 60 + 42 and 2 joints; 35 spare.
    assert told["strip joint"] == 4
    assert told["strip"] == 7
    assert bill.total is None  # the joint has no price in the file
    assert [line.item for line in bill.unpriced] == ["strip joint"]
    assert bill.priced_total == pytest.approx(
        278.26 + 5 * 30  # five reels more; minutes of joints are the built-in 15
        + 4 * 15 / 60 * 30
    )  # fmt: skip


def test_without_a_parts_file_there_are_quantities_and_no_sum(house):
    bill = bill_of(house, builtin_parts())
    assert bill.total is None
    assert bill.priced_total == 0
    assert len(bill.unpriced) == len(bill.lines)
    told = {(line.item, line.part): line.quantity for line in bill.lines}
    assert told["strip", "ws2812b"] == 2
    assert told["channel", "channel-frosted, 2 m"] == 4
    assert told["supply", "5 V 10 A"] == 1
    assert told["controller", "1 outputs, 342 pixels"] == 1
    # What the file says is what is cut: 2.0 + 0.4 m; slack is in it.
    assert told["wire", "14 AWG stranded copper, red"] == pytest.approx(2.4)


def test_what_a_parts_file_does_not_name_is_told(house, folder):
    (folder / "parts.yaml").write_text(
        "format: evenfall-parts/1\ncurrency: EUR\n"
        "supplies: [{part: weak, volts: 5, amps: 9, price: 10}]\n"
        "controllers: [{part: tiny, outputs: 4, pixels: 100, price: 9}]\n"
    )
    bill = bill_of(house, parts_beside(house))
    told = [(finding.level, finding.code, finding.where) for finding in bill.findings]
    assert told == [
        ("warning", "parts-no-supply", "box"),
        ("warning", "parts-no-controller", "A"),
        ("note", "parts-unlisted", "ws2812b"),
        ("note", "parts-unlisted", "channel-frosted"),
        ("note", "parts-unlisted", "14 AWG"),
        ("note", "parts-unlisted", "16 AWG"),
        ("note", "parts-no-lead", "A"),
        ("note", "parts-data-gaps", "A"),
    ]
    assert bill.total is None
    written = json.loads(json.dumps(jsonable(as_json(bill))))
    assert [(each["level"], each["code"], each["where"]) for each in written["findings"]] == told
    assert all(each["text"] for each in written["findings"])


def test_a_wire_longer_than_its_reel_is_told(house, folder):
    text = (folder / "parts.yaml").read_text().replace("stock: [5 m]", "stock: [1 m, 1.5 m]")
    (folder / "parts.yaml").write_text(text)
    bill = bill_of(house, parts_beside(house))
    (finding,) = [each for each in bill.findings if each.level != "note"]
    assert (finding.code, finding.where, finding.limit) == (
        "parts-wire-joined",
        "box → eave.start",
        1.5,
    )
    # 2 m are 1.5 m and 0.5 m; 0.4 m: one reel of 1.5 m, and 0.5 + 0.4 m on one of 1 m.
    told = [line for line in bill.lines if line.part == "14 AWG, brown"]
    assert [(line.quantity, line.unit) for line in told] == [
        (1, "reel of 1 m"),
        (1, "reel of 1.5 m"),
    ]


def test_a_weatherproof_supply_needs_no_box(house, folder):
    text = (folder / "parts.yaml").read_text().replace("amps: 12, price: 22", "amps: 9, price: 22")
    (folder / "parts.yaml").write_text(text)
    bill = bill_of(house, parts_beside(house))
    told = dict(rows(bill, "item", "part"))
    assert told["supply"] == "large"
    assert "enclosure" not in told


def test_outputs_share_controllers(folder):
    text = (folder / "house.yaml").read_text()
    text = text.replace(
        "outputs: [{name: A, chain: [eave, door]}]",
        "outputs: [{name: A, chain: [eave]}, {name: B, chain: [door]}]",
    )
    (folder / "house.yaml").write_text(text)
    (folder / "parts.yaml").write_text(
        "format: evenfall-parts/1\ncurrency: EUR\ncontrollers:\n"
        "  - {part: single, outputs: 1, pixels: 200, price: 9}\n"
    )
    bill = bill_of(
        load_house(folder / "house.yaml"), parts_beside(load_house(folder / "house.yaml"))
    )
    (line,) = [line for line in bill.lines if line.item == "controller"]
    assert (line.part, line.quantity, line.price) == ("single", 2, 18)


def test_without_outputs_it_says_what_is_not_counted(folder):
    lines = (folder / "house.yaml").read_text().splitlines()
    (folder / "house.yaml").write_text("\n".join(lines[:-1]))
    house = load_house(folder / "house.yaml")
    bill = bill_of(house, parts_beside(house))
    assert [finding.code for finding in bill.findings] == ["parts-no-outputs"]
    assert not {"controller", "data plug"} & {line.item for line in bill.lines}


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(
        st.lists(st.tuples(st.integers(0, 900), st.integers(0, 900)), min_size=2, max_size=5),
        min_size=1,
        max_size=6,
    ),
    st.integers(0, 8),
    st.sampled_from(
        ["[{length: 2 m, price: 8}]", "[{length: 1 m, price: 5}, {length: 2.5 m, price: 9}]"]
    ),
)
def test_every_house_can_be_cut_and_adds_up(folder, paths, kerf_mm, bars):
    paths = [[(x / 100, y / 100) for x, y in path] for path in paths]
    runs = [
        f"  - {{name: run{n}, pixels: ws2812b, profile: channel-frosted, aim: out, "
        f"path: {[list(point) for point in path]}}}"
        for n, path in enumerate(paths)
        if sum(math.dist(a, b) for a, b in pairwise(path)) > 0.1
    ]
    if not runs:
        return
    head = "format: evenfall-house/1\nname: x\ndrawing: {size: [9, 9], surfaces: []}\nruns:\n"
    (folder / "house.yaml").write_text(head + "\n".join(runs) + "\n")
    text = (folder / "parts.yaml").read_text()
    text = text.replace("[{length: 2 m, price: 8}]", bars)
    text = text.replace("connectors:", "connectors:\n  strip_joint: {price: 0.5}")
    (folder / "other.yaml").write_text(text.replace("kerf: 3 mm", f"kerf: {kerf_mm} mm"))
    house = load_house(folder / "house.yaml")
    bill = bill_of(house, load_parts(folder / "other.yaml", house))
    assert bill.total == pytest.approx(sum(line.price for line in bill.lines))
    for cuts in bill.cuts:
        for bar in cuts.bars:
            used_m = sum(piece.length_m + cuts.kerf_m for piece in bar.pieces)
            assert used_m <= bar.length_m + cuts.kerf_m + 1e-6
        assert cuts.least_bars is None or cuts.least_bars <= len(cuts.bars)
    channel = next(cuts for cuts in bill.cuts if cuts.item == "channel")
    strip = next(cuts for cuts in bill.cuts if cuts.item == "strip")
    cut_m = sum(piece.length_m for bar in channel.bars for piece in bar.pieces)
    assert cut_m == pytest.approx(sum(run.length_m for run in house.runs), rel=1e-3)
    pitch_m = house.runs[0].kind.pitch_m
    laid_m = sum(
        piece.length_m for bar in strip.bars for piece in bar.pieces if piece.name[:5] != "spare"
    )
    assert laid_m == pytest.approx(sum(run.count for run in house.runs) * pitch_m)
