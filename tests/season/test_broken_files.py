"""Whatever stands in a season file, it is read or refused in words, never a crash."""

from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layouts.errors import EvenfallError
from sim.season import load_season, plan

WHOLE = """\
format: evenfall-season/1
name: A year
location: {latitude: 69.6, longitude: 18.9, timezone: Europe/Oslo, country: NO}
tariff: {per_kwh: 0.17, currency: NOK}
evening: {on: dusk, off: 23:00}
otherwise: warm.scheme.yaml
nights:
  - {when: Halloween, scheme: spooky.scheme.yaml, before: 3, after: 1}
  - {when: Easter + 1..first Sunday of May, scheme: frost.scheme.yaml}
  - {when: every Friday and Saturday, scheme: frost.scheme.yaml}
"""
SIGNS = ["", ":", "{", "]", "-", "..", '"', "é", "\t", "\x07", "&a", "*a", "!!python/none"]
WORDS = ["null", "0", "-1", "99999999999", "true", "every", "first", "+ 400", "24:00", "dusk-9:99"]


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.integers(0, len(WHOLE)), st.integers(0, 12), st.sampled_from(SIGNS + WORDS))
def test_one_wrong_piece(house, folder, at, length, piece):
    path: Path = folder / "broken.season.yaml"
    path.write_text(WHOLE[:at] + piece + WHOLE[at + length :], "utf-8")
    with suppress(EvenfallError):
        assert len(plan(load_season(path, house, year=2026), 2026).evenings) == 365


@pytest.mark.parametrize("year", [1900, 1987, 2028, 2200])
def test_the_whole_file_is_fine_in_any_year(house, folder, year):
    path = folder / "whole.season.yaml"
    path.write_text(WHOLE)
    planned = plan(load_season(path, house, year=year), year)
    assert {evening.scheme for evening in planned.evenings} == {
        "warm.scheme.yaml",
        "spooky.scheme.yaml",
        "frost.scheme.yaml",
    }
