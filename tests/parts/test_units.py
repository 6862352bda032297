"""A house measured in feet is told in feet; stock as it is sold; data for programs in metres."""

import json
import re

import pytest
from typer.testing import CliRunner

from sim.cli.main import app
from sim.parts import bill_of, parts_beside
from sim.parts.lines import sold_text
from sim.report.handover.owning import parts_chapter
from sim.report.lengths import cut_text, laid_text, purpose_text, quantity_cells


@pytest.fixture
def feet(folder):
    """The same house with its drawing in feet; wires carry their own metres."""
    text = (folder / "house.yaml").read_text()
    (folder / "house.yaml").write_text(text.replace("name: Shed\n", "name: Shed\nunits: ft\n"))
    return folder / "house.yaml"


def call(monkeypatch, *flags):
    monkeypatch.setenv("COLUMNS", "200")
    done = CliRunner().invoke(app, ["parts", *map(str, flags)])
    assert done.exit_code == 0, done.output
    return done.stdout


#: What may stand in metres: bars and reels as sold.
SOLD = {"reel of 5 m", "channel, 2 m", "5 m", "2 m"}


def in_metres(text):
    return set(re.findall(r"(?:reel of |channel, )?\d[\d.]* m\b", text))


# An inch is 25.4 mm by definition. Eave: 3 ft. Door: 1.5 ft and 1.2 ft, which is 14.4 in, on a tape
# of eighths 1 ft 2 3/8 in. Its 54 and 49 pixels at 60 a metre are 0.9 m and 0.8167 m.
def test_the_screen_tells_feet(feet, monkeypatch):
    told = call(monkeypatch, feet)
    assert in_metres(told) <= SOLD
    for words in ("eave 1 3 ft", "door 1 1 ft 6 in end", "door 2 1 ft 2 3/8 in start"):
        assert words in told
    assert "reel of 5 m" in told
    # 5.7 ft; 10 min a metre are 3.048 a foot
    assert "5 ft 8 3/8 in at 3.05 min a foot" in told
    assert "a metre" not in told
    # 2.0 m and 0.4 m on a reel of 5 m: 78.74 in and 15.75 in.
    assert "box → eave.start 6 ft 6 3/4 in, eave.end → door.start 1 ft 3 3/4 in" in told


# 1.5 m are 59.06 in, 4.921 ft: 5.0 ft are enough. 0.4 EUR a metre are 0.12192 a foot.
def test_wire_by_the_metre_is_bought_by_the_foot(feet, monkeypatch):
    told = call(monkeypatch, feet)
    assert re.search(r"16 AWG, red +5 +ft +0\.122 +0\.60", told)


def test_the_data_stay_in_metres(feet, folder, monkeypatch):
    data = json.loads(call(monkeypatch, feet, "--csv", folder / "list.csv", "--json"))
    wire = next(line for line in data["lines"] if line["part"] == "16 AWG, red")
    assert (wire["quantity"], wire["unit"], wire["price_each"]) == (1.5, "m", 0.4)
    strip = data["lines"][0]
    assert re.fullmatch(r"eave \d\.\d\d m, door \d\.\d\d m; \d\.\d\d m spare", strip["for"])
    assert " ft" not in (folder / "list.csv").read_text()
    channel = next(cuts for cuts in data["cuts"] if cuts["item"] == "channel")
    assert channel["bars"][0]["pieces"][0]["length_m"] == pytest.approx(3 * 0.3048)


def test_lengths_as_a_tape_has_them():
    assert (cut_text(3.5, "m"), cut_text(3.5, "ft")) == ("3.500 m", "11 ft 5 3/4 in")  # 137.795 in
    assert (laid_text(8.3, "m"), laid_text(8.3, "in")) == ("8.30 m", "326 3/4 in")  # 326.77 in
    assert cut_text(0.457, "cm") == "45.7 cm"


@pytest.mark.parametrize("units", ["m", "cm", "mm"])
def test_a_metric_house_buys_by_the_metre(house, units):
    bill = bill_of(house, parts_beside(house))
    wire = next(line for line in bill.lines if line.part == "16 AWG, red")
    assert quantity_cells(wire, units) == ("1.5", "m", "0.40")
    strip = bill.lines[0]
    expected = {"m": "eave 3.00 m,", "cm": "eave 300 cm,", "mm": "eave 3000 mm,"}
    assert purpose_text(strip, units).startswith(expected[units])


def test_the_document_tells_feet(feet):
    from types import SimpleNamespace

    from layouts import load_house

    house = load_house(feet)
    facts = SimpleNamespace(house=house, bill=bill_of(house, parts_beside(house)))
    grids = [part for part in parts_chapter(facts).parts if hasattr(part, "rows")]
    cells = [cell.replace("\N{NO-BREAK SPACE}", " ")
             for grid in grids for row in grid.rows for cell in row]  # fmt: skip
    assert in_metres(" | ".join(cells)) <= SOLD
    assert any("door 1 1 ft 6 in end" in cell for cell in cells)
    assert "2 m" in cells  # the bar, as sold


# A foot is 0.3048 m by definition: reels of 25, 100, 250 and 1000 ft, a bar of 8 ft and of 78 in.
@pytest.mark.parametrize(
    ("metres", "told"),
    [
        (7.62, "25 ft"), (30.48, "100 ft"), (76.2, "250 ft"), (304.8, "1000 ft"),
        (2.4384, "8 ft"), (1.9812, "6 ft 6 in"),
        (1, "1 m"), (1.2, "1.2 m"), (2, "2 m"), (2.4, "2.4 m"), (5, "5 m"), (16.4, "16.4 m"),
        (100, "100 m"), (305, "305 m"), (63.5, "63.5 m"),
    ],
)  # fmt: skip
def test_stock_is_told_as_it_is_sold(metres, told):
    assert sold_text(metres) == told


def test_stock_by_the_foot_in_a_house_of_metres(house, folder, monkeypatch):
    text = (folder / "parts.yaml").read_text()
    text = text.replace("stock: [5 m]", "stock: [25 ft]").replace("{length: 2 m", "{length: 8 ft")
    (folder / "parts.yaml").write_text(text.replace("reel: 5 m", "reel: 16 ft"))
    told = call(monkeypatch, folder / "house.yaml")
    for words in ("reel of 25 ft", "channel, 8 ft", "reel of 16 ft", "eave.start 2.000 m"):
        assert words in told
    assert "reel of 7.62 m" not in told
    data = json.loads(call(monkeypatch, folder / "house.yaml", "--json"))
    wire = next(cuts for cuts in data["cuts"] if cuts["item"] == "wire")
    assert wire["bars"][0]["length_m"] == pytest.approx(7.62)
