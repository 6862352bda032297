"""Kinds side by side on a small house: every figure counted by hand or by another verb's path."""

from dataclasses import replace

import numpy as np
import pytest

from effects import load_scheme
from layouts import kinds, load_house
from layouts.errors import EvenfallError
from sim.parts import parts_beside
from sim.report.check import check_report
from sim.report.compare import compare
from sim.report.jsonable import jsonable
from sim.report.plan_options import PlannedLoad, at_density, chosen, options
from sim.report.plan_options_json import options_json
from sim.season import load_season
from sim.season import plan as year_of

from .shed import write_shed

NAMES = ("sk6812", "ws2815", "ws2811-12v-group3", "sk6812-rgbw-warm")


@pytest.fixture(scope="module")
def shed(tmp_path_factory):
    house = load_house(write_shed(tmp_path_factory.mktemp("shed")))
    return house, parts_beside(house)


@pytest.fixture(scope="module")
def full(shed):
    house, parts = shed
    told = []
    made = options(
        house, PlannedLoad(full=True), chosen(NAMES, (), house), parts,
        progress=lambda done, total: told.append(done / total),
    )  # fmt: skip
    assert told == sorted(told)
    assert told[-1] <= 1
    return {each.kind.name: each for each in made}


def test_the_price_is_everything_once(full):
    # 2 m of 60 a metre. Pixels: one reel of 30. Saddles: 4 spans, 5 clips or 4, of 0.10. Data: a
    # plug of 1.80 and a controller of 49. Putting up: 2 m × 10 min × 30 an hour = 10. The wiring
    # is the plan's own price: supply, feeds, fuses, holders, plugs, wire, minutes.
    one = full["sk6812"]
    bill = one.built.bill
    by_item = {}
    for line in bill.lines:
        by_item[line.item] = by_item.get(line.item, 0.0) + line.price
    clips = by_item.pop("clip")
    assert clips in (pytest.approx(0.4), pytest.approx(0.5))
    feeds = one.built.feeds
    assert by_item["strip"] == 30
    assert by_item["supply"] == 22
    assert by_item["fuse"] == pytest.approx(0.5 * feeds)
    assert by_item["fuse holder"] == 2 * feeds
    assert by_item["feed plug"] == pytest.approx(1.5 * feeds)
    assert by_item["work"] == pytest.approx(
        10 + 10 * feeds + 5 * one.built.cuts, abs=0.31
    )  # hours to a hundredth
    assert one.price == pytest.approx(
        clips + 30 + 1.8 + 49 + 10 + 22 + feeds * 14 + 5 * one.built.cuts + by_item["wire"],
        abs=0.31,
    )
    # The planner's price is part of it, but for slack that the bill adds to wires.
    assert one.built.plan.price < one.price - 30 - 49


def test_amperes_light_and_frames_at_the_full_load_are_those_of_the_data_sheet(full):
    # sk6812 (SK6812 RGB Rev 06): 3 × 12 mA and 1 mA idle; 1.5 + 3.5 + 0.75 lm; 24 bits of 1.25 µs
    # and a reset of 80 µs. 2 m of 60 a metre are 120 pixels, all with volts enough to be full.
    seen = full["sk6812"].built.measured
    assert seen.peak_a == pytest.approx(120 * 0.037, rel=1e-6)
    assert seen.lumens == pytest.approx(120 * 5.75, rel=1e-6)
    assert seen.refresh_hz == pytest.approx(1 / (120 * 24 * 1.25e-6 + 80e-6), rel=1e-9)
    # 24 bits for three LEDs on 100 mm make 20 pixels.
    assert len(full["ws2811-12v-group3"].built.plan.house.pixels) == 20


def test_a_year_is_five_hours_every_evening_without_a_season(full):
    seen = full["ws2815"].built.measured
    idle_wh = (seen.kwh_year * 1000 / 365 - 5 * seen.wall_w) / 19
    assert 0 < idle_wh < seen.wall_w
    # 120 pixels of the sheet's idle current at 12 V, through a supply, that stays on all day
    least = 120 * kinds()["ws2815"].idle_ma / 1000 * 12
    assert idle_wh == pytest.approx(least, rel=0.35)
    assert idle_wh > least


def test_what_is_planned_passes_its_check(full):
    for each in full.values():
        assert each.status in ("optimal", "bounded")
        assert each.built.plan.price >= each.built.plan.lower_bound - 1e-9
        findings = check_report(each.built.plan.house, []).findings
        assert [one.code for one in findings if one.level != "note"] == []


def test_what_has_no_price_is_named_and_no_total_is_claimed(full):
    rgbw = full["sk6812-rgbw-warm"]
    assert rgbw.price is None
    assert [line.item for line in rgbw.built.bill.unpriced] == ["strip"]
    order = sorted(full.values(), key=lambda each: each.order)
    assert order[-1] is rgbw
    prices = [each.price for each in order[:-1]]
    assert prices == sorted(prices)


