"""The document to give away: every figure is that of its verb, and every table can be found."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import html5lib
import numpy as np
import pytest
from typer.testing import CliRunner

from layouts import house_from, kinds, load_house
from layouts.addresses import addresses
from layouts.catalogue import profiles, wire_sizes
from layouts.provenance import TAGS, split_tag
from sim.cli.main import app
from sim.parts import builtin_parts, parts_beside
from sim.report.figures import figures
from sim.report.handover import handover_of
from sim.report.handover.allowances import ALLOWANCES
from sim.report.handover.facts import Subject
from sim.report.handover.faults import FAULTS, PRACTICE
from sim.report.handover.figure_words import figure_words
from sim.report.handover.page import handover_html

DEMO = Path(__file__).resolve().parents[2] / "demo"
COTTAGE = DEMO / "cottage"
DAY = date(2026, 3, 1)


def run(*arguments):
    done = CliRunner().invoke(app, [str(argument) for argument in arguments])
    assert done.exit_code in (0, 1), done.output
    return done


@pytest.fixture(scope="module")
def cottage(tmp_path_factory):
    """The cottage's document in a season, as the command writes it, and the same as data."""
    out = tmp_path_factory.mktemp("handover") / "cottage.html"
    call = ("handover", COTTAGE / "house.yaml", COTTAGE / "year.season.yaml", "--date", DAY)
    done = run(*call, "--out", out, "--json")
    return out.read_text("utf-8"), json.loads(done.stdout)


def tables(html: str) -> dict[str, list[list[str]]]:
    """Every table by its title: rows of cells as text, the head first.

    That a unit stays on the line of its number is a matter of print.
    """
    found = {}
    html = html.replace("\N{NO-BREAK SPACE}", " ")
    for table in html5lib.parse(html, namespaceHTMLElements=False).iter("table"):
        title = "".join(table.find("caption").itertext()).split(" ", 2)[2].strip()
        rows = [["".join(cell.itertext()) for cell in row] for row in table.iter("tr")]
        found[title] = rows
    return found


def test_wires_and_supplies_are_those_of_power(cottage):
    html, data = cottage
    of_verb = []
    for each in data["power"]:
        scheme = next(
            path
            for path in COTTAGE.glob("*.scheme.yaml")
            if f"name: {each['scheme']}\n" in path.read_text("utf-8")
        )
        seconds = each["seconds"]
        done = run("power", COTTAGE / "house.yaml", scheme, "--seconds", f"{seconds}s", "--json")
        assert json.loads(done.stdout) == each
        of_verb.append(each)
    assert len(of_verb) == 6
    rows = tables(html)["Every wire"][1:]
    assert len(rows) == len(load_house(COTTAGE / "house.yaml").wires)
    for number, row in enumerate(rows):
        most = max((each["wires"][number] for each in of_verb), key=lambda wire: wire["peak_a"])
        own = data["wires"][number]
        assert own["peak_a"] == most["peak_a"]
        assert own["drop_v"] == most["drop_v"]
        assert row[0] == f"W{number + 1}"
        assert re.sub(r" \([^)]* along\)", "", row[1]) == f"{most['from']} → {most['to']}"
        assert row[2] == most["wire"]
        assert row[4] == f"{most['length_m']:.2f} m"
        if most["fuse_a"] is not None:
            assert row[5] == f"{most['fuse_a']:g} A"
        assert row[6:9] == [
            f"{most['ampacity_a']:g} A",
            f"{most['peak_a']:.2f} A",
            f"{most['drop_v']:.3f} V",
        ]
    # Pixel 70 of 60 a metre is at 70.5 / 60 m; gable.end is an end, and needs no measuring.
    assert rows[0][1] == "loft → gable[70] (1.18 m along)"
    assert rows[2][1] == "loft → gable.end"
    # Of W4 to W8: three feeds of 7.5 A meet in the gable's +. To the joint above the porch lead
    # 10 A, and 7.5 A by the eave: these come to the porch together, to the eave 10 A at most.
    assert [row[5] for row in rows[3:]] == [
        "behind 3 × 7.5 A", "7.5 A", "10 A", "behind 10 A", "behind 10 A + 7.5 A",
    ]  # fmt: skip
    for number, row in enumerate(tables(html)["Supplies"][1:]):
        most = max((each["supplies"][number] for each in of_verb), key=lambda s: s["peak_a"])
        assert row[1:5] == [
            most["name"],
            f"{most['volts']:g} V",
            f"{most['rated_a']:g} A",
            f"{most['peak_a']:.2f} A",
        ]


