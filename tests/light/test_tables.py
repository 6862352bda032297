"""Tables of the light: every row says where it is from, and the values are those of the source."""

from __future__ import annotations

import pytest

from sim.light.environmental_zones import environmental_zones
from sim.light.night import HOURS
from sim.light.tables.read import FOLDER, rows

TABLES = sorted(path.stem for path in FOLDER.glob("*.csv"))


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_a_source_with_its_tag(table):
    found = rows(table)
    assert found
    for row in found:
        assert None not in row  # no value beyond the columns
        assert None not in row.values()
        assert row["source"].count("[") >= 1, row["name"]


def test_tables_are_read_whole():
    assert TABLES == ["environmental_zones", "hours"]
    assert [zone.name for zone in environmental_zones()] == ["E0", "E1", "E2", "E3", "E4"]
    assert list(HOURS) == ["dusk", "evening", "late"]


def test_windows_of_others():
    # EN 12193 and ILP GN01 as quoted by others: 2, 5, 10, 25 lx before curfew and 0.1, 1, 2, 5
    # after it in the zones E1 to E4
    zones = environmental_zones()[1:]
    assert [zone.window_before_lx for zone in zones] == [2, 5, 10, 25]
    assert [zone.window_after_lx for zone in zones] == [0.1, 1, 2, 5]
    assert environmental_zones()[0].window_before_lx is None


@pytest.mark.parametrize("hour", sorted(HOURS))
def test_colours_have_luminance_one(hour):
    for name in ("zenith_colour", "horizon_colour", "glow_colour"):
        red, green, blue = getattr(HOURS[hour], name)
        # Rec. 709 weights
        assert 0.2126 * red + 0.7152 * green + 0.0722 * blue == pytest.approx(1)
