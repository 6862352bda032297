"""Options and sweeps as they are told and drawn."""

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

import layouts
from sim.parts import bill_of, builtin_parts, load_parts
from sim.report.blocks import Cautions, Listed, Section, Table, Words
from sim.report.cautions import WIRING
from sim.report.plan_options import PlannedLoad, chosen, options
from sim.report.plan_options_picture import options_png, shown
from sim.report.plan_options_text import MOST_ABREAST, options_blocks

from .test_compare_picture import DEMO, HOUSE

SIZE = (320, 200)
NAMES = ("ws2811-12v-group3", "ws2815")


@pytest.fixture(scope="module")
def made():
    """The demo house in two kinds, and one that no supply of the parts file fits."""
    house = layouts.load_house(HOUSE)
    odd = replace(house.kinds["ws2815"], name="odd-36v", supply_v=36.0)
    parts = load_parts(DEMO / "parts.yaml", house)
    load = PlannedLoad(full=True, brightness=0.4)
    return house.name, load, options(house, load, (*chosen(NAMES, (), house), odd), parts)


def cell(table, name, column):
    (found,) = [row for row in table.rows if row.cells[0][0].text == name]
    return found.cells[column][0].text


def places_of(part: np.ndarray, sheet: np.ndarray) -> list[tuple[int, int]]:
    """Every (y, x) at which `part` (h, w, 3) stands in `sheet`, to the last code."""
    (h, w), (high, wide) = part.shape[:2], sheet.shape[:2]
    fits = np.ones((high - h + 1, wide - w + 1), dtype=bool)
    for y in range(0, h, 37):  # some of its pixels at all places at once
        for x in range(0, w, 37):
            seen = sheet[y : y + fits.shape[0], x : x + fits.shape[1]]
            fits &= (seen == part[y, x]).all(axis=-1)
    return [(y, x) for y, x in np.argwhere(fits)
            if np.array_equal(sheet[y : y + h, x : x + w], part)]  # fmt: skip


def test_every_option_is_drawn_once_at_one_exposure(made):
    houses, exposure_ev = shown(made[2], SIZE, "evening")
    assert houses[2] is None
    assert 0.0 < exposure_ev < 8.0
    # The dark sky is the same in both: the exposure is.
    assert np.abs(houses[0][:10].astype(int) - houses[1][:10]).max() <= 2
    assert (houses[0] != houses[1]).any()
    drawn = options_png(*made, size_px=SIZE, hour="evening")
    sheet = np.asarray(Image.open(io.BytesIO(drawn)))
    for house in houses[:2]:
        assert len(places_of(house, sheet)) == 1
    # It is the same every time, to the byte.
    assert options_png(*made, size_px=SIZE, hour="evening") == drawn


def test_where_none_can_be_built_there_is_no_picture(made):
    with pytest.raises(layouts.EvenfallError, match="no option can be built"):
        options_png(*made[:2], made[2][2:], size_px=SIZE)


def test_the_table_tells_the_figures_that_were_measured(made):
    blocks = list(options_blocks(*made))
    (table,) = [each for each in blocks if isinstance(each, Table)]
    for column, option in enumerate(made[2][:2], start=1):
        built = option.built
        assert cell(table, "price of all of it", column) == f"{option.price:.2f} USD"
        assert cell(table, "wiring alone", column) == f"{built.plan.price:.2f}"
        assert cell(table, "feeds, cuts", column) == f"{built.feeds}, {built.cuts}"
        assert cell(table, "supplies", column) == f"{len(built.plan.house.supplies)}"
        assert float(cell(table, "dark, switched on", column).split()[0]) == pytest.approx(
            built.measured.idle_wall_w, rel=0.005
        )
    assert cell(table, "one repair", 1) == "swap a node"
    assert cell(table, "one repair", 2) == "cut and solder, 30 min"
    assert cell(table, "data backup", 2) == "yes"
    assert cell(table, "price of all of it", 3) == "–"
    assert cell(table, "status", 3) == "cannot be built"


def test_why_not_and_the_cautions_stand_with_it(made):
    sections = {each.heading: each.blocks for each in options_blocks(*made)
                if isinstance(each, Section)}  # fmt: skip
    (why,) = sections["Cannot be built"]
    assert isinstance(why, Listed)
    assert "36 V" in why.items[0][1].text
    assert sections["Cautions"] == (Cautions(WIRING),)


def test_what_draws_much_in_the_dark_is_said_with_its_source(made):
    """ws2815: 2.1 mA at 12 V are 25.2 mW, the 0.6 mA of the other kind at 5 V are 3 mW."""
    name, load, options = made
    other = replace(options[0], kind=layouts.kinds()["ws2812b-v5"])
    blocks = list(options_blocks(name, load, (options[1], other)))
    (found,) = [each for each in blocks if getattr(each, "heading", "") == "Dark but switched on"]
    (told,) = found.blocks[1].items
    assert [span.text for span in told] == [
        "ws2815: ",
        "2.1 mA at 12 V, 25 mW a pixel"
        " (WS2815 V1.1: 2.1 mA; WS2815B-V1 (2022): under 2 mA [datasheet])",
    ]
    # two kinds that draw about the same: nothing to say
    alike = list(options_blocks(name, load, options[1:2]))
    assert not [each for each in alike if getattr(each, "heading", "") == "Dark but switched on"]


def test_more_kinds_go_into_a_table_below(made):
    many = (*made[2], *made[2])
    tables = [each for each in options_blocks(*made[:2], many) if isinstance(each, Table)]
    assert [len(each.columns) - 1 for each in tables] == [MOST_ABREAST, 2]


def test_wire_and_fuses_of_each_kind_stand_in_the_table(made):
    (table,) = [each for each in options_blocks(*made) if isinstance(each, Table)]
    for column, option in enumerate(made[2][:2], start=1):
        wires = option.built.plan.house.wires
        told = cell(table, "wire", column)
        assert told.startswith(
            f"{sum(wire.length_m for wire in wires):.1f}".rstrip("0").rstrip(".")
        )
        sizes = {wire.size.name.removesuffix(" AWG") for wire in wires}
        assert set(told.split(": ")[1].removesuffix(" AWG").split(", ")) == sizes
        ratings = [wire.fuse_a for wire in wires]
        fuses = cell(table, "fuses", column).split(", ")
        assert fuses == [
            f"{ratings.count(each)}×{each:g} A" for each in sorted(set(ratings), reverse=True)
        ]
    assert cell(table, "fuses", 3) == "–"


def test_without_a_parts_file_one_line_says_that_nothing_has_a_price(made):
    bare = [
        replace(
            each,
            built=each.built
            and replace(each.built, bill=bill_of(each.built.plan.house, builtin_parts())),
        )
        for each in made[2]
    ]
    blocks = list(options_blocks(*made[:2], bare))
    assert "Without a price" not in [each.heading for each in blocks if isinstance(each, Section)]
    said = ["".join(s.text for s in each.words) for each in blocks if isinstance(each, Words)]
    told = [each for each in said if "Without a price" in each]
    assert len(told) == 1
    assert "--parts FILE" in told[0]
