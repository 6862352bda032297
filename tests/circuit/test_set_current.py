"""A current that is set, in the circuit: what is drawn, and how bright it may be."""

import numpy as np
import pytest

from layouts import House, house_from
from sim.circuit import build, solve
from sim.circuit.ceiling import bracket

COUNT = 40


def string(kind: str = "tm1814-12v-rgbw", amps: float = 20, **run: float) -> House:
    """Two metres of strip; fed at its start."""
    entry = {"name": "a", "pixels": kind, "path": [[0, 3], [2, 3]], **run}
    wire = {"from": "box", "to": "a.start", "wire": "14 AWG", "length": 0.2, "fuse": 15}
    return house_from(
        {
            "name": "t",
            "drawing": {"size": [10, 5]},
            "runs": [entry],
            "supplies": [{"name": "box", "volts": 12, "amps": amps}],
            "wires": [wire],
        }
    )


def codes(share: float, count: int = COUNT) -> np.ndarray:
    return np.full((1, count, 4), round(255 * share), dtype=np.uint8)


def test_a_metre_at_22_and_at_38_milliamperes() -> None:
    # 20 pixels a metre, four channels: 1.84 A at 22.5 mA and 3.08 A at 38 mA with 2 mA idle; the
    # row allows 10 mA of idle, so 8 mA more a pixel: 2.0 and 3.24 A. Little is lost on 2 m.
    for ma, amps in ((None, 1.84), (22.5, 1.84), (38.0, 3.08)):
        made = string(**({} if ma is None else {"set_ma": ma}))
        drawn_a = solve(build(made), codes(1)).supply_a[0, 0]
        assert drawn_a == pytest.approx(2 * (amps + 20 * 0.008), rel=0.02)


def test_the_ceiling_follows_the_current() -> None:
    """80 % of a supply of 4 A are 3.2 A: 0.4 A idle, and 2.8 A for 40 pixels of four channels."""
    for ma in (22.5, 38.0):
        found = bracket(build(string(amps=4, set_ma=ma)), codes)
        # hand calculation, without what the wire loses of the idle current
        assert found.brightness == pytest.approx(2.8 / (COUNT * 4 * ma / 1000), abs=0.01)
        assert found.limit == "80% of supply box"
    assert bracket(build(string(amps=4, set_ma=15.0)), codes).brightness == 1.0


def test_brightness_of_a_clocked_part_scales_all_of_its_current() -> None:
    # SK9822: I·g/31, 18 mA at g 31; idle stays 1 mA
    full, ninth = _one(18.0), _one(18 * 9 / 31)
    assert full - 1.0 == pytest.approx(54, abs=0.05)
    assert ninth - 1.0 == pytest.approx(54 * 9 / 31, abs=0.05)


def _one(ma: float) -> float:
    """[mA] of one white SK9822 on 5 V."""
    made = house_from(
        {
            "name": "t",
            "drawing": {"size": [10, 5]},
            "runs": [
                {
                    "name": "a",
                    "pixels": "sk9822",
                    "path": [[0, 3], [1, 3]],
                    "count": 1,
                    "set_ma": ma,
                }
            ],
            "supplies": [{"name": "box", "volts": 5, "amps": 5}],
            "wires": [{"from": "box", "to": "a.start", "wire": "14 AWG", "length": 0.1, "fuse": 5}],
        }
    )
    return float(1000 * solve(build(made), codes(1, 1)).supply_a[0, 0])


@pytest.mark.parametrize(
    ("kind", "milliamps"),
    # Bench of strings in white at 12 V: 31.2 mA with resistors (at 11.8 V; one value for all
    # colours gives 31 at 12 V). Worked nodes: linear 48 + 0.73 + 0.64, step-down 24.1 mA, which
    # at 24 V is (48.73 mA · 5 V / 0.85 / 24 V) + 0.2.
    [
        ("bullet-12v-resistor", 31.4),
        ("bullet-12v-linear", 49.37),
        ("bullet-12v-buck", 24.09),
        ("bullet-24v-buck", 12.14),
    ],
)
def test_bullets_draw_what_was_worked_out(kind: str, milliamps: float) -> None:
    from sim.circuit.law import law, nameplate_a

    assert 1000 * nameplate_a(law(string(kind)))[0] == pytest.approx(milliamps, abs=0.15)