def test_a_repair_is_two_joints_of_a_strip_and_a_node_of_a_string(full):
    assert full["sk6812"].repair.how == "cut and solder"
    assert full["sk6812"].repair.minutes == 30  # two joints of 15 in the parts file
    assert full["ws2811-12v-group3"].repair.how == "swap a node"
    assert full["ws2811-12v-group3"].repair.minutes is None
    assert full["ws2815"].kind.backup_data


def test_what_cannot_be_built_says_why_and_stays_in_the_list(shed):
    house, parts = shed
    odd = replace(house.kinds["ws2815"], name="odd-36v", supply_v=36.0)
    made = options(house, PlannedLoad(full=True), (odd, house.kinds["sk6812"]), parts)
    assert made[0].status == "infeasible"
    assert "36 V" in made[0].why
    assert made[0].price is None
    assert made[1].built is not None
    data = jsonable(options_json(made))
    assert data[0]["why"] == made[0].why
    fixed = {"kind", "price", "feeds", "supplies", "watts", "peak_a", "ra", "refresh_hz",
             "repair", "status"}  # fmt: skip
    assert all(fixed <= set(each) for each in data)
    assert data[0].keys() == data[1].keys()


def test_schemes_are_measured_as_compare_measures_them(shed, tmp_path):
    house, parts = shed
    path = tmp_path / "still.scheme.yaml"
    path.write_text(
        "format: evenfall-scheme/1\nname: Still\nbrightness: 0.5\n"
        'layers: [{effect: steady, palette: ["#ffb46b"]}]\n'
    )
    scheme = load_scheme(path, house)
    both = chosen(("sk6812", "ws2815"), (), house)
    made = options(house, PlannedLoad((scheme,)), both, parts)
    for one, other in zip(made, compare(house, scheme, both).kinds, strict=True):
        seen = one.built.measured
        assert seen.white.rendition.ra == pytest.approx(other.white.rendition.ra)
        assert seen.refresh_hz == pytest.approx(other.refresh_hz)
        # compare has no supply here, so it knows no drop; the plan lets no pixel be dimmed
        assert seen.lumens == pytest.approx(other.lumens, rel=1e-6)
        assert seen.peak_a == pytest.approx(other.peak_a, rel=1e-6)
    dimmed = options(house, PlannedLoad((scheme,), brightness=0.25), both[:1], parts)[0]
    assert dimmed.built.measured.lumens < 0.6 * made[0].built.measured.lumens


def test_a_density_keeps_metres_and_copper(shed):
    house, parts = shed
    sparse, same = chosen(("sk6812",), (30, 60), house)
    assert same is house.kinds["sk6812"]
    assert (sparse.name, sparse.rail_ohm_per_m) == ("sk6812-30", same.rail_ohm_per_m)
    made = options(house, PlannedLoad(full=True), (sparse, same), parts)
    assert [len(each.built.plan.house.pixels) for each in made] == [60, 120]
    amps = [each.built.measured.peak_a for each in made]
    assert np.divide(*amps) == pytest.approx(0.5, rel=1e-6)
    assert made[0].price is None  # no parts file has that density
    assert at_density(at_density(same, 144), 60).pitch_m == pytest.approx(same.pitch_m)


def test_all_that_is_wrong_with_the_kinds_is_said_at_once(shed):
    with pytest.raises(EvenfallError) as refused:
        chosen(("sk6812", "sk6812", "sk6813"), (0.0,), shed[0])
    for said in ("unknown kind 'sk6813'", "named twice: sk6812", "density of 0 "):
        assert said in str(refused.value)


def test_a_season_counts_its_own_hours(shed, tmp_path):
    house, parts = shed
    (tmp_path / "still.scheme.yaml").write_text(
        "format: evenfall-scheme/1\nname: Still\nbrightness: 0.5\n"
        'layers: [{effect: steady, palette: ["#ffb46b"]}]\n'
    )
    path = tmp_path / "year.season.yaml"
    path.write_text(
        "format: evenfall-season/1\nname: Short\n"
        "location: {latitude: 48, longitude: 8, timezone: Europe/Berlin, country: DE}\n"
        'evening: {on: "20:00", off: "22:00"}\notherwise: still.scheme.yaml\n'
    )
    season = year_of(load_season(path, house, year=2027), 2027)
    load = PlannedLoad((load_scheme(tmp_path / "still.scheme.yaml", house),))
    kind = chosen(("sk6812",), (), house)
    daily = options(house, load, kind, parts)[0].built.measured
    short = options(house, load, kind, parts, season=season)[0].built.measured
    assert short.evening_h is None
    # 2 h instead of 5 h an evening, the rest idle in both
    idle_w = (daily.kwh_year * 1000 / 365 - 5 * daily.wall_w) / 19
    assert short.kwh_year == pytest.approx(365 * (2 * daily.wall_w + 22 * idle_w) / 1000, rel=0.01)
