"""A length exchanged: one piece, two joints, its wires, its time; and how strings differ."""

from __future__ import annotations

import pytest

from layouts import change, house_from
from layouts.records import House
from sim.parts import builtin_parts
from sim.report.repair_steps import parts_needed, steps
from sim.upkeep.repair import HouseRepair, repair_of
from sim.upkeep.repair_bill import repair_bill

# 60 pixels of sk6812 a metre; the built-in parts: reels of 5 m, 15 min a joint, 10 min a metre.
HOUSE = {
    "format": "evenfall-house/1",
    "name": "Lengths",
    "units": "m",
    "drawing": {"size": [12, 4]},
    "runs": [
        {"name": "gable", "pixels": "sk6812", "path": [[1, 3], [8, 3]], "count": 420, "cuts": [200]}
    ],
    "supplies": [{"name": "box", "volts": 5, "amps": 12}],
    "wires": [
        {"from": "box", "to": "gable.start", "wire": "14 AWG", "length": 1, "fuse": 7.5},
        {"from": "box", "to": "gable[145]", "wire": "14 AWG", "length": 1, "fuse": 7.5},
    ],
    "outputs": [{"name": "A", "chain": ["gable"], "universe": 1}],
}
STRING = {"name": "gable", "pixels": "ws2811-12v-group3", "path": [[1, 3], [8, 3]], "count": 40}


def mended(*new: str, out: tuple[str, ...] = (), house: House | None = None) -> HouseRepair:
    return repair_of(house or house_from(HOUSE), cut_out=out, replace=new, date="2026-11-26")


def lines(made: HouseRepair) -> dict[str, float]:
    return {line.item: line.quantity for line in repair_bill(made, builtin_parts()).lines}


def test_sixty_pixels_are_one_piece() -> None:
    made = mended("gable[60:120]")
    said = steps(made, builtin_parts())
    (piece,) = (step for step in said if "gable[60:120]" in step)
    assert "take the 60 pixels out in one length" in piece
    assert "on the cut marks before and behind them" in piece
    # 60 pixels at 60 a metre
    assert "solder in a piece of 60 pixels of sk6812 (strip, 1 m)" in piece
    assert "a joint at each end, of +, − and data" in piece
    assert sum("piece of 60" in part for part in parts_needed(made, builtin_parts())) == 1
    assert len(parts_needed(made, builtin_parts())) == 2
    found = lines(made)
    assert (found["pixel"], found["strip joint"]) == (60, 2)
    # two joints of 15 min, and the 59 pitches beyond the first pixel at 10 min a metre
    assert found["work"] == pytest.approx((2 * 15 + 10 * 59 / 60) / 60, abs=0.005)
    assert [each.what for each in made.history] == ["replaced gable[60:120]"]


def test_named_one_by_one_it_is_the_same() -> None:
    one_by_one = mended(*(f"gable[{n}]" for n in range(60, 120)))
    assert steps(one_by_one, builtin_parts()) == steps(mended("gable[60:120]"), builtin_parts())
    assert lines(one_by_one) == lines(mended("gable[60:120]"))


def test_apart_they_are_two() -> None:
    found = lines(mended("gable[60]", "gable[62]"))
    # two pieces with two joints each; two spots of 30 min
    assert (found["pixel"], found["strip joint"], found["work"]) == (2, 4, 1.0)


def test_longer_than_a_reel_it_has_a_joint_more() -> None:
    made = mended("gable[60:361]")  # 301 of 300 on a reel
    (piece,) = (step for step in steps(made, builtin_parts()) if "gable[60:361]" in step)
    assert "2 pieces, joined, of 301 pixels" in piece
    found = lines(made)
    assert found["strip joint"] == 3
    # two joints, a third, 300 pitches, a cut at 10 min, and the wire at 145 joined again
    assert found["work"] == pytest.approx((30 + 15 + 10 * 300 / 60 + 10 + 15) / 60, abs=0.005)


def test_a_feed_is_named() -> None:
    for new in ("gable[145]", "gable[140:150]"):
        said = "\n".join(steps(mended(new), builtin_parts()))
        assert "Wire box → gable[145] is joined to what goes: mark its + and − and take" in said
        assert "Join wire box → gable[145] to the new pixel in the same place, + to +" in said
        assert lines(mended(new))["feed plug"] == 1
    said = "\n".join(steps(mended("gable[146]"), builtin_parts()))
    assert "Wire box" not in said


def test_the_ends_of_a_run() -> None:
    first, last = mended("gable[0:3]"), mended("gable[419]")
    said = "\n".join(steps(first, builtin_parts()))
    assert "What came to the start, wire box → gable.start among it, goes to the input side" in said
    # nothing leaves the end: one joint
    assert (lines(first)["strip joint"], lines(last)["strip joint"]) == (2, 1)


def test_beside_a_new_bridge_its_joint_is_the_bridge_s() -> None:
    found = lines(mended("gable[61:63]", out=("gable[60]",)))
    # bridge 59 to 61: two; and behind 62
    assert found["strip joint"] == 3


def test_a_piece_of_another_batch_is_spoken_of() -> None:
    said = "\n".join(steps(mended("gable[60]"), builtin_parts()))
    assert "`evenfall power HOUSE SCHEME --spread 1000` says under 'match'" in said
    assert "match" not in "\n".join(steps(mended(out=("gable[60]",)), builtin_parts()))


def test_a_string_is_spliced_or_plugged() -> None:
    house = house_from({**HOUSE, "runs": [STRING], "wires": [], "supplies": []})
    made = mended("gable[3:9]", house=house)
    (piece,) = (step for step in steps(made, builtin_parts()) if "gable[3:9]" in step)
    assert "cut the leads at both ends and take the 6 pixels out in one length" in piece
    assert "splice or plug in a piece of 6 pixels" in piece
    assert "input towards the controller" in piece
    assert "cut marks" not in piece
    assert lines(made)["data plug"] == 2
    assert "put a new node in its place" in "\n".join(
        steps(mended("gable[3]", house=house), builtin_parts())
    )


def test_a_strip_of_groups_is_cut_between_groups() -> None:
    kind = {"grouped": {"like": "sk6812", "leds_per_pixel": 3}}
    runs = [{**HOUSE["runs"][0], "pixels": "grouped"}]  # type: ignore[index]
    made = mended("gable[3:9]", house=house_from({**HOUSE, "kinds": kind, "runs": runs}))
    said = steps(made, builtin_parts())
    assert "Cut between pixels only: one pixel of grouped is 3 LEDs, cut as one." in said


def test_a_gap_beside_the_piece_is_no_neighbour() -> None:
    house = change(house_from(HOUSE), runs={"gable": {"missing": [200]}})
    said = "\n".join(steps(mended("gable[199]", house=house), builtin_parts()))
    assert "Between gable[199] and gable[201] join − and data alone." in said
