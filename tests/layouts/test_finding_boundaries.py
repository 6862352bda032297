"""At its limit nothing is found in a house file; a little beyond, it is."""

import pytest

from layouts import house_findings
from layouts.finding import Remedy

HOUSE = """
format: evenfall-house/1
name: Edge
drawing: {{size: [{width}, 4], viewer: 12, surfaces: []}}
kinds:
  made: {{like: ws2813, per_metre: 50, data_hop_m: {reach}}}
runs:
  - {{name: eave, pixels: made, path: [[0, 3], [{length}, 3]], count: 50, aim: down,
     standoff: {standoff}, profile: bare}}
supplies: [{{name: box, volts: {volts}, amps: {amps}}}]
wires: [{{from: box, to: eave.start, wire: 18 AWG, length: 1, fuse: {fuse}}}]
"""
USUAL = {"width": 2, "reach": 5, "length": 1, "standoff": 0.05, "volts": 5, "amps": 5, "fuse": 7}


@pytest.fixture
def told(house):
    def told(**changes):
        text = HOUSE.format(**(USUAL | changes)).replace(", fuse: none", "")
        return {each.code: each for each in house_findings(house(text))}

    return told


@pytest.mark.parametrize(
    ("code", "within", "beyond"),
    [
        ("standoff-far", {"standoff": 2.0}, {"standoff": 2.001}),
        ("supply-voltage", {"volts": 5.5}, {"volts": 5.51}),
        ("supply-voltage", {"volts": 4.5}, {"volts": 4.49}),
        ("outside-drawing", {"width": 0.99}, {"width": 0.98}),
        ("strip-pitch", {"length": 1.0199}, {"length": 1.0201}),
        ("strip-pitch", {"length": 0.9801}, {"length": 0.9799}),
        # 18 AWG may carry 7 A: layouts/catalogue/wires.yaml
        ("fuse-too-big", {"fuse": 7}, {"fuse": 7.5}),
    ],
)
def test_limits(told, code, within, beyond):
    assert code not in told(**within)
    assert code in told(**beyond)


@pytest.mark.parametrize(("amps", "level"), [(7, "warning"), (7.001, "danger")])
def test_a_wire_without_a_fuse(told, amps, level):
    found = told(fuse="none", amps=amps)["unfused-feed"]
    assert found.level == level
    assert (found.value, found.limit, found.unit) == (amps, 7, "A")
    # the largest blade fuse below 7 A
    assert found.remedies == (Remedy("add-fuse", "box → eave.start", 5, "A"),)


def test_a_fuse_that_is_too_big_says_what_fits(told):
    found = told(fuse=10)["fuse-too-big"]
    wire = "box → eave.start"
    smaller, thicker = Remedy("smaller-fuse", wire, 5, "A"), Remedy("thicker-wire", wire, 10, "A")
    assert found.remedies == (smaller, thicker)


def test_a_pitch_says_the_count_that_fits(told):
    found = told(length=1.2)["strip-pitch"]
    assert Remedy("change-count", "eave", 60, "pixels") in found.remedies
