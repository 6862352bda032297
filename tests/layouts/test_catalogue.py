"""The catalogue: every number has a source and a tag, and agrees with what the source says."""

from __future__ import annotations

import importlib.util
import math
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from layouts import fuses, kinds, materials, profiles, stated, wire_sizes
from layouts.catalogue.tables import FOLDER, kind_entries, limits, rows
from layouts.inherit import leaves, merged, sources
from layouts.provenance import TAGS, split_tag

ROOT = Path(__file__).resolve().parents[2]
NAMES = list(kinds())


def test_the_kinds_there_are() -> None:
    assert NAMES[:9] == [
        "ws2812b",
        "ws2812b-v5",
        "ws2813",
        "ws2815",
        "ws2811-12v-group3",
        "sk6812",
        "sk6812-rgbw-warm",
        "sk6812-rgbw-neutral",
        "sk6812-rgbw-cool",
    ]
    assert len(NAMES) == 55


@pytest.mark.parametrize("name", NAMES)
def test_every_number_of_a_kind_has_a_source_and_a_tag(name: str) -> None:
    for row in stated(kinds()[name]):
        assert row.source, row.field
        assert row.tag in TAGS, row.field


@pytest.mark.parametrize("name", NAMES)
def test_what_a_kind_overrides_it_also_sources(name: str) -> None:
    """An inherited source must never stand beside a number of the kind's own."""
    entry = kind_entries()[name]
    own = sources(entry)
    missing = [leaf for leaf in leaves(entry) if leaf not in own]
    assert missing == []


@pytest.mark.parametrize("name", NAMES)
def test_no_source_is_for_nothing(name: str) -> None:
    """A line under `sources` that fits no value is a slip of the pen."""
    from fnmatch import fnmatchcase

    paths = [*leaves(merged(name, kind_entries())), "rail_ohm_per_m", "pitch", "per_metre"]
    for pattern in kind_entries()[name]["sources"]:
        assert any(fnmatchcase(path, pattern) for path in paths), pattern


@pytest.mark.parametrize("table", [wire_sizes, materials, profiles])
def test_rows_of_the_other_tables_have_sources(table: object) -> None:
    for row in table().values():  # type: ignore[operator]
        assert row.sources, row.name
        for field, source in row.sources.items():
            tagged = split_tag(source)[1] in TAGS
            unlimited = field == "max_ohm_per_km" and row.max_ohm_per_km is None
            assert tagged or unlimited, (row.name, field)


def test_what_a_profile_holds_is_sourced_where_it_is_known() -> None:
    for row in profiles().values():
        for field in ("mount", "wire_bay_mm", "bar_m", "hole_mm", "hole_pitch_mm"):
            assert (getattr(row, field) is not None) == (field in row.sources), (row.name, field)


def test_profiles_hold_what_their_sheets_leave() -> None:
    # inner width of the deep extrusion 12.48 mm, of the strip 10 mm
    deep = profiles()["channel-deep-frosted"].wire_bay_mm
    assert deep is not None
    assert deep[0] == pytest.approx(12.48 - 10)
    assert deep[1] < 15.39  # the outer height
    # beside a strip in the shallow one: 18 AWG with a thin wall is 2.1 mm thick and goes in, 16 AWG
    # is 2.4 mm and does not (trade nominals, from memory)
    shallow = profiles()["channel-frosted"].wire_bay_mm
    assert shallow is not None
    assert 2.1 < shallow[0] < 2.4
    # a bar of track holds whole numbers of every hole distance sold
    bar_m = profiles()["eave-track"].bar_m
    assert bar_m is not None
    for apart_mm in (25, 100, 150, 200, 300):
        assert round(bar_m * 1000) % apart_mm == 0


def test_every_limit_has_a_source_and_a_tag() -> None:
    table = limits()
    said = [*(row.source for row in table.rows.values()), *(row.source for row in table.class_2)]
    assert all(split_tag(source)[1] in TAGS for source in said)
    assert all(row.unit for row in table.rows.values())