def test_parts_and_cuts_are_those_of_parts(cottage):
    html, data = cottage
    of_verb = json.loads(run("parts", COTTAGE / "house.yaml", "--json").stdout)
    assert data["parts"] == of_verb
    rows = tables(html)["Parts to buy, and the work"][1:]
    assert len(rows) == len(of_verb["lines"])
    for row, line in zip(rows, of_verb["lines"], strict=True):
        assert row[0:2] == [line["item"], line["part"]]
        assert float(row[2]) == pytest.approx(line["quantity"], abs=0.005)
        assert row[4:7] == [f"{line['price_each']:.2f}", f"{line['price']:.2f}", line["for"]]
    assert f"{of_verb['total']:.2f} {of_verb['currency']}" in html
    for cuts in of_verb["cuts"]:
        bars = tables(html)[f"{cuts['item']}: {cuts['part']}"][1:]
        for row, bar in zip(bars, cuts["bars"], strict=True):
            for piece in bar["pieces"]:
                assert f"{piece['name']} {piece['length_m']:.3f} m" in row[2]


def test_the_year_is_that_of_season(cottage):
    html, data = cottage
    call = ("season", COTTAGE / "house.yaml", COTTAGE / "year.season.yaml", "--year", "2026")
    of_verb = json.loads(run(*call, "--json").stdout)
    assert data["season"] == of_verb
    rows = tables(html)["Energy"][1:]
    for row, share in zip(rows, [*of_verb["months"], of_verb["total"]], strict=True):
        assert row == [
            share["name"],
            f"{share['evenings']}",
            f"{share['hours_lit']:.0f}",
            f"{share['kwh_lit']:.1f}",
            f"{share['kwh_idle']:.1f}",
            f"{share['cost']:.2f}",
        ]


def test_the_patch_is_that_of_the_addresses(cottage):
    html, _ = cottage
    house = load_house(COTTAGE / "house.yaml")
    at = addresses(house)
    for run_, row in zip(house.runs, tables(html)["Patch, by run"][1:], strict=True):
        first, last = run_.first, run_.first + run_.count - 1
        width = len(run_.kind.channels)
        assert row[0] == run_.name
        assert row[1] == house.outputs[at.output[first]].name
        assert row[2:5] == [str(run_.count), str(run_.spares), str(width)]
        assert row[6] == f"{at.universe[first]}.{at.address[first]}"
        assert row[7] == f"{at.universe[last]}.{at.address[last] + width - 1}"


def test_the_sheet_shows_what_the_data_says(cottage):
    html, data = cottage
    rows = tables(html)["Volts [V], + to −, with the band that is normal"][1:]
    points = data["commissioning"]["points"]
    for row, point in zip(rows, points, strict=True):
        assert row[:2] == [str(point["number"]), point["name"]]
        told = [
            cell
            for reading in point["volts"]
            for cell in (
                f"{reading['expected']:.2f}",
                f"{reading['low']:.2f}–{reading['high']:.2f}",
                "",
            )
        ]
        assert row[3:] == told
    # Every supply, every wire's far end, both ends of every run, and a farthest pixel of each.
    named = " ".join(f"{point['name']}; {point['what']}" for point in points)
    house = load_house(COTTAGE / "house.yaml")
    for number in range(1, len(house.wires) + 1):
        assert f"end of W{number}" in named
    for each in house.runs:
        assert f"{each.name}.start" in named
        assert f"{each.name}.end" in named
    assert named.count("fewest volts") == len(house.runs)


#: 60 pixels at one pad, on 5 m of 14 AWG from a supply with 20 mΩ inside, all of it at 20 °C.
TINY = {
    "format": "evenfall-house/1",
    "name": "Shed",
    "drawing": {"size": [4, 3], "surfaces": []},
    "runs": [
        {"name": "eave", "pixels": "ws2815", "path": [[1, 2], [2, 2]], "count": 60, "aim": "down",
         "standoff": 0.3},
    ],
    "supplies": [{"name": "box", "volts": 12, "amps": 5, "efficiency": 0.85, "no_load_w": 0.5,
                  "source_ohm": 0.02}],
    "wires": [{"from": "box", "to": "eave.start", "wire": "14 AWG", "length": 5}],
}  # fmt: skip


