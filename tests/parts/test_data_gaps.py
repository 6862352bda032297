"""Data wire from run to run of a chain: counted as far as the house file tells its length."""

import pytest

from layouts import load_house
from layouts.data_gaps import data_gaps
from sim.parts import bill_of, parts_beside
from sim.parts.load import builtin_parts
from sim.report.handover.patch import data_leads
from sim.report.wording import sentence

JOINED = "  - {from: eave.end, to: door.start, wire: 14 AWG, length: 0.4 m}\n"


@pytest.fixture
def unjoined(folder):
    """The small house without the wire from run to run, its door 4 m to the right of the eave."""
    path = folder / "house.yaml"
    text = path.read_text().replace(JOINED, "").replace("[6, 3]", "[9, 3]")
    path.write_text(text.replace("[[0, 0], [0, 1.5], [1.2, 1.5]]", "[[7, 2], [7, 0.5], [8, 0.5]]"))
    return folder


def read(folder, *changes):
    text = (folder / "house.yaml").read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "house.yaml").write_text(text)
    return load_house(folder / "house.yaml")


def counted(house, folder):
    """Rows of the list, and the sentence that says how they were counted."""
    bill = bill_of(house, parts_beside(house))
    told = [sentence(each) for each in bill.findings if each.code == "parts-data-gaps"]
    lines = [line for line in bill.lines if line.item == "data wire"]
    return [(each.part, each.quantity, each.price, each.purpose) for each in lines], told


# By hand: the last pixel of the eave hangs half a pitch, 8.3 mm, before x = 3, the first of the
# door as far below y = 2 at x = 7: √(4.0083² + 0.0083²) = 4.008 m, and 0.25 m at each end: 4.508 m,
# told as 4.6 m; of two conductors at 0.40 EUR.
def test_a_gap_is_the_straight_line_and_slack(unjoined):
    house = read(unjoined)
    lines, told = counted(house, unjoined)
    name = "eave.end → door.start"
    assert lines == [("16 AWG, data", 4.6, 1.84, name), ("16 AWG, −", 4.6, 1.84, name)]
    (words,) = told
    for said in (
        "of output A is counted over one gap, 4.01 m",
        "straight on the drawing, from the last pixel of one run to the first of the next",
        "0.25 m more at each end",
        "ways up, down, forward and round corners are not in it: measure before cutting",
        "16 AWG, the thinnest of the parts file: no lead of A says which wire",
    ):
        assert said in words
    assert data_leads(house)[1].length_m == pytest.approx(4.0083, abs=1e-4)


def test_a_wire_that_joins_the_ends_says_how_long_and_lends_its_minus(folder):
    house = read(folder)
    lines, (words,) = counted(house, folder)
    assert lines == [("16 AWG, data", 0.4, 0.16, "eave.end → door.start")]
    assert "0.40 m: as long as the power wire that joins the same ends, whose − serves it too" in (
        words
    )
    assert "straight" not in words
    assert data_leads(house)[1].length_m == 0.4


def test_it_is_of_the_size_of_the_lead_and_off_the_same_line(unjoined):
    lead = "chain: [eave, door], lead: {wire: 14 AWG, length: 1 m}"
    house = read(unjoined, ("chain: [eave, door]", lead))
    text = (unjoined / "parts.yaml").read_text().replace(", stock: [5 m]", "")
    (unjoined / "parts.yaml").write_text(text)
    lines, (words,) = counted(house, unjoined)
    assert [line[:2] for line in lines] == [("14 AWG, data", 5.6), ("14 AWG, −", 5.6)]
    assert lines[0][3] == "output A, eave.end → door.start"
    assert "thinnest" not in words


# WS2813 and WS2815 pass data on by two lines (data sheets: BIN and DIN); a clock is a wire as well.
@pytest.mark.parametrize(
    ("kind", "conductors"),
    [("ws2813", ["data", "backup data", "−"]), ("apa102", ["data", "clock", "−"])],
)
def test_a_second_line_is_a_conductor_more(unjoined, kind, conductors):
    lines, _ = counted(read(unjoined, ("ws2812b", kind)), unjoined)
    assert [part.partition(", ")[2] for part, *_ in lines] == conductors


def test_runs_that_go_on_in_each_other_take_no_wire(unjoined):
    house = read(unjoined, ("[[7, 2], [7, 0.5], [8, 0.5]]", "[[3, 2], [3, 0.5]]"))
    (gap,) = data_gaps(house, house.outputs[0])
    assert not gap.open
    assert counted(house, unjoined) == ([], [])


def test_without_a_parts_file_the_size_is_not_made_up(unjoined):
    bill = bill_of(read(unjoined), builtin_parts())
    lines = [line for line in bill.lines if line.item == "data wire"]
    # 4.008 m and the usual slack of 0.3 m at each end.
    assert [(each.part, each.quantity, each.price) for each in lines] == [
        ("size not said, data", 4.7, None),
        ("size not said, −", 4.7, None),
    ]
    (words,) = [sentence(each) for each in bill.findings if each.code == "parts-data-gaps"]
    assert "it is listed without a size: no lead" in words


def test_told_in_feet_to_who_measures_in_feet(unjoined):
    house = read(unjoined, ("name: Shed\n", "name: Shed\nunits: ft\n"))
    _, (words,) = counted(house, unjoined)
    assert "4 ft" in words  # 4.0 ft on the drawing
    assert " m " not in words
