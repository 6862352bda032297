"""Hours, energy and money of a year."""

import pytest

from layouts import load_house
from layouts.records import Location
from sim.season import Watts, bill, load_season, measure, plan

UTC_PLACE = Location(50, 0, "UTC", "US")


# Worked example: 300 pixels of 12 V with 2.1 mA at rest and 15 mA a channel (WS2815 V1.1 data
# sheet), 30 % of the largest channel for 4 h a night, supply 87 %:
#   lit 12·300·(2.1 + 0.3·15) mA = 23.76 W, /0.87 = 27.31 W, ×4 h ×365 = 39.87 kWh
#   idle 12·300·2.1 mA = 7.56 W, /0.87 = 8.690 W, ×20 h ×365 = 63.43 kWh; always idle 76.12 kWh.
def test_worked_example(season):
    watts = Watts({"warm": 23.76 / 0.87}, 7.56 / 0.87)
    steady = season(on="18:00", off="22:00", location=UTC_PLACE, tariff=(0.25, "USD"))
    year = bill(plan(steady, 2026), watts)
    assert year.year.hours_lit == 4 * 365
    assert year.year.kwh_lit == pytest.approx(39.87, abs=0.005)
    assert year.year.kwh_idle == pytest.approx(63.43, abs=0.005)
    assert year.saved_kwh == year.year.kwh_idle
    dark = season(otherwise=None, location=UTC_PLACE)
    assert bill(plan(dark, 2026), watts).year.kwh_idle == pytest.approx(76.12, abs=0.005)
    assert year.year.cost == pytest.approx((39.87 + 63.43) * 0.25, abs=0.01)
    assert year.saved_cost == pytest.approx(63.43 * 0.25, abs=0.01)


def test_months_and_schemes_add_up(season):
    rows = [("12-01..01-06", "frost"), ("Halloween", "spooky", 3), ("every Friday", "party")]
    steady = season(*rows, tariff=(0.3, "EUR"))
    watts = Watts({"warm": 50, "frost": 80, "spooky": 30, "party": 120}, 6)
    year = bill(plan(steady, 2026), watts)
    for part in ("evenings", "hours_lit", "kwh_lit", "hours_idle", "kwh_idle", "cost"):
        parts = sum(getattr(month, part) for month in year.months)
        assert parts == pytest.approx(getattr(year.year, part))
    assert sum(share.kwh_lit for share in year.schemes) == pytest.approx(year.year.kwh_lit)
    assert year.year.hours_lit + year.year.hours_idle == pytest.approx(365 * 24)


@pytest.mark.parametrize(("year", "hours"), [(2026, 8760), (2028, 8784)])
def test_a_year_has_its_hours(season, year, hours):
    total = bill(plan(season(), year), Watts({"warm": 1}, 1))
    assert total.year.hours_lit + total.year.hours_idle == pytest.approx(hours)
    # Denver: an hour less in March, an hour more in November.
    march, november = total.months[2], total.months[10]
    assert march.hours_lit + march.hours_idle == pytest.approx(31 * 24 - 1)
    assert november.hours_lit + november.hours_idle == pytest.approx(30 * 24 + 1)


def test_without_a_tariff_there_is_no_sum(season):
    year = bill(plan(season(), 2026), Watts({"warm": 1}, 1))
    assert year.year.cost is None
    assert year.saved_cost is None


# The same worked example from the house file up: 300 WS2815 behind 87 %, wires too short to matter.
HOUSE = """\
format: evenfall-house/1
name: Example
location: {latitude: 50, longitude: 0, timezone: UTC, country: US}
drawing: {size: [6, 3], viewer: 10, surfaces: []}
kinds: {thick: {like: ws2815, rail_ohm_per_m: 0.000001, pitch: 10 mm}}
runs: [{name: eave, pixels: thick, path: [[0, 2], [3, 2]], aim: down, standoff: 0.03}]
supplies: [{name: box, volts: 12, amps: 10, efficiency: 0.87, no_load_w: 0, source_ohm: 0}]
wires: [{from: box, to: eave.start, wire: 10 AWG, length: 10 mm, fuse: 10}]
"""
SCHEME = """\
format: evenfall-scheme/1
name: Level
colour: raw
gamma: 1
layers: [{effect: steady, palette: "#4d4d4d"}]
"""


