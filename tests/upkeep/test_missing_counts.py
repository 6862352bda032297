"""Positions without a pixel are counted nowhere: bill, patch, frames, refresh, handover, repair.

Every figure is counted by hand from the houses below: 60 pixels/m is a pitch of 1/60 m.
"""

from dataclasses import replace

import numpy as np
import pytest

from layouts import change, house_from
from layouts.records import House
from sim.circuit.law import law
from sim.data.frames import output_lines
from sim.data.patch import patch_of, refreshes
from sim.parts import bill_of
from sim.parts.bridging import bridge_wire, bridges_of
from sim.parts.load import builtin_parts
from sim.parts.pixels import stretches
from sim.parts.records import SmallPart, StripPart, WirePart
from sim.plan.lines import demand_of
from sim.report.handover.patch import data_leads, run_patches
from sim.report.patch import patch_rows
from sim.upkeep.mending import dark_with_one
from sim.upkeep.repair import repair_of
from sim.upkeep.repair_bill import repair_bill

WHOLE = {
    "format": "evenfall-house/1",
    "name": "Small",
    "units": "m",
    "drawing": {"size": [8, 4]},
    "runs": [
        {"name": "gable", "pixels": "sk6812", "path": [[1, 3], [6, 3]]},  # 300 pixels, one reel
        {"name": "porch", "pixels": "ws2815", "path": [[1, 2], [2, 2]]},  # 60 pixels
    ],
    "supplies": [
        {"name": "five", "volts": 5, "amps": 12},
        {"name": "twelve", "volts": 12, "amps": 5},
    ],
    "wires": [
        {"from": "five", "to": "gable[150]", "wire": "14 AWG", "length": 1, "fuse": 10},
        {"from": "twelve", "to": "porch.start", "wire": "14 AWG", "length": 1, "fuse": 5},
    ],
    "outputs": [
        {"name": "A", "chain": ["gable"], "universe": 1, "address": 1},
        {"name": "B", "chain": ["porch"], "universe": 5, "address": 1},
    ],
}  # fmt: skip
GAPS = {"gable": {"missing": [0, 100, 101, 299]}, "porch": {"missing": [5]}}


def house() -> House:
    return change(house_from(WHOLE), runs=GAPS)


def priced():
    joint = SmallPart("joint", 0.5)
    thin, thick = (
        WirePart(size, "", price, ("red", "black"), ())
        for size, price in (("24 AWG", 0.1), ("18 AWG", 0.3))
    )
    base = builtin_parts()
    strips = {"sk6812": StripPart("reel", 5.0, None, 30.0)}
    return replace(
        base, currency="EUR", strip_joint=joint, strips=strips,
        wires={"24 AWG": thin, "18 AWG": thick}, work=replace(base.work, hourly=60.0),
    )  # fmt: skip


def test_strip_is_cut_at_the_gaps_and_bought_for_what_is_there():
    made = house()
    gable, porch = made.runs
    assert stretches(gable) == (99, 197)
    assert stretches(porch) == (5, 54)
    bill = bill_of(made, replace(builtin_parts(), spares=0.0))
    pieces = [
        round(piece.length_m * 60) for cuts in bill.cuts if cuts.part == "sk6812"
        for bar in cuts.bars for piece in bar.pieces
    ]  # fmt: skip
    assert sorted(pieces) == [99, 197]
    (joints,) = [line for line in bill.lines if line.item == "strip joint"]
    assert joints.quantity == 4  # two bridges, soldered at both ends


def test_a_bridge_is_as_thick_as_the_rails_and_takes_the_second_data_line_along():
    made = house()
    (gable,), (porch,) = (bridges_of(run, priced()) for run in made.runs)
    assert (gable.before, gable.behind, gable.conductors) == (99, 102, 3)
    assert gable.length_m == pytest.approx(3 / 60)
    assert (porch.before, porch.behind, porch.conductors) == (4, 6, 4)
    # 24 AWG has 84.2 mΩ/m (wire tables); a rail of 70 mΩ/m wants the 18 AWG with 20.9.
    kind = made.runs[0].kind
    assert bridge_wire(replace(kind, rail_ohm_per_m=0.15), priced()).size == "24 AWG"
    assert bridge_wire(replace(kind, rail_ohm_per_m=0.07), priced()).size == "18 AWG"
    assert bridge_wire(replace(kind, rail_ohm_per_m=0.001), priced()).size == "18 AWG"


