"""Data wire on the list: counted where its length is said, and told where it is not."""

import pytest

from layouts import load_house
from sim.parts import bill_of, parts_beside
from sim.report.parts_text import parts_blocks
from sim.report.wording import sentence


def bill_with(folder, outputs):
    """The bill of the small house with these outputs."""
    head, _, _ = (folder / "house.yaml").read_text().partition("outputs:")
    (folder / "house.yaml").write_text(f"{head}outputs: [{outputs}]\n")
    house = load_house(folder / "house.yaml")
    return bill_of(house, parts_beside(house))


def data_wire(bill):
    return [
        (line.part, line.quantity, line.unit, line.price, line.purpose)
        for line in bill.lines
        if line.item == "data wire"
    ]


def test_what_is_not_said_is_left_out_and_told(house):
    bill = bill_of(house, parts_beside(house))
    finding, _ = bill.findings
    assert (finding.level, finding.code, finding.where) == ("note", "parts-no-lead", "A")
    assert [(each.action, each.target) for each in finding.remedies] == [("say-lead", "A")]
    assert sentence(finding) == (
        "data cable to the first pixel is left out of this list for output A: the house file does"
        " not say how long it is; write lead: {wire: 22 AWG, length: 2 m}, with its own length, in"
        " that output"
    )
    assert [row[4] for row in data_wire(bill)] == ["eave.end → door.start"]
    assert "nothing found" not in repr(list(parts_blocks(bill)))


# By hand: leads of 2 m and 1.5 m, each of two conductors, 0.4 EUR a metre: 3.5 m, 1.40 EUR, twice.
def test_what_is_said_is_counted(folder):
    lead = "lead: {{wire: 16 AWG, length: {}}}"
    bill = bill_with(
        folder,
        f"{{name: A, chain: [eave], {lead.format('2 m')}}},"
        f" {{name: B, chain: [door], {lead.format('150 cm')}}}",
    )
    both = "output A, output B"
    assert data_wire(bill) == [
        ("16 AWG, data", 3.5, "m", 1.4, both),
        ("16 AWG, −", 3.5, "m", 1.4, both),
    ]
    assert bill.findings == ()
    # 278.10 EUR without it, as counted by hand beside; a second output changes no other price.
    assert bill.total == pytest.approx(278.1 + 2.8)


def test_the_lead_comes_off_a_reel(folder):
    bill = bill_with(folder, "{name: A, chain: [eave, door], lead: {wire: 14 AWG, length: 3 m}}")
    assert [row[:4] for row in data_wire(bill)] == [
        ("14 AWG, data", 1, "reel of 5 m", 2.5),
        ("14 AWG, −", 1, "reel of 5 m", 2.5),
    ]
    # The data goes on to the door beside a wire, whose − it shares: off the reel of the data alone.
    cut = {each.part: each.bars[0].pieces for each in bill.cuts if each.item == "data wire"}
    assert {part: [(p.name, p.length_m) for p in pieces] for part, pieces in cut.items()} == {
        "14 AWG, data": [("output A", 3), ("eave.end → door.start", 0.4)],
        "14 AWG, −": [("output A", 3)],
    }


def test_one_cutting_list_where_all_conductors_are_alike(folder):
    lead = "lead: {wire: 14 AWG, length: 3 m}"
    bill = bill_with(folder, f"{{name: A, chain: [eave], {lead}}}, {{name: B, chain: [door]}}")
    (cuts,) = [each for each in bill.cuts if each.item == "data wire"]
    assert cuts.part == "14 AWG, each conductor"


def test_one_of_two_is_told_and_a_size_without_a_price(folder):
    bill = bill_with(
        folder,
        "{name: A, chain: [eave], lead: {wire: 22 AWG, length: 2 m}}, {name: B, chain: [door]}",
    )
    assert [(each.code, each.where) for each in bill.findings] == [
        ("parts-unlisted", "22 AWG"),
        ("parts-no-lead", "B"),
    ]
    assert [line.item for line in bill.unpriced] == ["data wire", "data wire"]


def test_a_clock_line_is_a_conductor_more(folder):
    text = (folder / "house.yaml").read_text()
    (folder / "house.yaml").write_text(text.replace("ws2812b", "apa102"))
    bill = bill_with(folder, "{name: A, chain: [eave, door], lead: {wire: 16 AWG, length: 2 m}}")
    assert [row[0] for row in data_wire(bill)] == ["16 AWG, data", "16 AWG, clock", "16 AWG, −"]


def test_feet_for_who_measures_in_feet(folder):
    text = (folder / "house.yaml").read_text()
    (folder / "house.yaml").write_text(text.replace("name: Shed\n", "name: Shed\nunits: ft\n"))
    bill = bill_with(folder, "{name: A, chain: [eave]}, {name: B, chain: [door]}")
    (finding,) = bill.findings
    assert "outputs A, B" in sentence(finding)
    assert "length: 6 ft}" in sentence(finding)
    assert sentence(finding).endswith("in each of these outputs")