def test_bands_are_ohms_law_at_the_ends_of_the_allowances():
    """A pixel with full headroom draws what its sheet says, whatever the volts, so the first pad
    of a run on one wire is Ohm's law by hand: V = V₀ − I·(R_inside + 2·R_wire)."""
    house = house_from(TINY)
    facts = handover_of(house, builtin_parts(), Subject(DAY))
    at = {point.name: point for point in facts.sheet.points}
    kind = house.runs[0].kind
    # series law: one current through all dies, whichever channels are lit
    lit_a = kind.channels[0].current_ma / 1000
    idle_a = kind.idle_ma / 1000
    # 14 AWG: 8.2855 mΩ/m at 20 °C (ρ = 1/58, d = 1.6277 mm); UL 1581 allows 8.62 Ω/km
    # [standard, transcribed]; IACS α = 0.00393 /K.
    ohm = 2 * 5 * 8.2855e-3
    low_ohm = 2 * 5 * 0.94 * 8.62e-3 * (1 - 20 * 0.00393)
    high_ohm = 2 * 5 * 8.62e-3 * (1 + 20 * 0.00393)
    for level, duty in enumerate((0.0, 85 / 255, 1.0)):
        amps = 60 * (idle_a + duty * lit_a)
        pad, terminals = at["eave.start"].volts[level], at["box"].volts[level]
        assert terminals.expected == pytest.approx(12 - 0.02 * amps, abs=1e-6)
        assert pad.expected == pytest.approx(12 - (0.02 + ohm) * amps, abs=2e-5)
        fewest = 12 * 0.985 - (0.02 + high_ohm) * 1.1 * amps
        most = 12 * 1.015 - (0.02 + low_ohm) * 0.9 * amps
        assert pad.low == pytest.approx(fewest * 0.995 - 0.02, abs=2e-4)
        assert pad.high == pytest.approx(most * 1.005 + 0.02, abs=2e-4)
        given = facts.sheet.supplies[0].amps[level]
        assert given.expected == pytest.approx(amps, rel=1e-6)
        assert given.low == pytest.approx(max(0.9 * amps * 0.98 - 0.1, 0.0), abs=1e-5)
        assert given.high == pytest.approx(1.1 * amps * 1.02 + 0.1, abs=1e-5)


def test_expected_volts_stand_inside_their_bands_everywhere():
    for name in ("cottage", "townhouse", "bungalow"):
        house = load_house(DEMO / name / "house.yaml")
        facts = handover_of(house, parts_beside(house), Subject(DAY))
        for point in facts.sheet.points:
            for reading in point.volts:
                assert reading.low < reading.expected < reading.high
        # The sheet may not ask for a load beyond fuses without saying so.
        html = handover_html(facts)
        over = any(w.wire.fuse_a and w.full_a > w.wire.fuse_a for w in facts.wires)
        over = over or any(s.full_a > s.rated_a for s in facts.supplies)
        assert ("Do not show full white" in html) == over


def test_a_third_is_refused_where_a_fuse_would_not_bear_it():
    # 60 pixels of 2.1 + 5 mA are 0.43 A: more than a supply of 0.4 A gives
    weak = {**TINY, "supplies": [{**TINY["supplies"][0], "amps": 0.4}]}
    house = house_from(weak)
    facts = handover_of(house, builtin_parts(), Subject(DAY))
    assert facts.sheet.too_much == ("box",)
    assert "Show neither a third nor full white" in handover_html(facts)


def test_without_a_scheme_the_peak_is_everything_full():
    house = load_house(COTTAGE / "house.yaml")
    facts = handover_of(house, parts_beside(house), Subject(DAY))
    assert [load.peak_a for load in facts.wires] == [load.full_a for load in facts.wires]
    assert np.isclose(facts.supplies[0].full_a, facts.sheet.supplies[0].amps[2].expected, rtol=1e-6)


def test_rows_of_common_practice_say_how_they_are_known():
    for row in FAULTS:
        assert row.tag in TAGS
    for each in ALLOWANCES:
        assert any(f"[{tag}]" in each.source for tag in TAGS), split_tag(each.source)


def test_what_is_heard_of_a_supply_is_told():
    """Bursts at light load can be heard; no source beyond common practice."""
    for heard in ("hums", "rattles", "clicks"):
        (row,) = (each for each in FAULTS if heard in each.seen)
        assert row.tag == PRACTICE or heard == "clicks"


def test_figures_are_told_in_words():
    catalogue = [*kinds().values(), *profiles().values(), *wire_sizes().values()]
    fields = {each.field for item in catalogue for each in figures(item)}
    assert len(fields) > 30
    for field in fields:
        told = figure_words(field)
        assert told != field, field
        assert not set("._") & set(told), told
    assert figure_words("channels.r.vf") == "red, forward voltage"
