"""What a repair joins: every conductor, in an order that can be done, each joint told once.

A joint is counted by hand: one where two pieces of strip meet, one at each end of a bridge, one
where what comes to the start, or leaves the end, of a run is soldered on.
"""

from __future__ import annotations

from typing import Any

import pytest

from layouts import house_from
from layouts.conductors import bridge_conductors, data_conductors
from layouts.faults import Fault
from layouts.records import House
from sim.parts import builtin_parts
from sim.report.handover.repaired import cuts_said
from sim.report.repair_steps import parts_needed, steps
from sim.report.wording.diagnosis import repair_of as repair_named
from sim.upkeep.diagnosis import Suspect
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.repair import HouseRepair, repair_of
from sim.upkeep.repair_bill import repair_bill

WIRE = {"wire": "14 AWG", "length": 1, "fuse": 7.5}


def house(
    kind: str = "sk6812", *, chain: tuple[str, ...] = ("a", "b"), wires: tuple[Any, ...] = (),
    **first: Any,
) -> House:  # fmt: skip
    """Runs a and b of 120 pixels, 60 a metre; `first` is of a. A wire comes to the start of a."""
    run = {"pixels": kind, "count": 120}
    return house_from(
        {
            "format": "evenfall-house/1",
            "name": "Two",
            "units": "m",
            "drawing": {"size": [12, 4]},
            "runs": [
                {"name": "a", "path": [[1, 3], [3, 3]], **run, **first},
                {"name": "b", "path": [[4, 3], [6, 3]], **run},
            ],
            "supplies": [{"name": "box", "volts": 5, "amps": 12}],
            "wires": [{"from": "box", "to": "a.start", **WIRE}, *wires],
            "outputs": [{"name": "A", "chain": list(chain), "universe": 1}],
        }
    )


def mended(of: House, *, out: tuple[str, ...] = (), new: tuple[str, ...] = ()) -> HouseRepair:
    return repair_of(of, cut_out=out, replace=new, date="2026-11-26")


def told(made: HouseRepair) -> list[str]:
    return steps(made, builtin_parts())


def joints(made: HouseRepair) -> float:
    lines = repair_bill(made, builtin_parts()).lines
    return sum(line.quantity for line in lines if line.item == "strip joint")


# APA102 and SK9822 have CI and CO beside DI and DO, WS2813 has BIN and BO (data sheets): a line
# that is not joined leaves what is behind it dark, or without its second way.
@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("sk6812", ("data",)),
        ("ws2813", ("data", "backup data")),
        ("apa102", ("data", "clock")),
    ],
)
def test_every_line_of_a_kind_is_joined(kind: str, data: tuple[str, ...]) -> None:
    own = house(kind).run("a").kind
    assert data_conductors(own, own) == data
    assert bridge_conductors(own, cut=False) == ("+", "−", *data)
    assert bridge_conductors(own, cut=True) == ("−", *data)


def test_from_an_output_comes_no_second_line_but_a_clock() -> None:
    backed, clocked, plain = (house(kind).run("a").kind for kind in ("ws2813", "apa102", "sk6812"))
    assert data_conductors(None, backed) == ("data",)
    assert data_conductors(None, clocked) == ("data", "clock")
    assert data_conductors(plain, backed) == data_conductors(backed, plain) == ("data",)


def test_the_clock_goes_over_a_gap() -> None:
    made = mended(house("apa102"), out=("a[60]",))
    said = "\n".join(told(made))
    assert "+ to +, − to −, and data and clock from the output of a[59] to the input" in said
    (needed,) = (part for part in parts_needed(made, builtin_parts()) if "pieces of wire" in part)
    assert needed.startswith("4 pieces of wire")  # +, −, data, clock
    # four conductors over one pixel and a pitch more: 4 · 2/60 m = 0.133 m, bought as 0.2 m
    lines = {line.item: line for line in repair_bill(made, builtin_parts()).lines}
    assert lines["bridge wire"].quantity == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("out", "new", "words"),
    [
        ("a[0]", None, "came to the start, +, −, data and clock, to the input side of a[1]"),
        ("a[119]", None, "left the end, +, −, data and clock, to its output side"),
        (None, "a[5:9]", "a joint at each end, of +, −, data and clock"),
    ],
)
def test_the_clock_goes_over_every_joint(out: str | None, new: str | None, words: str) -> None:
    made = mended(house("apa102"), out=(out,) if out else (), new=(new,) if new else ())
    assert words in "\n".join(told(made))


