"""The year as iCalendar, as a page, as JSON and on the screen."""

import io
import json
import re
from dataclasses import replace
from datetime import UTC, date
from html.parser import HTMLParser

import icalendar
import pytest
from rich.console import Console

from effects import Layer, Scheme
from layouts.finding import Finding
from layouts.records import Location
from sim.report.season_data import as_json, entries
from sim.report.season_ics import ics
from sim.report.season_page import season_page
from sim.report.season_screen import season_blocks
from sim.report.season_swatch import swatch
from sim.report.terminal import print_blocks
from sim.season import Watts, bill, plan
from sim.season.days import dates, weekday_names

WATTS = Watts({"warm": 60.0, "spooky": 20.0, "frost": 30.0}, 3.0)
AWKWARD = "Shed; the old, \\ Bärenstraße – eine Straße mit einem sehr langen Namen"


@pytest.fixture
def planned(season):
    rows = [("Halloween", "spooky", 2), ("12-20..01-06", "frost")]
    return plan(season(*rows, tariff=(0.2, "USD")), 2026)


def test_the_icalendar_library_reads_it(planned):
    calendar = icalendar.Calendar.from_ical(ics(AWKWARD, planned))
    events = calendar.walk("VEVENT")
    assert not calendar.errors
    assert len(events) == 365
    lit = {evening.date: evening for evening in planned.evenings}
    for event in events:
        evening = lit[event.decoded("DTSTART").astimezone(lit_zone(planned)).date()]
        assert event.decoded("DTSTART") == evening.lit.on.astimezone(UTC).replace(microsecond=0)
        assert event.decoded("DTEND") == evening.lit.off.astimezone(UTC)
        assert str(event["SUMMARY"]) == evening.scheme.capitalize()
        assert AWKWARD in str(event["DESCRIPTION"])
    assert len({str(event["UID"]) for event in events}) == 365
    for required in ("PRODID", "VERSION"):
        assert required in calendar
    assert all("DTSTAMP" in event for event in events)


def lit_zone(planned):
    return planned.evenings[0].lit.on.tzinfo


def test_lines_end_and_fold_as_rfc_5545_asks(planned):
    raw = ics(AWKWARD, planned)
    lines = raw.split(b"\r\n")
    assert lines[-1] == b""
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert max(len(line) for line in lines) <= 75
    assert any(line.startswith(b" ") for line in lines)
    for line in lines:
        line.decode()  # no character is cut in two


def test_the_same_plan_gives_the_same_bytes(planned, season):
    again = plan(season(("Halloween", "spooky", 2), ("12-20..01-06", "frost")), 2026)
    assert ics("Shed", planned) == ics("Shed", again)


def test_dark_evenings_are_no_events(season):
    only = plan(season(("Halloween", "spooky"), otherwise=None), 2026)
    assert len(icalendar.Calendar.from_ical(ics("Shed", only)).walk("VEVENT")) == 1


class Text(HTMLParser):
    def __init__(self):
        super().__init__()
        self.text, self.special, self.open = "", 0, []

    def handle_starttag(self, tag, attrs):
        self.special += tag == "div" and dict(attrs).get("class") == "day special"
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


def test_the_page(planned):
    claimed = replace(planned, findings=(Finding("note", "x", "y", "<b>bold claim</b>"),))
    raw = season_page("Shed & <co>", claimed, bill(planned, WATTS), ("Mind the ladder.",))
    text = raw.decode()
    read = Text()
    read.feed(text)
    assert read.open == []  # every element is closed
    assert "Shed & <co>" in read.text
    assert "<b>bold claim</b>" in read.text  # shown, not obeyed
    assert "Mind the ladder." in read.text
    assert read.special == 3 + 18
    for words in ("January", "Halloween", "12-20 – 01-06", "USD", "20 W", "2026"):
        assert words in read.text
    for outside in ("http://", "https://", "<script", "@import", "<link"):
        assert outside not in text  # complete in itself


def test_json_holds_everything(planned):
    data = json.loads(json.dumps(as_json("Shed", planned, bill(planned, WATTS))))
    assert data["year"] == 2026
    assert len(data["evenings"]) == 365
    halloween = next(e for e in data["evenings"] if e["date"] == "2026-10-31")
    assert (halloween["scheme"], halloween["why"]) == ("spooky", "Halloween")
    assert halloween["on"].startswith("2026-10-31T18:")
    assert [month["name"] for month in data["months"]][::11] == ["January", "December"]
    assert data["total"]["kwh"] == pytest.approx(sum(month["kwh"] for month in data["months"]))
    assert {scheme["name"]: scheme["mean_wall_w"] for scheme in data["schemes"]} == WATTS.lit
    assert data["idle"]["saved_by_switching_off_kwh"] == data["total"]["kwh_idle"]
    assert data["tariff"] == {"per_kwh": 0.2, "currency": "USD"}


