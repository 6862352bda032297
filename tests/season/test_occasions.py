"""Holidays by name against published dates."""

from datetime import date
from pathlib import Path

import pytest

import sim.season.occasions
from layouts.files.document import read
from sim.season.occasions import UnknownCountry, key, occasions

# 5 U.S.C. 6103 and the Office of Personnel Management's list of federal holidays for 2026 [from
# memory]; Halloween, Valentine's and Saint Patrick's Day by custom. England: gov.uk list of bank
# holidays for 2026 [from memory]. Norway: Lov om 1 og 17 mai, and the church year [from memory].
PUBLISHED = [
    ("US", "Independence Day", date(2026, 7, 4)),
    ("US", "Thanksgiving Day", date(2026, 11, 26)),
    ("US", "Memorial Day", date(2026, 5, 25)),
    ("US", "Labor Day", date(2026, 9, 7)),
    ("US", "Halloween", date(2026, 10, 31)),
    ("US", "Valentine's Day", date(2026, 2, 14)),
    ("US", "Mother's Day", date(2026, 5, 10)),
    ("GB-ENG", "Easter Monday", date(2026, 4, 6)),
    ("GB-ENG", "Boxing Day", date(2026, 12, 26)),
    ("GB", "Halloween", date(2026, 10, 31)),
    ("NO", "Grunnlovsdag", date(2026, 5, 17)),
    ("NO", "Constitution Day", date(2026, 5, 17)),
    ("DE", "Neujahr", date(2026, 1, 1)),
    (None, "Christmas Eve", date(2026, 12, 24)),
]


@pytest.mark.parametrize(("country", "name", "published"), PUBLISHED)
def test_published_dates(country, name, published):
    found = [day for day in occasions(country, 2026).of(name) if day.year == 2026]
    assert found == [published]


def test_days_off_in_lieu_are_no_holidays():
    # 4 July 2026 is a Saturday: federal offices close on Friday the 3rd, fireworks stay on the 4th.
    known = occasions("US", 2026)
    assert date(2026, 7, 3) not in known.of("Independence Day")
    assert not any("observed" in name for name in known.names)


@pytest.mark.parametrize(
    "written", ["thanksgiving", "Thanksgiving Day", "THANKSGIVING  DAY", "Thanksgiving day"]
)
def test_spelling_does_not_matter(written):
    assert occasions("US", 2026).of(written) == occasions("US", 2026).of("Thanksgiving Day")


def test_apostrophes_and_saints():
    assert key("St. Patrick’s Day") == key("Saint Patrick's Day") == key("st patrick's day")


def test_the_neighbouring_years_are_known_too():
    days = occasions("US", 2026).of("New Year's Day")
    assert {date(2025, 1, 1), date(2026, 1, 1), date(2027, 1, 1)} <= set(days)


@pytest.mark.parametrize("country", ["XX", "US-XX", "usa"])
def test_unknown_country(country):
    with pytest.raises(UnknownCountry):
        occasions(country, 2026)


def test_every_row_of_the_table_has_a_source_and_days():
    rows = read(Path(sim.season.occasions.__file__).with_name("occasions.yaml")).data
    for row in rows:
        known = occasions(row["in"][0] if "in" in row else None, 2026)
        assert row["source"]
        assert any(day.year == 2026 for day in known.of(row["name"])), row["name"]
    assert len({row["name"] for row in rows}) == len(rows)


def test_mothers_day_is_another_day_in_another_country():
    # The second Sunday of May by proclamation of 1914 in the USA; the fourth of Lent in Britain.
    assert date(2026, 5, 10) in occasions("US", 2026).of("Mother's Day")
    assert date(2026, 3, 15) in occasions("GB-ENG", 2026).of("mother's day")
    assert occasions(None, 2026).of("Mother's Day") is None


@pytest.mark.parametrize("year", [1900, 2200])
def test_the_first_and_last_year(year):
    assert date(year, 10, 31) in occasions("US", year).of("Halloween")