def test_the_clock_goes_over_an_open_plus() -> None:
    made = mended(house("apa102", cuts=[40]), new=("a[40:50]",))
    assert "Between a[39] and a[40] join −, data and clock alone." in "\n".join(told(made))


def test_a_diagnosis_bridges_the_clock_too() -> None:
    cause = Breakage("dead", (Fault("dead", "a", 60),), 1.0, 60, 60)
    suspect = Suspect((cause,), 1.0, (), ())
    said = "\n".join(repair_named(suspect, house("apa102")).steps)
    assert "bridge +, −, data and clock over the gap" in said


def test_the_handover_names_the_clock_at_a_cut() -> None:
    said = cuts_said(house("apa102", cuts=[40]))
    assert "a[40]: there a repair joins −, data and clock alone, never the +." in said
    assert "joins − and data alone" in cuts_said(house(cuts=[40]))


def before(said: list[str], one: str, other: str) -> bool:
    """Whether the one step that has `one` in it comes before the one that has `other`."""
    (at,), (then,) = ([n for n, step in enumerate(said) if part in step] for part in (one, other))
    return at < then


NEXT = ({"from": "a.end", "to": "b.start", **WIRE},)


@pytest.mark.parametrize(
    ("out", "new", "renewed", "joined"),
    [
        ("a[117]", "a[118:120]", "in a piece of 2", "Bridge the gap between a[116] and a[118]"),
        ("a[60]", "a[59]", "a[59], 0.992 m along", "Bridge the gap between a[59] and a[61]"),
        ("a[0]", "a[1]", "a[1], 0.025 m along", "Solder what came to the start, "),
        ("a[119]", "a[118]", "a[118], 1.975 m along", "solder what left the end, "),
    ],
)  # fmt: skip
def test_nothing_is_joined_to_a_pixel_that_goes(
    out: str, new: str, renewed: str, joined: str
) -> None:
    said = told(mended(house(wires=NEXT), out=(out,), new=(new,)))
    assert before(said, renewed, joined)
    assert before(said, f"{out} is ", joined)
    assert before(said, "Join nothing to the ", joined)


def test_an_end_that_moves_onto_a_new_pixel_is_told_once() -> None:
    said = "\n".join(
        told(mended(house(wires=NEXT), out=("a[0]", "a[119]"), new=("a[1]", "a[118]")))
    )
    assert said.count("came to the start") == said.count("left the end") == 1


def test_an_open_plus_between_a_new_piece_and_a_gap_is_told_once() -> None:
    said = "\n".join(told(mended(house(cuts=[60]), out=("a[60]",), new=("a[59]",))))
    assert said.count("The + stays open here") == 1
    assert "Do not join the + of a[59] to that of a[61]" in said


def test_all_that_a_bridge_spans_is_out_before_it_is_soldered() -> None:
    said = told(mended(house(missing=[61]), out=("a[60]", "a[62]")))
    assert before(said, "a[62] is ", "Bridge the gap between a[59] and a[63]")


def test_what_leaves_the_end_is_told_beside_a_bridge() -> None:
    said = told(mended(house(wires=NEXT), out=("a[117]",), new=("a[118:120]",)))
    end = "What left the end, wire a.end → b.start among it, goes to the output side of a[119]."
    assert end in said
    # nothing goes on behind the last run of a chain
    said = told(mended(house(chain=("b", "a")), out=("a[117]",), new=("a[118:120]",)))
    assert "left the end" not in "\n".join(said)


def feed(to: str) -> dict[str, Any]:
    return {"from": "box", "to": to, **WIRE}