@pytest.mark.parametrize("width", [40, 80, 120, 200])
def test_the_screen_keeps_within_its_width(planned, width):
    console = Console(width=width, record=True, file=io.StringIO())
    print_blocks(console, season_blocks("Shed", planned, bill(planned, WATTS), ()))
    lines = console.export_text().splitlines()
    assert max(map(len, lines)) <= width
    text = "\n".join(lines)
    assert "January" in text
    assert "29–31 Oct" in text or width < 80
    assert "Switching" in text


def without_colours(planned):
    paper = io.StringIO()
    console = Console(width=200, file=paper, color_system=None)
    print_blocks(console, season_blocks("Shed", planned, bill(planned, WATTS), ()))
    return paper.getvalue().splitlines()


@pytest.mark.parametrize("otherwise", ["warm", None])
def test_without_colours_a_letter_says_whose_a_day_is(season, otherwise):
    rows = [("Halloween", "spooky", 2), ("12-20..01-06", "frost")]
    lines = without_colours(plan(season(*rows, otherwise=otherwise), 2026))
    assert any("25 26 27 28 29b30b31b" in line for line in lines)
    assert any("20a21a22a23a24a25a26a" in line for line in lines)
    assert any(re.match(r"b +29–31 Oct +Halloween ", line) for line in lines)
    assert not any(line.startswith("-") for line in lines)


def test_without_colours_dark_evenings_are_told_from_ordinary_ones(season):
    """North of the circle nothing is switched on at dusk while the sun does not set."""
    north = Location(69.65, 18.96, "Europe/Oslo", "NO")
    planned = plan(season(("12-20..01-06", "frost"), location=north), 2026)
    dark = sum(not evening.lit for evening in planned.evenings)
    lines = without_colours(planned)
    assert dark > 50
    assert any("20-21-22-23-24-25-26-" in line or "22-23-24-25-26-27-28-" in line for line in lines)
    assert any(re.match(rf"- +{dark} dark", line) for line in lines)


def test_entries_come_in_order_with_the_ordinary_evenings_last(planned):
    found = entries(planned)
    assert [entry.why for entry in found] == ["12-20..01-06", "Halloween", "otherwise"]
    assert found[0].when == "1–6 Jan, 20–31 Dec"
    assert found[1].when == "29–31 Oct"
    assert found[0].off == "23:00"


def test_off_times_after_midnight_come_after_those_before(season):
    late = plan(season(off="sunset+6:00", on="sunset"), 2026)
    (entry,) = entries(late)
    first, last = entry.off.split("–")
    assert first > "22:00"
    assert last < "03:00"


def test_dates():
    days = [date(2026, 1, 31), date(2026, 2, 1), date(2026, 5, 5)]
    assert dates(days) == "31 Jan – 1 Feb, 5 May"
    assert dates(date(2026, 1, n) for n in range(1, 20, 2)) == (
        "1 Jan, 3 Jan, 5 Jan, 7 Jan and 6 more"
    )


def test_weeks_begin_as_the_country_is_used_to(season):
    # 1 January 2026 is a Thursday: the fifth column from Sunday, the fourth from Monday.
    here = plan(season(), 2026)
    there = plan(season(location=Location(51.5, 0, "Europe/London", "GB")), 2026)
    for planned, column, first in ((here, 5, "Su"), (there, 4, "Mo")):
        text = season_page("Shed", planned, bill(planned, WATTS), ()).decode()
        january = text[text.index("January</h3>") :]
        assert f"grid-column: {column};" in january[: january.index("February")]
        assert re.search(r"<i>(\w\w)</i>", january)[1] == first
    assert weekday_names(6) == ["Su", "Mo", "Tu", "We", "Th", "Fr", "Sa"]


def test_swatch():
    layers = (
        Layer("steady", palette=("#ff0000", "#000000", "#fe0101")),
        Layer("chase", palette=("3000 K",)),
    )
    red, warm = swatch(Scheme("x", "x", layers))  # black and the second red say nothing new
    assert red == "#ff0000"
    r, g, b = (int(warm[at : at + 2], 16) for at in (1, 3, 5))
    assert r == 255
    assert r > g > b
    assert swatch(Scheme("x", "x", (Layer("steady", palette=("#000000",)),))) == ("#404040",)


def test_swatch_takes_turns_between_layers():
    layers = (Layer("steady", palette="pride-six"), Layer("glint", palette=("#ffffff",)))
    assert swatch(Scheme("x", "x", layers))[1] == "#ffffff"
