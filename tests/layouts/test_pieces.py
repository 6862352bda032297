"""Cuts part the + of a run; feeds, joined supplies and fuses follow the pieces."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from layouts.fuse_findings import behind_big_fuses
from layouts.fuses_above import together_a
from layouts.pieces import piece_of
from layouts.power_paths import feeders, supplies_joined, supply_mismatches, unused_supplies
from layouts.records import House, Run

TEXT = """\
format: evenfall-house/1
name: Test
drawing: {size: [60, 5]}
runs:
  - {name: eave, pixels: ws2813, path: [[0, 3], [5, 3]], count: 60}
  - {name: side, pixels: ws2813, path: [[5, 3], [9, 3]]}
supplies:
  - {name: one, volts: 5, amps: 20}
  - {name: two, volts: 5.6, amps: 20}
  - {name: spare, volts: 5, amps: 20}
wires:
  - {from: one, to: "eave.start", wire: 14 AWG, length: 2, fuse: 15}
  - {from: two, to: "eave[59]", wire: 18 AWG, length: 2, fuse: 5}
  - {from: "eave[25]", to: "eave[29]", wire: 18 AWG, length: 1}
  - {from: eave.end, to: side.start, wire: 20 AWG, length: 1}
"""


@pytest.fixture
def eave(house: Callable[[str], House]) -> House:
    """A run that one supply feeds at its start and another, of more volts, at its last pixel."""
    return house(TEXT)


def cut(house: House, *positions: int) -> House:
    """The house with its first run cut."""
    first = replace(house.runs[0], cuts=positions)
    return replace(house, runs=(first, *house.runs[1:]))


@pytest.mark.parametrize(
    ("pad", "piece"), [(0, 0), (1, 0), (20, 0), (21, 1), (30, 1), (31, 2), (60, 2), (61, 2)]
)
def test_the_piece_of_a_pad(eave: House, pad: int, piece: int) -> None:
    """Pad k + 1 is beside pixel k; cuts stand before pixels 20 and 30."""
    run: Run = replace(eave.runs[0], cuts=(20, 30))
    assert run.count == 60
    assert piece_of(run, pad) == piece


def names(supplies: list[tuple]) -> list[list[str]]:
    return [[supply.name for supply in joined] for joined in supplies]


def test_a_cut_parts_what_the_run_had_joined(eave: House) -> None:
    assert names(supplies_joined(eave)) == [["one", "two"]]
    assert supplies_joined(cut(eave, 20)) == []
    # a wire over the cut joins them again
    assert names(supplies_joined(cut(eave, 27))) == [["one", "two"]]


def test_each_piece_has_its_own_feeders(eave: House) -> None:
    assert [s.name for s in feeders(eave)["side"]] == ["one", "two"]
    parted = feeders(cut(eave, 20))
    assert [s.name for s in parted["eave"]] == ["one", "two"]
    assert [s.name for s in parted["side"]] == ["two"]
    assert [s.name for s in unused_supplies(cut(eave, 20))] == ["spare"]


@pytest.mark.parametrize(
    ("volts", "wrong"),
    # 10 % off the nominal 5 V is let pass (common practice, no source), whichever way
    [(5.5, []), (5.51, ["two"]), (4.5, []), (4.49, ["two"]), (6.0, ["two"])],
)
def test_a_supply_a_tenth_off_is_the_wrong_one(eave: House, volts: float, wrong: list) -> None:
    supplies = tuple(
        replace(supply, volts=volts) if supply.name == "two" else supply for supply in eave.supplies
    )
    found = supply_mismatches(replace(cut(eave, 20), supplies=supplies))
    assert sorted({supply.name for supply, _ in found}) == wrong
    assert {run.name for _, run in found} == ({"eave", "side"} if wrong else set())


def test_a_fuse_protects_up_to_the_next_cut(eave: House) -> None:
    """The wire to the side, of 20 AWG, is behind 15 A beside 5 A only where + goes through."""
    big = [(wire.label, together_a(fused)) for wire, fused in behind_big_fuses(eave)]
    assert big == [("eave[25] → eave[29]", 20), ("eave.end → side.start", 20)]
    assert behind_big_fuses(cut(eave, 20)) == []
    late = [(wire.label, together_a(fused)) for wire, fused in behind_big_fuses(cut(eave, 40))]
    assert late == [("eave[25] → eave[29]", 15)]


@pytest.mark.parametrize(("fuse_a", "found"), [(4.0, 0), (4.1, 1)])
def test_fuses_as_large_as_the_wire_may_carry_are_right(
    eave: House, fuse_a: float, found: int
) -> None:
    """20 AWG may carry 5 A (NFPA 79, from memory); the other fuse has 1 A."""
    first, second, *rest = eave.wires
    wires = (replace(first, fuse_a=1.0), replace(second, fuse_a=fuse_a), rest[1])
    assert len(behind_big_fuses(replace(eave, wires=wires))) == found
