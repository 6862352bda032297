"""Findings and ceiling: every limit trips where it should, and says what to change."""

import numpy as np
import pytest

from layouts.catalogue import limits
from layouts.finding import by_urgency
from sim.circuit import (
    bracket,
    build,
    class_2_findings,
    load_findings,
    loads,
    run_uses,
    supply_uses,
    utilisation,
    wire_uses,
)
from sim.report.wording import sentence


def found(house, code):
    """{code of the finding: level} while every channel shows `code`."""
    network = build(house)
    seen = loads(network, np.full((1, len(house.pixels), 4), code, dtype=np.uint8))
    told = load_findings(
        supply_uses(network, seen),
        wire_uses(network, seen),
        run_uses(network, seen),
        seen.supply_a.min(axis=0),
    )
    assert all(sentence(finding) and finding.where for finding in told)
    return {finding.code: finding.level for finding in by_urgency(told)}


def fed(
    make, *, count=60, rated_a=60.0, volts=5.0, size="12 AWG", length_m=0.5, fuse_a=20.0, **kind
):
    """A strip on one wire."""
    made = make.kind(**kind) if volts < 12 else make.series_kind(**kind)
    wires = [("psu", "a.start", size, length_m, fuse_a)]
    return make.house({"a": (made, count)}, [make.supply(volts=volts, rated_a=rated_a)], wires)


def test_nothing_is_found_on_a_well_wired_strip(make):
    assert found(fed(make), 255) == {}


@pytest.mark.parametrize(
    ("rated_a", "code", "level"),
    [(2.9, None, None), (2.7, "supply-load", "warning"), (2.1, "supply-overload", "danger")],
)
def test_supply_rating(make, rated_a, code, level):
    # 60 pixels of 37 mA: 2.22 A, 80 % of 2.775 A
    told = found(fed(make, rated_a=rated_a), 255)
    assert told == ({} if code is None else {code: level})


@pytest.mark.parametrize(
    ("fuse_a", "code", "level"),
    [(3.0, None, None), (2.9, "fuse-load", "warning"), (2.0, "fuse-overload", "danger")],
)
def test_fuse_rating(make, fuse_a, code, level):
    # 130 pixels of 17.1 mA: 2.22 A, 75 % of 2.96 A
    house = fed(make, count=130, volts=12, rated_a=5.0, fuse_a=fuse_a, rail_ohm_per_m=0.05)
    told = found(house, 255)
    assert told == ({} if code is None else {code: level})


def test_wire_ampacity(make):
    house = fed(make, count=200, size="18 AWG", fuse_a=20.0, length_m=0.1, rail_ohm_per_m=0.001)
    # 200 · 37 mA = 7.4 A; 18 AWG 7 A (NEC 240.4(D), from memory)
    assert found(house, 255)["wire-overload"] == "danger"
    assert "wire-overload" not in found(house, 230)


@pytest.mark.parametrize(("length_m", "level"), [(1.0, None), (6.0, "note"), (12.0, "warning")])
def test_voltage_drop(make, length_m, level):
    house = fed(make, rated_a=5.0, size="18 AWG", length_m=length_m, rail_ohm_per_m=0.001)
    # 2.22 A through 18 AWG, 41.9 mΩ/m loop: 1.9, 11.2, 22 % of 5 V; dimmed by the first to 6 m
    told = found(house, 128) if level == "note" else found(house, 255)
    assert told.get("voltage-drop") == level


def test_too_little_voltage(make):
    told = found(fed(make, count=200, rated_a=60), 255)
    assert told["colour-lost"] == "warning"
    assert told["pixel-voltage"] == "warning"


def test_a_supply_pushed_by_another(make):
    supplies = [make.supply("high", 5.3, 0.01), make.supply("low", 4.7, 0.01)]
    wires = [("high", "a.start", "14 AWG", 1.0, 10.0), ("low", "a.end", "14 AWG", 1.0, 10.0)]
    house = make.house({"a": (make.kind(), 10)}, supplies, wires)
    assert found(house, 0)["supply-backfed"] == "danger"


