"""Data margins and edges against worked figures.

Figures in the tables are arithmetic from data sheets: VIH 0.7 VDD and VIL 0.3 VDD (WS2812B), VIH
2.7 V (WS2812B-V5), VOH 4.13 V at 6 mA of a 74HCT125 at 4.5 V, inputs at most 0.5 V beyond VDD.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts import Lead, Output, house_from, kinds, wire_size
from layouts.logic import LogicLevel
from sim.circuit import build, solve
from sim.upkeep.edges import most_series_ohm, zero_seen_s
from sim.upkeep.levels import high_margin_v, hop_levels, low_margin_v
from sim.upkeep.margins import lead_findings, margin_findings, margins
from sim.upkeep.signal import chains

SHARE, FLAT = LogicLevel(0.7, True), LogicLevel(2.7, False)


@pytest.mark.parametrize(
    ("one_v", "minus_v", "vdd_v", "high", "margin_v"),
    [
        # 3.3 V drive into VDD 5.25 / 5.0 / 4.75 / 4.5 / 4.3
        (3.3, 0, 5.25, SHARE, -0.375),
        (3.3, 0, 5.0, SHARE, -0.200),
        (3.3, 0, 4.75, SHARE, -0.025),
        (3.3, 0, 4.5, SHARE, 0.150),
        (3.3, 0, 4.3, SHARE, 0.290),
        # where it breaks even
        (3.3, 0, 4.714, SHARE, 0.0),
        (3.0, 0, 4.286, SHARE, 0.0),
        (2.64, 0, 3.771, SHARE, 0.0),
        # 3.3 V into a part of flat threshold
        (3.3, 0, 5.0, FLAT, 0.60),
        # 74HCT buffer
        (4.13, 0, 5.0, SHARE, 0.63),
        # V+ of the sender, V+ and V− of the receiver: (5,5,0) (3.5,5,0) (3.4,5,0) (4.2,5,0.1)
        (5.0, 0, 5.0, SHARE, 1.5),
        (3.5, 0, 5.0, SHARE, 0.0),
        (3.4, 0, 5.0, SHARE, -0.1),
        (4.2, 0.1, 4.9, SHARE, 0.67),
        # a first pixel fed through a diode, then into 5.0 V
        (4.3, 0, 5.0, SHARE, 0.80),
    ],
)
def test_high_margin(
    one_v: float, minus_v: float, vdd_v: float, high: LogicLevel, margin_v: float
) -> None:
    found = high_margin_v(np.array(one_v), np.array(minus_v), np.array(vdd_v), high)
    assert found == pytest.approx(margin_v, abs=4e-4)


def test_low_margin() -> None:
    """0.3·VDD + d − V_OL: by hand."""
    low = LogicLevel(0.3, True)
    found = low_margin_v(np.array(0.1), np.array(0.2), np.array(4.6), low)
    assert found == pytest.approx(0.3 * 4.6 + 0.2 - 0.1)


# 18 AWG, 10 m each way, 5 V: 2.0 A lose 0.419 V in each conductor and leave 4.162 V, 2.4 A 0.503 V
# and 3.994 V; a one of 5 V is then more than 0.5 V over the pixel's supply.
@pytest.mark.parametrize(("amps", "lost_v", "vdd_v"), [(2.0, 0.419, 4.162), (2.4, 0.503, 3.994)])
def test_beyond_the_supply(amps: float, lost_v: float, vdd_v: float) -> None:
    from sim.circuit import solve_constant

    house = house_from(
        {
            "name": "a lead",
            "drawing": {"size": [10, 5]},
            "runs": [{"name": "a", "pixels": "ws2812b", "path": [[0, 1], [1, 1]], "count": 1}],
            "supplies": [{"name": "psu", "volts": 5, "amps": 10}],
            "wires": [{"from": "psu", "to": "a[0]", "wire": "18 AWG", "length": 10}],
            "outputs": [{"name": "A", "chain": ["a"], "logic_v": 5}],
        }
    )
    solution = solve_constant(build(house), np.array([amps]))
    assert solution.volts[0, 0] == pytest.approx(vdd_v, abs=2e-3)
    assert solution.minus_v[0, 0] == pytest.approx(lost_v, abs=1e-3)
    hops = hop_levels(house, chains(house), solution)
    assert hops.over_v[0, 0] == pytest.approx(0.5 - lost_v, abs=1e-3)
    assert hops.under_v[0, 0] == pytest.approx(0.5 - lost_v, abs=1e-3)
    # 0.3·V + 0.4·d, as V+ and V− lose alike
    assert hops.high_v[0, 0] == pytest.approx(0.3 * 5 + 0.4 * lost_v, abs=2e-3)


# 100 pF/m, a zero of 350 ns, thresholds 0.7 and 0.3 of what is sent.
@pytest.mark.parametrize(
    ("ohm", "length_m", "seen_ns"),
    [
        (470, 2, 348),
        (330, 5, 329),
        (470, 5, 290),
        (100, 10, 347),
        (33, 10, 350),
        (470, 10, 0),
        (0, 10, 350),
    ],
)
def test_width_of_a_zero(ohm: float, length_m: float, seen_ns: float) -> None:
    assert zero_seen_s(ohm, length_m) * 1e9 == pytest.approx(seen_ns, abs=0.6)


def test_rule_for_the_resistor() -> None:
    """R ≤ 175 ns / C."""
    assert most_series_ohm(10) == pytest.approx(175)
    assert most_series_ohm(5) == pytest.approx(350)
    assert most_series_ohm(0) == np.inf


def test_thresholds_of_kinds() -> None:
    assert kinds()["ws2812b"].data_high == LogicLevel(0.7, True)
    assert kinds()["ws2812b-v5"].data_high == LogicLevel(2.7, False)
    assert kinds()["sk6812-rgbw-cool"].data_low == LogicLevel(0.3, True)
    # logic on a 5 V regulator of its own
    assert kinds()["ws2815"].data_high == LogicLevel(3.5, False)
    assert kinds()["ws2815"].data_out == LogicLevel(5.0, False)


def fed(kind: str, **output: object):
    """One run fed at both ends, and what the output says."""
    volts = kinds()[kind].supply_v
    return house_from(
        {
            "name": "one run",
            "drawing": {"size": [10, 5]},
            "runs": [{"name": "a", "pixels": kind, "path": [[0, 1], [1, 1]]}],
            "supplies": [{"name": "psu", "volts": volts, "amps": 10}],
            "wires": [{"from": "psu", "to": "a.start", "wire": "14 AWG", "length": 1}],
            "outputs": [{"name": "A", "chain": ["a"], **output}],
        }
    )


def codes_of(house) -> list[str]:
    found = margins(build(house))
    shorts = [each.code for each in margin_findings(found)]
    return [each.code for each in lead_findings(house, house.outputs[0])] + shorts


@pytest.mark.parametrize(
    ("kind", "logic_v", "codes"),
    [
        ("ws2812b", 3.3, ["data-high"]),
        ("ws2812b", 5, []),
        ("ws2812b-v5", 3.3, []),
        ("sk6812", 3.3, ["data-high"]),
        ("ws2815", 3.3, ["data-high"]),
        ("ws2815", 5, []),
    ],
)
def test_logic_level_into_a_kind(kind: str, logic_v: float, codes: list[str]) -> None:
    """The dark house has most volts, so it is where 3.3 V is least enough."""
    assert codes_of(fed(kind, logic_v=logic_v)) == codes


def test_what_is_not_said_is_not_guessed() -> None:
    assert codes_of(fed("ws2812b")) == []
    assert codes_of(fed("ws2812b", series_ohm=100)) == ["data-logic-unknown"]


def lead(length_m: float) -> dict:
    return {"wire": "18 AWG", "length": length_m}


@pytest.mark.parametrize(
    ("output", "codes"),
    [
        ({"lead": lead(2)}, []),
        ({"lead": lead(2.9), "series_ohm": 470}, []),
        ({"lead": lead(4)}, ["data-lead"]),  # WS2812B: 3 m between pixels
        ({"lead": lead(2), "series_ohm": 1000}, ["data-edges"]),  # 175 ns / 200 pF = 875 Ω
    ],
)
def test_leads(output: dict, codes: list[str]) -> None:
    assert codes_of(fed("ws2812b", logic_v=5, **output)) == codes


def test_a_long_lead_to_a_kind_that_bears_it() -> None:
    assert codes_of(fed("sk6812", logic_v=5, lead=lead(8))) == ["data-lead-bare"]
    assert codes_of(fed("sk6812", logic_v=5, lead=lead(8), series_ohm=100)) == []
    assert codes_of(fed("sk6812", logic_v=5, lead=lead(11), series_ohm=100)) == ["data-lead"]


def test_the_minus_that_the_controller_shares(make: SimpleNamespace) -> None:
    """Its − on another supply than the pixels': their rise in − then comes off what it sends."""
    kind = make.kind(rail_ohm_per_m=0.001)
    supplies = [make.supply("psu"), make.supply("two")]
    wires = [
        ("psu", "j", "18 AWG", 8.0),
        ("j", "a.start", "18 AWG", 0.5),
        ("j", "b.start", "18 AWG", 0.5),
        ("two", "b.end", "18 AWG", 0.5),
    ]
    cuts = {"b": (20,)}  # the − of the two supplies is joined along b
    house = make.house({"a": (kind, 40), "b": (kind, 40)}, supplies, wires, cuts=cuts)
    codes = np.full((1, 80, 4), 255, dtype=np.uint8)
    high = {}
    for name in ("psu", "two", None):
        output = Output("A", ("a", "b"), 1, 1, 40.0, None, Lead(wire_size("18 AWG"), 1.0), 5.0)
        wired = replace(house, outputs=(replace(output, common_minus=name),))
        solution = solve(build(wired), codes)
        found = margins(build(wired), codes).outputs[0]
        assert found.high is not None
        line = hop_levels(wired, chains(wired), solution)
        high[name] = float(line.high_v[0, 0])
        if name is not None:
            net = build(wired).topology
            at = net.free + ["psu", "two"].index(name)
            ground = solution.node_minus_v[0, at]
            by_hand = 5.0 + ground - solution.minus_v[0, 0] - 0.7 * solution.volts[0, 0]
            assert high[name] == pytest.approx(by_hand)
    assert high[None] == high["psu"]
    assert high["two"] != pytest.approx(high["psu"], abs=1e-3)