def test_lines_of_data_have_no_codes_for_gaps():
    made = house()
    lines = {line.name: line for line in output_lines(made)}
    assert len(lines["A"].pixel) == 296 * 3
    assert len(lines["B"].pixel) == 59 * 3
    assert not np.isin(lines["A"].pixel, [0, 100, 101, 299]).any()
    # 296 · 24 bits · 1.25 µs + reset
    first, _ = refreshes(made)
    assert (first.pixels, first.bits) == (296, 296 * 24)
    kind = made.runs[0].kind
    assert first.frame_ms == pytest.approx((296 * 24 * kind.bit_us + kind.reset_us) / 1000)
    assert patch_of(made).unaddressed == 0


def test_the_patch_marks_gaps_and_begins_with_the_first_pixel_that_is_there():
    made = house()
    rows = list(patch_rows(patch_of(made)))
    assert [r["position"] for r in rows[:300] if r["missing"]] == [0, 100, 101, 299]
    assert (rows[0]["universe"], rows[1]["universe"], rows[1]["slot"]) == (None, 1, 1)
    gable, porch = run_patches(made)
    assert (gable.output, gable.pixels, gable.first) == ("A", 296, (1, 1))
    # 170 pixels in universe 1, the other 126 in 2: the last begins at slot 3·125 + 1
    assert gable.last == (2, 3 * 125 + 3)
    assert porch.pixels == 59


def test_data_goes_from_the_last_pixel_that_is_there_to_the_first():
    data = {**WHOLE, "outputs": [{"name": "A", "chain": ["gable", "porch"], "universe": 1}]}
    whole = house_from(data)
    gone = change(whole, runs={"gable": {"missing": [298, 299]}, "porch": {"missing": [0]}})
    before, after = (data_leads(each)[-1].length_m for each in (whole, gone))
    xy = whole.pixels.xy_m
    assert before == pytest.approx(float(np.hypot(*(xy[300] - xy[299]))))
    assert after == pytest.approx(float(np.hypot(*(xy[301] - xy[297]))))


def test_how_much_goes_dark_counts_what_is_there():
    # a chain of 296 pixels, any of them dies: mean (296 + 1) / 2; a backup line: itself alone
    made = house()
    assert dark_with_one(made) == pytest.approx((296 * 297 / 2 + 59) / (296 + 59))


def test_a_repair_has_its_price():
    made = repair_of(
        house_from(WHOLE), cut_out=["gable[100:102]"], replace=["gable[7]"], date="2026-01-02"
    )
    bill = repair_bill(made, priced())
    found = {(line.item, line.purpose.split(",")[0]): line for line in bill.lines}
    wire = next(line for line in bill.lines if line.item == "bridge wire")
    # 3 conductors over a gap of two pixels and a pitch more: 3 · 3/60 m, bought as 0.2 m
    assert (wire.quantity, wire.unit) == (0.2, "m")
    joints = sum(line.quantity for line in bill.lines if line.item == "strip joint")
    assert joints == 2 + 2
    (pixel,) = [line for line in bill.lines if line.item == "pixel"]
    assert pixel.price_each == pytest.approx(30.0 / 300)
    # neighbours are one spot: two spots of two joints at 15 min, 60 an hour
    work = [line for line in bill.lines if line.item == "work"]
    assert sum(line.price for line in work) == pytest.approx(2 * 2 * 15)
    assert bill.total is not None, found


def test_the_end_of_a_run_is_soldered_and_a_feed_gets_a_new_plug():
    made = repair_of(house_from(WHOLE), cut_out=["gable[0]", "gable[150]"], date="2026-01-02")
    lines = {line.item: line for line in repair_bill(made, priced()).lines}
    assert lines["strip joint"].quantity == 2 + 1
    assert lines["feed plug"].quantity == 1
    assert repair_bill(made, builtin_parts()).total is None


def test_a_plan_asks_no_volts_for_pixels_that_are_gone():
    whole, gone = house_from(WHOLE), house()
    codes = np.full((1, 360, 4), 255, np.uint8)
    spare = np.zeros(360, dtype=bool)
    before, after = (demand_of(law(each), codes, spare) for each in (whole, gone))
    there = np.concatenate([run.has_pixel for run in gone.runs])
    assert np.isfinite(after.need_v).all()
    assert after.need_v[there] == pytest.approx(before.need_v[there])
    assert not after.amps[:, ~there].any()
    assert after.amps[:, there] == pytest.approx(before.amps[:, there])