@pytest.mark.parametrize(
    ("volts", "watts"),
    # NEC chapter 9 table 11(B): 12 V → 60 W, 5 V → 25 W, 24 V → 100 VA (cells from memory, 60 W
    # and 100 W confirmed by trade pages); none above 30 V
    [(5, 25), (12, 60), (24, 100), (48, None)],
)
def test_class_2(volts, watts):
    assert limits().class_2_w(volts) == watts


def test_supplies_above_class_2_are_told_once(make):
    """60 W is the limit at 12 V, 25 W at 5 V."""
    supplies = [make.supply("a", 12, rated_a=5), make.supply("b", 12, rated_a=5.1)]
    (finding,) = class_2_findings([*supplies, make.supply("c", 5, rated_a=20)])
    assert (finding.level, finding.code, finding.where) == ("note", "above-class-2", "b, c")
    assert class_2_findings(supplies[:1]) == ()


LIMITED = {
    "supply": ({"rated_a": 2.0}, "80% of supply psu", "1.6 A"),
    "fuse": (
        {"fuse_a": 2.0},
        "the fuse or size of wire psu → a.start",
        "75 % of its 2 A fuse, 1.5 A",
    ),
    "volts": ({"count": 180}, "the voltage along run a", "at most 10 % of 5 V may be lost"),
}


@pytest.mark.parametrize("which", LIMITED)
def test_at_the_ceiling_nothing_is_exceeded_and_above_it_something_is(make, which):
    changes, limit, bound = LIMITED[which]
    house = fed(make, **changes)
    network = build(house)

    def shown(brightness):
        codes = np.full((3, len(house.pixels), 4), round(255 * brightness), dtype=np.uint8)
        codes[1] //= 2
        return codes

    ceiling = bracket(network, shown)
    assert (ceiling.limit, ceiling.bound) == (limit, bound)
    at_full = utilisation(network, loads(network, shown(1.0))).max()
    assert ceiling.at_full == pytest.approx(at_full, rel=1e-9)
    assert 0.1 < ceiling.brightness < 1
    assert utilisation(network, loads(network, shown(ceiling.brightness))).max() <= 1
    assert utilisation(network, loads(network, shown(ceiling.brightness + 1 / 128))).max() > 1
    levels = set(found(house, round(255 * ceiling.brightness)).values())
    assert levels <= {"note"}


def test_full_brightness_is_the_ceiling_of_a_strong_house(make):
    house = fed(make)
    ceiling = bracket(build(house), lambda b: np.full((1, 60, 4), round(255 * b), dtype=np.uint8))
    assert (ceiling.brightness, ceiling.limit) == (1.0, "")


@pytest.mark.parametrize("lit", ["always", "in half the frames"])
def test_no_brightness_cures_a_supply_that_is_pushed(make, lit):
    """Lit in full these supplies both give; dimmed, the higher one pushes the lower."""
    supplies = [make.supply("low", 12.0, 0.05), make.supply("high", 12.4, 0.05)]
    wires = [("low", "a.start", "14 AWG", 1.0), ("high", "a.end", "14 AWG", 1.0)]
    house = make.house({"a": (make.series_kind(rail_ohm_per_m=0.02), 300)}, supplies, wires)
    network = build(house)

    def shown(brightness):
        codes = np.full((2, 300, 4), round(255 * brightness), dtype=np.uint8)
        codes[1] *= lit == "always"
        return codes

    assert loads(network, shown(1.0)).supply_a[0].min() > 0
    ceiling = bracket(network, shown)
    assert (ceiling.brightness, ceiling.limit) == (0.0, "current pushed into supply low")
    assert found(house, 0)["supply-backfed"] == "danger"


def test_the_ceiling_is_nothing_where_even_the_dark_is_too_much(make):
    """5 V for pixels of 12 V: no brightness helps."""
    house = make.house(
        {"a": (make.series_kind(), 20)},
        [make.supply(volts=5)],
        [("psu", "a.start", "14 AWG", 1.0, 10.0)],
    )
    ceiling = bracket(build(house), lambda b: np.full((1, 20, 4), round(255 * b), dtype=np.uint8))
    assert ceiling.brightness == 0
