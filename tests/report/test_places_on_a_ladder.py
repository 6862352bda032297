"""Every place that is worked at is told as a tape finds it: feeds, cuts, boxes."""

from __future__ import annotations

from datetime import date

import pytest

from layouts import house_from
from layouts.finding import Finding
from layouts.records import House
from sim.parts.load import builtin_parts
from sim.plan.loadcase import full_codes
from sim.plan.plan import plan_house
from sim.plan.proposal import Infeasible
from sim.report.handover import handover_of
from sim.report.handover.building import elevation_chapter, wiring_chapter
from sim.report.handover.facts import Subject
from sim.report.plan_report import plan_report
from sim.report.plan_text import plan_blocks
from sim.report.wording import sentence


def shed(units: str = "m", **more: object) -> House:
    run = {"name": "eave", "pixels": "ws2812b", "path": [["0 m", "2 m"], ["6 m", "2 m"]]}
    return house_from({
        "format": "evenfall-house/1", "name": "Shed", "units": units,
        "drawing": {"size": ["7 m", "3 m"], "viewer": "8 m", "surfaces": []},
        "runs": [{**run, "count": 360}],
        "outputs": [{"name": "A", "chain": ["eave"]}],
        **more,
    })  # fmt: skip


WIRED = {
    "runs": [{
        "name": "eave", "pixels": "ws2812b", "path": [["0 m", "2 m"], ["6 m", "2 m"]],
        "count": 360, "cuts": [180],
    }],
    "supplies": [{"name": "box", "volts": 5, "amps": 40}],
    "wires": [
        {"from": "box", "to": "eave[90]", "wire": "14 AWG", "length": "2 m", "fuse": 7.5},
        {"from": "box", "to": "joint", "wire": "14 AWG", "length": "2 m", "fuse": 10},
        {"from": "joint", "to": "eave.end", "wire": "20 AWG", "length": "2 m"},
    ],
}  # fmt: skip


# 360 pixels on 6 m: pixel 90 is at 90.5/60 m = 1.508 m, 59 3/8 in; the cut before 180 at 3 m,
# 118.11 in or 9 ft 10 1/8 in.
@pytest.mark.parametrize(
    ("units", "feed", "cut"),
    [("m", "1.51 m", "3.00 m"), ("ft", "4 ft 11 3/8 in", "9 ft 10 1/8 in")],
)
def test_the_document_tells_how_far_along_feeds_and_cuts_are(units, feed, cut) -> None:
    house = shed(units, **WIRED)
    facts = handover_of(house, builtin_parts(), Subject(date(2026, 3, 1)))
    wires = next(
        each for each in wiring_chapter(facts).parts if getattr(each, "title", "") == "Every wire"
    )
    assert [row[1] for row in wires.rows] == [
        f"box → eave[90] ({feed} along)", "box → joint", "joint → eave.end",
    ]  # fmt: skip
    assert [row[5] for row in wires.rows] == ["7.5 A", "10 A", "behind 10 A"]
    assert "both conductors and its fuse" in wires.note.replace("  ", " ")
    cuts = next(
        each
        for each in elevation_chapter(facts).parts
        if getattr(each, "title", "") == "Cuts of the +"
    )
    assert cuts.rows == (("eave", "179 and 180", cut),)


def test_the_plan_tells_where_to_cut_and_what_its_price_leaves_out() -> None:
    house = shed()
    plan = plan_house(house, full_codes(house, 1.0), builtin_parts())
    (run,) = plan.house.runs
    assert run.cuts
    words = repr(list(plan_blocks(plan_report(plan, "full"))))
    for before in run.cuts:
        assert f"{before} ({before / 60:.2f} m)" in words
    assert "pixels, channel, data wire and controllers are counted by" in words


def test_lengths_of_what_cannot_be_are_the_house_s_own() -> None:
    far = [{"name": "barn", "at": ["3000 m", "2 m"], "mains": True, "sheltered": True}]
    house = shed("ft", places=far)
    with pytest.raises(Infeasible) as told:
        plan_house(house, full_codes(house, 1.0), builtin_parts())
    assert " ft" in str(told.value)
    assert " m of wire" not in str(told.value)
    detail = {
        "start_m": 0.3048, "end_m": 0.6096, "profile": "thin", "wide": False, "side_mm": 2.0,
        "units": "ft",
    }  # fmt: skip
    said = sentence(Finding("warning", "wire-bay", "eave", value=9.0, limit=4.0, detail=detail))
    assert said.startswith("from 1 ft to 2 ft of run eave")


@pytest.mark.parametrize(("fuses", "they"), [(("a",), "it protects"), (("a", "b"), "they protect")])
def test_one_fuse_is_one(fuses: tuple[str, ...], they: str) -> None:
    detail = {"holds": True, "at": "the end", "fuse_a": 5.0, "wire": "a"}
    found = Finding(
        "warning", "far-short", "a", value=4.0, limit=10.0, detail=detail, elements=fuses
    )
    assert f"what {they}. Worst" in sentence(found)
