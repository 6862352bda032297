"""What an electrician and the next owner ask of the document: mains, boxes, the yearly check."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

from effects import load_scheme
from layouts import house_from, load_house
from layouts.provenance import TAGS
from sim.parts import builtin_parts
from sim.report.handover import handover_of
from sim.report.handover.autumn import autumn_chapter, begin_said, check_rows
from sim.report.handover.building import data_chapter, elevation_chapter, wiring_chapter
from sim.report.handover.doc import Grid
from sim.report.handover.facts import Subject
from sim.report.handover.owning import _stand_ins, sources_chapter
from sim.report.handover.small_figures import year_figure
from sim.report.handover.supplied import mains_loads, mains_rows, mains_volts
from sim.season import load_season, plan

DEMO = Path(__file__).resolve().parents[2] / "demo"
DAY = date(2026, 3, 1)
US = {"latitude": 40.0, "longitude": -75.0, "timezone": "America/New_York", "country": "US"}


def small(kind="ws2815", fuse=5, **more):
    """One eave, one supply of 10 A in the loft that passes on 80 %, one controller."""
    wire = {"from": "box", "to": "eave.start", "wire": "14 AWG", "length": 2}
    return house_from({
        "format": "evenfall-house/1", "name": "Hut",
        "drawing": {"size": [8, 4], "surfaces": []},
        "runs": [{"name": "eave", "pixels": kind, "path": [[1, 3], [4, 3]], "aim": "down",
                  "standoff": 0.3}],
        "places": [{"name": "loft", "at": [2, 3.5], "mains": True, "sheltered": True}],
        "supplies": [{"name": "box", "volts": 12, "amps": 10, "efficiency": 0.8, "no_load_w": 1,
                      "source_ohm": 0.01, "at": "loft"}],
        "outputs": [{"name": "A", "chain": ["eave"]}],
        "wires": [wire | ({"fuse": fuse} if fuse else {})],
        **more,
    })  # fmt: skip


def facts_of(house, *schemes):
    return handover_of(house, builtin_parts(), Subject(DAY, schemes))


def grid(chapter, title) -> Grid:
    return next(p for p in chapter.parts if isinstance(p, Grid) and p.title == title)


@pytest.fixture(scope="module")
def facts():
    return facts_of(small(location=US))


def test_watts_and_amperes_at_the_mains(facts):
    (load,) = mains_loads(facts)
    # 12 V × 10 A / 0.8 + 1 W = 151 W; 151 W / 120 V = 1.258 A [calc]
    assert load.rated_w == pytest.approx(151.0)
    assert load.amps_rated == pytest.approx((1.2583,), abs=1e-4)
    assert load.full_w == pytest.approx(1 + 12 * facts.supplies[0].full_a / 0.8)
    table = grid(wiring_chapter(facts), "From the mains, by supply")
    (row,) = table.rows
    assert row[1:3] == ("box", "80 %")
    assert row[6:] == ("151 W", "1.3 A", "", "")
    assert [c.name for c in table.columns][5:] == [
        "at 120 V", "At its rating", "at 120 V", "Inrush", "IP class",
    ]  # fmt: skip
    assert "look at the supply's label" in table.note
    assert mains_volts(small(location=US | {"country": "HU"})) == (230.0,)


def test_no_country_and_a_country_without_known_volts_are_told_apart():
    def note(house) -> str:
        return grid(wiring_chapter(facts_of(house)), "From the mains, by supply").note

    elsewhere = small(location=US | {"country": "JP"})
    assert mains_volts(small()) == mains_volts(elsewhere) == (120.0, 230.0)
    assert "does not say in which country" in note(small())
    told = note(elsewhere)
    assert "does not say in which country" not in told
    assert "The mains volts of country JP are not known here" in told


def test_the_mains_of_a_country_are_in_one_row_with_a_source():
    named = [country for row in mains_rows() for country in row["countries"].split()]
    assert len(named) == len(set(named)) > 30
    assert all(len(country) == 2 and country.isupper() for country in named)
    assert all(row["source"].endswith("[from memory]") for row in mains_rows())
    # 120 V: ANSI C84.1; 230 V: IEC 60038 [from memory]. NO is Norway, and no "no" of YAML.
    for country, volts in (("CA", 120.0), ("NO", 230.0), ("AU", 230.0)):
        assert mains_volts(small(), country) == (volts,)


def test_the_tables_name_where_boxes_hang(facts):
    boxes = grid(elevation_chapter(facts), "Where boxes hang")
    assert boxes.rows == (
        ("S1 box", "loft", "2.00 m, 3.50 m", "yes"),
        ("controller: A", "not said", "–", "not said"),
    )
    # told once: the table of what supplies give does not name the place again
    assert "loft" not in str(grid(wiring_chapter(facts), "Supplies"))


def test_figures_of_supplies_name_their_sheet(facts):
    """No figure of a sheet without which one: the family's, by its date, or a maker's guide."""
    note = grid(wiring_chapter(facts), "From the mains, by supply").note
    for figure in ("60 A", "2 mA", "0.4–0.6"):
        behind = note.partition(figure)[2].partition("[datasheet]")[0]
        assert re.search("sheet of 2022-08-05|the same sheet|user guide", behind), figure
        assert len(behind) < 60, figure
    (label,) = (r for r in check_rows(facts)[0] if r.look.startswith("Label of every supply"))
    assert "−25 °C (its sheet of 2022-08-05)" in label.right
    assert "−30 °C (2022-04-25)" in label.right
    assert label.right.endswith("−5 or −10 °C [from memory]")


def test_it_is_said_what_the_list_of_parts_adds_to_a_data_wire():
    """Told without slack: the list adds 0.3 m at each end, as the built-in parts file has it."""
    house = small()
    assert builtin_parts().slack_m == 0.3
    note = grid(data_chapter(facts_of(house)), "Data leads").note
    assert "The list of parts adds to a straight one 0.30 m at each end" in note
    assert "the thinnest wire of the parts file where no lead says which" in note


def said(facts) -> str:
    return " ".join(f"{r.look} {r.right} {r.act}" for rows in check_rows(facts) for r in rows)


def test_the_check_of_every_autumn_asks_what_applies(facts):
    told = said(facts)
    for word in ("Drip loops", "seals", "Plugs", "Test button of the GFCI/RCD", "W1\xa05\xa0A"):
        assert word in told, word
    for word in ("ws2815", "second data line", "cold", "−25"):  # which that kind has; 40° north
        assert word in told, word
    plain = said(facts_of(small("ws2811-12v-strip", None, location=US | {"latitude": 5.0})))
    for word in ("second data line", "Fuses", "−25", "frost", "+4 °C"):
        assert word not in plain, word
    assert all(row.tag in TAGS for rows in check_rows(facts) for row in rows)
    parts = str(autumn_chapter(facts).parts)
    assert "(its firmware) is no part of this document" in parts


def test_far_ends_have_the_bands_of_the_commissioning_sheet(facts):
    rows = grid(autumn_chapter(facts), "Volts at the far ends [V], a third").rows
    far = [p for p in facts.sheet.points if "fewest volts" in p.what]
    assert len(rows) == len(far) == 1
    band = far[0].volts[1]  # a third
    assert rows[0][:5] == (
        str(far[0].number), far[0].name, "box", f"{band.expected:.2f}",
        f"{band.low:.2f}–{band.high:.2f}",
    )  # fmt: skip


def lit_on(*days: date):
    evenings = [SimpleNamespace(date=day, lit=True, scheme="x") for day in days]
    return SimpleNamespace(year=2026, evenings=evenings, season=SimpleNamespace(location=None))


def test_it_is_to_be_done_before_the_first_evening_after_the_dark_time(facts):
    spring = [date(2026, 1, 1) + timedelta(n) for n in range(6)]
    advent = [date(2026, 11, 29) + timedelta(n) for n in range(30)]
    told = begin_said(replace(facts, season=(lit_on(*spring, *advent), None)))
    # 6 January to 29 November are 327 days (of the year the 6th and the 333rd), 326 dark evenings
    assert "before 29 November" in told
    assert "326 dark" in told
    year = [date(2026, 1, 1) + timedelta(n) for n in range(365)]
    assert "all year" in begin_said(replace(facts, season=(lit_on(*year), None)))


def test_a_dark_time_around_the_turn_of_the_year_is_counted(facts):
    def told(*days: date) -> str:
        return begin_said(replace(facts, season=(lit_on(*days), None)))

    # 2026 has 365 days: without the 31 of December 334 dark evenings, without one evening 364
    december = told(*(date(2026, 12, 1) + timedelta(n) for n in range(31)))
    assert "before 1 December" in december
    assert "334 dark" in december
    one = told(date(2026, 10, 31))
    assert "before 31 October" in one
    assert "364 dark" in one
    # each Sunday: six dark evenings between, never a season's begin; the last is 27 December
    assert "all year" in told(*(date(2026, 1, 4) + timedelta(7 * n) for n in range(52)))
    assert told().startswith("The season lights no evening of 2026:")


def test_a_white_evening_is_seen_in_the_calendar(tmp_path):
    house = load_house(DEMO / "cottage" / "house.yaml")
    (tmp_path / "white.scheme.yaml").write_text(
        "format: evenfall-scheme/1\nname: White\nlayers:\n"
        "  - {zones: [all], effect: steady, palette: ['#ffffff']}\n"
    )
    (tmp_path / "year.season.yaml").write_text(
        "format: evenfall-season/1\nname: Y\nevening: {on: '18:00', off: '22:00'}\n"
        "nights: [{when: 05-24, scheme: white.scheme.yaml}]\n"
    )
    planned = plan(load_season(tmp_path / "year.season.yaml", house, year=2026), 2026)
    drawn = str(year_figure(planned))
    # the cell of the evening and the one of the legend, in an ink that a dark page turns light
    assert drawn.count('class="l-soft" stroke="#5d616d" fill="none"') == 2, drawn[-600:]


def test_a_white_evening_is_framed_on_the_page_of_a_season():
    """White on white paper: the cell of an evening with a scheme of its own has a line."""
    style = (DEMO.parent / "sim" / "report" / "season_page.css").read_text("utf-8")
    (special,) = re.findall(r"^\.day\.special \{(.*?)\}", style, re.MULTILINE)
    assert "border: 1px solid var(--idle)" in special  # not an outline: the lamp lies over that


def test_a_scheme_that_stands_still_says_so(tmp_path):
    def scheme(name: str, effect: str):
        path = tmp_path / f"{name}.scheme.yaml"
        path.write_text(
            f"format: evenfall-scheme/1\nname: {name}\nlayers:\n"
            f"  - {{zones: [all], effect: {effect}, palette: ['#ff8000', '#004000']}}\n"
        )
        return load_scheme(path, house)

    house = small()
    told = handover_of(
        house, builtin_parts(), Subject(DAY, (scheme("a", "steady"), scheme("b", "chase")), None, 1)
    )
    rows = grid(wiring_chapter(told), "Schemes").rows
    assert [row[3] for row in rows] == ["stands still", "1 s"]


def test_figures_lent_by_another_row_are_folded():
    house = small("ws2814-12v-rgbw")
    chapter = sources_chapter(facts_of(house))
    lent = grid(chapter, "Figures of another row, whose own was not seen")
    assert len(lent.rows) == len({row[:2] for row in lent.rows}) <= 4
    assert any("dominant wavelength" in row[2] for row in lent.rows)
    rest = grid(chapter, "Figures to be measured where they matter").rows
    assert not any(row[3].startswith("not seen; row") for row in rest)
    # nothing is lost: every figure stands in one of the tables
    rows = [("k", f"f{n}", f"{n} m", "not seen; row x stands in", "borrowed") for n in range(3)]
    folded, left = _stand_ins([*rows, ("k", "g", "1", "sheet", "datasheet")])
    assert folded == (("k", "x", "f0 0\xa0m; f1 1\xa0m; f2 2\xa0m", "borrowed"),)
    assert [row[1] for row in left] == ["g"]