def test_worked_example_through_the_circuit(tmp_path):
    (tmp_path / "house.yaml").write_text(HOUSE)
    (tmp_path / "level.scheme.yaml").write_text(SCHEME)
    (tmp_path / "year.season.yaml").write_text(
        "format: evenfall-season/1\nevening: {on: '18:00', off: '22:00'}\n"
        "otherwise: level.scheme.yaml\n"
    )
    house = load_house(tmp_path / "house.yaml")
    season = load_season(tmp_path / "year.season.yaml", house, year=2026)
    watts = measure(house, season).watts
    # Code 77 of 255 is 30.2 % where the example says 30 %.
    lit_w = 12 * 300 * (2.1e-3 + 77 / 255 * 15e-3) / 0.87
    assert watts.lit["level.scheme.yaml"] == pytest.approx(lit_w, rel=1e-3)
    assert watts.idle == pytest.approx(8.690, rel=1e-3)
    year = bill(plan(season, 2026), watts)
    assert year.year.kwh_lit == pytest.approx(lit_w * 4 * 365 / 1000, rel=1e-3)


# A swell's level is sin⁴ of half a turn, 3/8 in the mean, whatever its length; 300 pixels of 12 V
# take 2.1 mA at rest and 15 mA in full (WS2815 V1.1 data sheet). One frame a second would find a
# swell of one second always dark, and that of ten minutes needs frames from all of it.
@pytest.mark.parametrize("every_s", [1, 600])
def test_the_mean_is_of_frames_all_over_the_scheme(tmp_path, monkeypatch, every_s):
    import sim.scan

    frames = []

    def counting(rig, show, **how):
        frames.append(how["seconds"] * how["fps"])
        return scan(rig, show, **how)

    scan = sim.scan.scan
    monkeypatch.setattr(sim.scan, "scan", counting)
    (tmp_path / "house.yaml").write_text(HOUSE)
    (tmp_path / "swell.scheme.yaml").write_text(
        "format: evenfall-scheme/1\nname: Swell\ncolour: raw\ngamma: 1\n"
        'layers: [{effect: swell, palette: ["#ffffff"], '
        f"set: {{every: {every_s}, low: 0}}}}]\n"
    )
    (tmp_path / "year.season.yaml").write_text(
        "format: evenfall-season/1\notherwise: swell.scheme.yaml\n"
    )
    house = load_house(tmp_path / "house.yaml")
    season = load_season(tmp_path / "year.season.yaml", house, year=2026)
    mean_w = 12 * 300 * (2.1e-3 + 3 / 8 * 15e-3) / 0.87
    assert measure(house, season).watts.lit["swell.scheme.yaml"] == pytest.approx(mean_w, rel=5e-3)
    # A second has no more than its 40 frames, ten minutes are watched in 251.
    assert frames == [pytest.approx(min(40 * every_s, 251))]


def test_a_house_that_is_never_lit_still_idles(tmp_path):
    (tmp_path / "house.yaml").write_text(HOUSE)
    (tmp_path / "year.season.yaml").write_text("format: evenfall-season/1\n")
    house = load_house(tmp_path / "house.yaml")
    season = load_season(tmp_path / "year.season.yaml", house, year=2026)
    watts = measure(house, season).watts
    assert watts.lit == {}
    # The example's 8.690 W of 300 dark pixels, all year.
    assert bill(plan(season, 2026), watts).year.kwh_idle == pytest.approx(76.12, rel=1e-3)


def test_evenings_count_in_the_month_they_begin(season):
    only = season(("01-31", "warm"), otherwise=None, on="22:00", off="04:00")
    year = bill(plan(only, 2026), Watts({"warm": 100}, 0))
    assert [share.hours_lit for share in year.months[:2]] == [6, 0]