def test_warm_supplies_and_fuses_bear_less() -> None:
    table = limits()
    tagged = [row.source for part in table.warm.values() for row in part]
    assert all(split_tag(source)[1] in TAGS for source in tagged)
    # an enclosed family: all of it to 50 °C, then straight to 60 % at 70 °C [datasheet, 2nd hand]
    for celsius, share in ((-40, 1.0), (20, 1.0), (50, 1.0), (60, 0.8), (70, 0.6), (70.1, 0.0)):
        assert table.left_at("supply", celsius) == pytest.approx(share)
    # a 40 A blade fuse: 34 A at 65 °C, 30 A at 85 °C [datasheet, 2nd hand]
    for celsius, amps in ((20, 40), (42.5, 37), (65, 34), (85, 30)):
        assert 40 * table.left_at("fuse", celsius) == pytest.approx(amps)
    assert table.coldest_start_c == -25


def test_a_supply_may_be_ten_percent_off_and_no_more() -> None:
    """5.5 / 5 − 1 is a little more than 0.1 in binary: rounding must not make a danger of it."""
    table = limits()
    for volts in (5.5, 4.5):
        assert table.suits(volts, 5.0)
    for volts in (5.501, 4.499):
        assert not table.suits(volts, 5.0)


def test_fuses_have_sources() -> None:
    table = fuses()
    said = [*table.sources.values(), *(opening.source for opening in table.openings)]
    assert all(split_tag(source)[1] in TAGS for source in said)
    assert {f"cold_ohm.{rating:g}" for rating, _ in table.cold_ohms} <= set(table.sources)


# Intensities [mcd] of the cells, and Φ = π·I0 of a Lambertian emitter, whose intensity has halved
# at 60° (120° view angle). WS2812B (EN, 2013): 390–420, 660–720, 180–200; WS2813B (CN) and
# WS2815 V1.1: 360, 1150, 220.
@pytest.mark.parametrize(
    ("name", "millicandela"),
    [
        ("ws2812b", (405, 690, 190)),
        ("ws2812b-v5", (405, 690, 190)),
        ("ws2813", (360, 1150, 220)),
        ("ws2815", (360, 1150, 220)),
        ("ws2811-12v-group3", (3 * 405, 3 * 690, 3 * 190)),
    ],
)
def test_lumens_of_the_intensity_cells(name: str, millicandela: tuple[float, ...]) -> None:
    lumens = [channel.flux_lm for channel in kinds()[name].channels]
    assert lumens == pytest.approx([math.pi * mcd / 1000 for mcd in millicandela], rel=6e-4)


def test_full_white_of_the_first_sheet() -> None:
    # WS2812B (EN, 2013), middle of each cell: 1.272 + 2.168 + 0.597 = 4.04 lm.
    assert sum(c.flux_lm for c in kinds()["ws2812b"].channels) == pytest.approx(4.04, abs=0.01)


def test_power_of_the_rgbw_part_agrees_with_its_sheet() -> None:
    # SK6812RGBW Rev 01: 0.25 W a pixel; two sellers: 9 + 9 + 9 + 16.5 = 43.5 mA, at up to 5.5 V.
    total_ma = sum(c.current_ma for c in kinds()["sk6812-rgbw-warm"].channels)
    assert total_ma == pytest.approx(43.5)
    assert total_ma * 5.5 / 1000 <= 0.25


def test_the_series_part_stays_inside_its_power() -> None:
    # WS2815B-V1 V2.0: at most 0.18 W per LED at 12 V; three times 15 mA would be 0.54 W.
    kind = kinds()["ws2815"]
    assert kind.law == "series"
    assert kind.supply_v * max(c.current_ma for c in kind.channels) / 1000 <= 0.18 + 1e-12


def test_group_kind_at_full_white() -> None:
    # Hand calculation: 3 · 18.5 + 2.6 = 58.1 mA, 0.697 W at 12 V.
    kind = kinds()["ws2811-12v-group3"]
    total_ma = sum(c.current_ma for c in kind.channels) + kind.idle_ma
    assert total_ma == pytest.approx(58.1)
    assert total_ma * kind.supply_v / 1000 == pytest.approx(0.697, abs=5e-4)
    # Its rails are those of its leads: 20 AWG, 33.309 Ω/km (ASTM B258, IACS).
    assert kind.rail_ohm_per_m == pytest.approx(0.033309, rel=3e-4)


@pytest.mark.parametrize("name", NAMES)
def test_dominant_wavelengths_lie_in_their_bins(name: str) -> None:
    kind = kinds()[name]
    assert kind.dominant_bins_nm is not None
    for channel in kind.channels:
        if channel.dominant_nm is not None:
            low, high = kind.dominant_bins_nm[channel.name]
            assert low <= channel.dominant_nm <= high


