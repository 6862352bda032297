"""What a plan says of itself, held against the whole circuit and against arithmetic by hand."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from layouts import EvenfallError, change, house_from, load_house
from layouts.units import length_m
from sim.circuit import build, far_shorts, loads, solve
from sim.parts.load import load_parts
from sim.plan.bay_room import outer_mm
from sim.plan.bays import bay_findings
from sim.plan.lengths import bought, entry, in_file
from sim.plan.loadcase import full_codes
from sim.plan.plan import Wanted, plan_house
from sim.plan.routing import shut_runs
from sim.plan.why import why
from sim.report.plan_data import as_json
from sim.report.plan_report import plan_report
from sim.report.wording.plan import WHY, why_briefly, why_sentence

DEMO = Path(__file__).resolve().parents[2] / "demo"
PARTS = load_parts(DEMO / "cottage" / "parts.yaml")


@pytest.fixture(scope="module")
def plan():
    """The cottage at full load, wired anew: eleven feeds and their cuts, two supplies."""
    house = load_house(DEMO / "cottage" / "house.yaml")
    parts = load_parts(DEMO / "cottage" / "parts.yaml", house)
    return plan_house(house, full_codes(house, 1.0), parts, Wanted(anew=True))


def without(plan, label):
    """The planned house without one wire."""
    return change(plan.house, wires=[w for w in plan.house.wires if w.label != label])


def uncut(plan, element):
    """The planned house without one cut."""
    name, before = element.removesuffix("]").split("[")
    cuts = [cut for cut in plan.house.run(name).cuts if cut != int(before)]
    return change(plan.house, runs={name: {"cuts": cuts}})


def fitted(plan, house):
    """The house with fuses as large as what flows asks: 75 % of the rating for hours."""
    seen = loads(build(house), plan.codes)
    series = [fuse.rating_a for fuse in plan.proposal.market.fuses]
    wires = [
        replace(wire, fuse_a=min(rating for rating in series if 0.75 * rating >= amps))
        for wire, amps in zip(house.wires, seen.wire_a.max(axis=0), strict=True)
    ]
    return change(house, wires=wires)


def test_every_element_has_its_reason(plan):
    reasons = why(plan)
    assert {each.element for each in reasons} == {
        *(wire.label for wire in plan.house.wires if wire.fuse_a),
        *(f"{run.name}[{cut}]" for run in plan.house.runs for cut in run.cuts),
        *(supply.name for supply in plan.house.supplies),
    }
    for each in reasons:
        assert why_sentence(each)
        assert why_briefly(each)
    assert {each.code for each in reasons} <= set(WHY)


def test_colour_lost_without_a_feed_is_what_the_circuit_says(plan):
    """The reason comes from the ladder of one line, which reckons every pixel in full colour; the
    circuit of the house lets pixels draw less as they dim, so its voltage is never below. Fuses
    are as large as what flows asks: blade fuses by their series, 75 % of the rating for hours."""
    found = [each for each in why(plan) if each.code == "colour" and "→" in each.element]
    assert found
    for each in found:
        network = build(fitted(plan, without(plan, each.element)))
        seen = loads(network, plan.codes)
        name, pixel = each.detail["at"].removesuffix("]").split("[")
        number = [run.name for run in plan.house.runs].index(name)
        assert seen.run_dim[0, number] < 1  # colour is lost
        assert seen.run_v[0, number] < each.limit
        assert seen.run_v[0, number] >= each.value - 1e-6
        # As dim ones draw less, another may lie as low: the one named is within 1 mV of the least.
        named = plan.house.run(name).first + int(pixel)
        assert solve(network, plan.codes).volts[0, named] <= seen.run_v[0, number] + 1e-3


def test_runs_go_dark_without_their_only_feed(plan):
    for each in (each for each in why(plan) if each.code == "unfed"):
        network = build(without(plan, each.element))
        first, last = each.detail["first"], each.detail["last"]
        name, begin = first.removesuffix("]").split("[")
        end = last.removesuffix("]").split("[")[1]
        run = plan.house.run(name)
        dark = ~network.reach.live[run.pixels]
        assert dark[int(begin) : int(end) + 1].all()
        assert dark.sum() == int(end) - int(begin) + 1


def test_a_short_without_a_cut_is_what_the_circuit_says(plan):
    found = [each for each in why(plan) if each.code == "short"]
    assert found
    for each in found:
        house = uncut(plan, each.element)
        worst = min(
            short.amps / (2 * wire.fuse_a)
            for wire, short in zip(house.wires, far_shorts(build(house)), strict=True)
            if short is not None and wire.end.text == each.detail["at"]
        )
        assert each.value / each.limit == pytest.approx(worst, rel=2e-3)
        assert worst < 1


def test_supplies_serve_what_hangs_on_them(plan):
    supply_a = loads(build(plan.house), plan.codes).supply_a.max(axis=0)
    told = {each.element: each for each in why(plan) if each.code == "serves"}
    for supply, amps in zip(plan.house.supplies, supply_a, strict=True):
        assert told[supply.name].value == pytest.approx(amps, rel=1e-9)
        assert told[supply.name].limit == pytest.approx(0.8 * supply.rated_a)


def test_the_report_finds_what_check_finds_and_the_bays(plan):
    report = plan_report(plan, "full", 1.0)
    above = {each.code for each in report.findings if each.level != "note"}
    assert above <= {"wire-bay"}
    data = as_json(report)
    assert data["feeds"] == len(plan.house.wires)
    assert [each["text"] for each in data["why"]] == [why_sentence(each) for each in report.why]
    assert data["status"] == "bounded"
    assert replace(report, plan=replace(plan, proposal=replace(
        plan.proposal, lower_bound=plan.price))).status == "optimal"  # fmt: skip


def test_round_wires_in_a_bay():
    """1.5 mm² is 1.382 mm across as solid copper; the rest is the rule of thumb in `bays`."""
    assert outer_mm(1.5) == pytest.approx(1.2 * 2 * math.sqrt(1.5 / math.pi) + 0.8)
    # 18 AWG is 1.024 mm (ASTM B258); such wire is sold as about 2.1 mm [from memory].
    assert outer_mm(0.8231) == pytest.approx(2.1, abs=0.1)


@pytest.fixture(scope="module")
def eave():
    """eave(profile): 6 m of strip, its box 1 m under its start, nothing wired."""

    def made(profile):
        run = {"name": "eave", "pixels": "ws2812b-v5", "path": [[0, 3], [6, 3]], "profile": profile}
        place = {"name": "box", "at": [0, 2], "mains": True}
        drawing = {"size": [6, 4]}
        return house_from({"name": "eave", "drawing": drawing, "runs": [run], "places": [place]})

    return made


def test_a_full_bay_says_where_and_how_much(eave):
    open_plan = plan_house(eave("bare"), full_codes(eave("bare"), 1.0), PARTS)
    deep = change(open_plan.house, runs={"eave": {"profile": "channel-deep-frosted"}})
    assert not shut_runs(deep)  # 2.48 × 12 mm takes two pairs of 18 AWG
    (found,) = bay_findings(deep, open_plan.proposal, open_plan.net)
    # Every wire comes in at the start of the run, so all lie in its first stretch.
    assert found.value == pytest.approx(
        sum(2 * outer_mm(wire.size.area_mm2) ** 2 for wire in deep.wires)
    )
    assert (found.where, found.limit) == ("eave", pytest.approx(2.48 * 12))
    assert found.detail["start_m"] == 0
    assert 0 < found.detail["end_m"] < 6


@pytest.mark.parametrize("profile", ["channel-deep-frosted", "channel-frosted"])
def test_a_plan_keeps_the_bays(eave, profile):
    made = plan_house(eave(profile), full_codes(eave(profile), 1.0), PARTS)
    assert bay_findings(made.house, made.proposal, made.net) == ()
    # No cable lies in the channel: each is as long as the straight way, with slack at both ends.
    for wire in made.house.wires:
        along = float(made.house.pixels.along_m[wire.end.pad - 1])
        straight = math.hypot(along, 1) + 0.05  # and out from the wall
        assert wire.length_m == pytest.approx(straight + 2 * 0.3, abs=2e-3)


def test_a_hot_place_is_planned_for(eave):
    cool = plan_house(eave("bare"), full_codes(eave("bare"), 1.0), PARTS)
    hot = plan_house(
        eave("bare"), full_codes(eave("bare"), 1.0), PARTS, Wanted(between_c=(-30, 65))
    )
    rules = hot.wanted.rules
    # 80 % of 70 % of a supply, 75 % of 85 % of a fuse
    assert (rules.supply_load, rules.fuse_load) == pytest.approx((0.56, 0.6375))
    network = build(hot.house)
    seen = loads(network, hot.codes)
    for supply, amps in zip(hot.house.supplies, seen.supply_a.max(axis=0), strict=True):
        assert amps <= 0.56 * supply.rated_a + 1e-9
    for wire, amps in zip(hot.house.wires, seen.wire_a[0], strict=True):
        assert amps <= 0.6375 * wire.fuse_a + 1e-9
    assert hot.price > cool.price
    assert any("rated to start below -25 °C" in remark for remark in hot.remarks)
    with pytest.raises(EvenfallError, match="no rating at 71 °C"):
        plan_house(eave("bare"), full_codes(eave("bare"), 1.0), PARTS, Wanted(between_c=(0, 71)))


def test_nothing_is_said_of_a_bay_nobody_knows(plan):
    bare = change(plan.house, runs={run.name: {"profile": "bare"} for run in plan.house.runs})
    assert bay_findings(bare, plan.proposal, plan.net) == ()


@pytest.mark.parametrize("units", ["m", "cm", "mm", "ft", "in"])
@pytest.mark.parametrize("metres", [0.001, 0.3, 1.23456, 2.9999, 12.7, 100.0001])
def test_lengths_are_never_cut_short(units, metres):
    """To the millimetre, or to the sixteenth of an inch of 25.4 mm."""
    step = 25.4e-3 / 16 if units in ("ft", "in") else 1e-3
    cut = bought(metres, units)
    assert -1e-6 * step <= cut - metres < step
    assert cut / step == pytest.approx(round(cut / step), abs=1e-6)
    assert length_m(entry(cut, units)) == pytest.approx(cut, abs=1e-9)
    assert length_m(in_file(cut, units), units) == pytest.approx(cut, abs=1e-9)


def test_lengths_as_written():
    assert in_file(2.5, "m") == 2.5
    assert in_file(2.5, "mm") == 2500
    assert in_file(3.6576, "ft") == "12 ft"
    assert in_file(0.1 * 0.3048 * 5 + 0.0254 / 16 * 3, "ft") == "6 3/16 in"
    assert in_file(-0.4572, "in") == "-18 in"
    assert in_file(0.0254 / 4, "in") == "1/4 in"
    assert in_file(0.0, "ft") == "0 in"


def test_both_laws_in_one_house(tmp_path):
    """Parallel 5 V pixels and 12 V ones in series beside each other: a supply of each voltage."""
    house = house_from(
        {
            "name": "both",
            "drawing": {"size": [8, 4], "viewer": 8},
            "runs": [
                {"name": "five", "pixels": "sk6812", "path": [[1, 3], [2, 3]]},
                {"name": "twelve", "pixels": "ws2815", "path": [[4, 3], [5, 3]]},
            ],
        }
    )
    plan = plan_house(house, full_codes(house, 1.0), load_parts(DEMO / "cottage" / "parts.yaml"))
    assert sorted(supply.volts for supply in plan.house.supplies) == [5, 12]
    assert plan.sections["places"]
    report = plan_report(plan, "full")
    assert not [each for each in report.findings if each.level != "note"]
    assert report.kind == "sk6812, ws2815"