def test_a_spare_pixel_behind_a_diode_can_be_typed() -> None:
    """4.3 V: into it 3.3 − 0.7·4.3 = +0.29 V, out of it into 5.0 V 4.3 − 3.5 = +0.80 V [calc]."""
    from layouts import house_findings
    from sim.report.wording import sentence

    house = house_from(
        {
            "name": "spare",
            "drawing": {"size": [10, 5]},
            "runs": [
                {"name": "spare", "pixels": "ws2812b", "path": [[0, 2], [0.1, 2]], "count": 1},
                {"name": "eave", "pixels": "ws2812b", "path": [[0, 1], [1, 1]]},
            ],
            "supplies": [
                {"name": "box", "volts": 5, "amps": 10},
                {"name": "diode", "volts": 4.3, "amps": 1},
            ],
            "wires": [
                {"from": "box", "to": "eave.start", "wire": "10 AWG", "length": 0.01},
                {"from": "diode", "to": "spare.start", "wire": "10 AWG", "length": 0.01},
            ],
            "outputs": [
                {"name": "A", "chain": ["spare", "eave"], "logic_v": 3.3, "common_minus": "box"}
            ],
        }
    )
    found = {each.code: each for each in house_findings(house)}
    assert "supply-voltage" not in found
    assert found["supply-behind-diode"].level == "note"
    assert "through a diode" in sentence(found["supply-behind-diode"])
    solution = solve(build(house), np.zeros((1, 61, 4), np.uint8))
    hops = hop_levels(house, chains(house), solution)
    assert hops.high_v[0, :2] == pytest.approx([0.29, 0.80], abs=3e-3)


def test_what_nobody_broke_and_is_misread_is_told() -> None:
    from sim.frame import Rig
    from sim.upkeep import broken, frame_of_broken
    from sim.upkeep.broken_findings import broken_findings

    for logic_v, codes in ((3.3, ["data-high"]), (5, [])):
        house = fed("ws2812b", logic_v=logic_v)
        dark = np.zeros((1, len(house.pixels), 4), np.uint8)
        frame = frame_of_broken(broken(Rig(house, build(house), None), []), dark)
        assert [e.code for e in broken_findings(frame) if e.code.startswith("data")] == codes