@pytest.mark.parametrize("name", NAMES)
def test_full_colour_is_reached_at_nominal_voltage(name: str) -> None:
    kind = kinds()[name]
    volts = [channel.vf_v for channel in kind.channels]
    needed = sum(volts) if kind.law in ("series", "staggered") else max(volts)
    made_v = kind.supply_v if kind.regulator is None else kind.regulator.gives_v
    assert needed + kind.headroom_v < made_v


def test_fuses_that_fit_a_load() -> None:
    # Hand calculation: 6.0 A for ever at 75 % needs 8 A, the next size made is 10 A.
    table = fuses()
    assert table.rating_for(6.0) == 10
    assert table.rating_for(40.0) is None


def test_cold_resistance_between_and_beyond_the_rows() -> None:
    table = fuses()
    assert table.cold_ohm(10) == pytest.approx(0.0075)
    assert 0.0075 < table.cold_ohm(7.5) < 0.017
    assert table.cold_ohm(2) == pytest.approx(0.017 * 5 / 2, rel=1e-3)
    # Sizes that are not made, and may still be written: inverse to the rating.
    assert table.cold_ohm(0.5) == pytest.approx(2 * table.cold_ohm(1))
    assert table.cold_ohm(80) == pytest.approx(table.cold_ohm(40) / 2)


def test_a_fuse_holds_its_rating_and_opens_beyond() -> None:
    openings = fuses().openings
    longest = [row.most_s if row.most_s is not None else math.inf for row in openings]
    assert [row.load for row in openings] == sorted(row.load for row in openings)
    assert longest == sorted(longest, reverse=True)
    assert all(
        row.least_s is not None and row.least_s <= most
        for row, most in zip(openings, longest, strict=True)
    )


def test_reflectances() -> None:
    textures = [
        "siding",
        "brick",
        "render",
        "stone",
        "timber",
        "shingle",
        "slate",
        "tile",
        "glass",
        "glass_lit",
        "door",
        "trim",
        "bark",
        "hedge",
        "leaves",
        "needles",
        "flowers",
        "lawn",
        "path",
        "snow",
        "metal",
        "number",
    ]
    for material in materials().values():
        assert material.texture in textures
        assert len(material.reflectance) == len(material.wavelength_nm) == 36
        assert np.all((np.array(material.reflectance) >= 0) & (np.array(material.reflectance) <= 1))
    assert {material.texture for material in materials().values()} == set(textures)


def make_materials() -> ModuleType:
    path = ROOT / "tests" / "reference" / "make_materials.py"
    spec = importlib.util.spec_from_file_location("make_materials", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.filterwarnings("ignore")
def test_materials_are_what_the_script_makes() -> None:
    """The data file was not edited by hand: colour-science makes the same numbers again."""
    script = make_materials()
    data = rows("materials")["materials"]
    paints = rows("paints")
    assert list(data) == list(paints)
    for name, row in paints.items():
        values, source = script.reflectance(row)
        assert data[name]["reflectance"] == pytest.approx(values.tolist(), abs=6e-5)
        assert data[name]["source"] == source


@pytest.mark.filterwarnings("ignore")
def test_luminous_reflectance_of_the_measured_patches() -> None:
    import colour

    # BabelColor average under D65, 2° (colour-science 0.4.7): white 9.5 91.2 %, foliage 13.3 %,
    # dark skin 10.1 %, neutral 6.5 36.0 %, neutral 3.5 8.9 %; scaled rows: as paints.yaml says.
    expected = {"lap-siding-white": 91.2, "lawn": 13.3, "brick-dark": 10.1}
    expected |= {"lap-siding-grey": 36.0, "slate": 8.9, "hedge": 9.0, "snow": 90.0}
    d65 = colour.SDS_ILLUMINANTS["D65"]
    for name, luminous in expected.items():
        row = materials()[name]
        sd = colour.SpectralDistribution(dict(zip(row.wavelength_nm, row.reflectance, strict=True)))
        assert colour.sd_to_XYZ(sd, illuminant=d65)[1] == pytest.approx(luminous, abs=0.2), name


def test_every_data_file_reads_without_a_problem() -> None:
    from layouts.files.document import read

    for file in FOLDER.glob("*.yaml"):
        assert read(file).problems == (), file.name