# What an earlier repair did with the wire is what `steps` told then; by hand, case by case.
@pytest.mark.parametrize(
    ("missing", "cuts", "to", "out", "words"),
    [
        # bridged from 59 to 61, the wire on the bridge; now from 59 to 62
        ([60], [], "a[60]", "a[61]", "ended in this gap; it is on the old bridge, which goes: join"
         " it to the new one."),
        # the wire's own pixel goes beside the old gap
        ([60], [], "a[61]", "a[61]", "ends at this pixel: join it to the bridge."),
        # its + was with 61, of its own piece; that goes as well
        ([60], [60], "a[60]", "a[61]", "ended in this gap; it is on the old bridge, which goes:"
         " join its + to that of a[62] alone, its − to the new one."),
        # 0 is gone: the wire was joined to 1
        ([0], [], "a[0]", "a[1]", "ended in this gap; it is on a pixel that goes: join it to a[2],"
         " + to + and − to −."),
        # 3 is gone, bridged from 2 to 4; now no bridge is needed
        ([3], [], "a[3]", "a[0:3]", "ended in this gap; it is on the old bridge, which goes: join"
         " it to a[4], + to + and − to −."),
        # the piece 60 to 61 had no pixel left: the wire was taken off
        ([60, 61], [60, 62], "a[60]", "a[62]", "ended in this gap, on a piece that had no pixel"
         " left before: leave its + as it is; if its − is on the old bridge, join that to the new"
         " one."),
    ],
)  # fmt: skip
def test_a_wire_of_an_earlier_gap_is_looked_for_where_it_is(
    missing: list[int], cuts: list[int], to: str, out: str, words: str
) -> None:
    of = house(missing=missing, cuts=cuts, wires=(feed(to),))
    assert f"Wire box → {to} {words}" in told(mended(of, out=(out,)))


def test_a_wire_at_the_start_of_a_piece_that_goes() -> None:
    said = "\n".join(told(mended(house(cuts=[3]), out=("a[0:3]",))))
    assert "Wire box → a.start ends at the start of the run: no pixel is left on its piece." in said


@pytest.mark.parametrize(
    ("out", "new", "count"),
    [
        # what came to the start onto the new 1; between it and 2
        (("a[0]",), ("a[1]",), 2),
        # between 117 and the new 118; what left the end
        (("a[119]",), ("a[118]",), 2),
        (("a[0]", "a[119]"), ("a[1]", "a[118]"), 4),
        # two ends of the bridge 116 to 118; what left the end
        (("a[117]",), ("a[118:120]",), 3),
        # two bridges, with the new 60 between them
        (("a[59]", "a[61]"), ("a[60]",), 4),
        # nothing cut out beside: both ends of the piece
        ((), ("a[1]",), 2),
        (("a[119]",), (), 1),
    ],
)
def test_each_joint_is_counted_once(out: tuple[str, ...], new: tuple[str, ...], count: int) -> None:
    assert joints(mended(house(wires=NEXT), out=out, new=new)) == count


def test_no_joint_where_nothing_leaves_the_end() -> None:
    last = house(chain=("b", "a"))
    made = mended(last, out=("a[119]",))
    assert joints(made) == 0
    said = "\n".join(told(made))
    assert "a now ends with a[118]; nothing goes on behind it." in said
    assert "left the end" not in said
    # the new 118 is joined to 117 alone
    made = mended(last, out=("a[119]",), new=("a[118]",))
    assert joints(made) == 1
    assert "Join nothing" not in "\n".join(told(made))


def test_the_bill_says_which_joints_those_are() -> None:
    made = mended(house(wires=NEXT), out=("a[119]",), new=("a[118]",))
    lines = repair_bill(made, builtin_parts()).lines
    (line,) = (line for line in lines if line.item == "strip joint")
    assert line.purpose == "what left a.end, ends of a[118]"


def test_at_an_end_no_bridge_is_spoken_of() -> None:
    of = house(cuts=[3], wires=(feed("a[1]"),))
    said = "\n".join(told(mended(of, out=("a[0:3]",))))
    assert "Join its + to that of wire box → a[1] alone" in said
    assert said.count("and its − to the − of a[3].") == 2  # of the wires at a.start and at a[1]
    assert "bridge" not in said
