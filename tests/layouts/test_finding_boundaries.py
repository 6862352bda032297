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


FREE = """
format: evenfall-house/1
name: Edge
drawing: {size: [12, 4], viewer: 12, surfaces: []}
kinds:
  made: {like: ws2813, per_metre: 64, data_hop_m: 4, bit_us: 1.25, reset_us: 8080}
"""


@pytest.fixture
def found(house):
    return lambda text: {each.code: each for each in house_findings(house(FREE + text))}


def run(name, path, count):
    return (
        f"  - {{name: {name}, pixels: made, path: {path}, count: {count}, aim: out,"
        " standoff: 0.05, profile: bare}\n"
    )


@pytest.mark.parametrize(("start", "told"), [(4.984375, False), (5.0, True)])
def test_data_from_one_run_to_the_next(found, start, told):
    """64 pixels a metre: 4.984375 + 1/128 m is 4 m from the pixel at 1 − 1/128 m, exactly."""
    runs = run("a", "[[0, 3], [1, 3]]", 64) + run("b", f"[[{start}, 3], [{start + 1}, 3]]", 64)
    assert ("data-hop" in found(f"runs:\n{runs}outputs: [{{name: o, chain: [a, b]}}]\n")) is told


@pytest.mark.parametrize(("length", "told"), [(8, False), (8.001, True)])
def test_data_from_one_pixel_to_the_next(found, length, told):
    runs = run("a", f"[[0, 3], [{length}, 3]]", 2)
    assert ("data-hop" in found(f"runs:\n{runs}outputs: [{{name: o, chain: [a]}}]\n")) is told


@pytest.mark.parametrize(("x", "told"), [(0, False), (12, False), (12.001, True)])
def test_a_pixel_on_the_edge_of_the_drawing_is_seen(found, x, told):
    runs = run("a", f"[[{x}, 1], [{x}, 2]]", 64)
    assert ("outside-drawing" in found(f"runs:\n{runs}")) is told


@pytest.mark.parametrize(("fps", "told"), [(100, False), (100.01, True)])
def test_frames_that_just_fit(found, fps, told):
    """24 bits of 1.25 µs: 64 pixels and a pause of 8080 µs are 10 ms."""
    runs = run("a", "[[0, 3], [1, 3]]", 64)
    text = f"runs:\n{runs}outputs: [{{name: o, chain: [a], fps: {fps}}}]\n"
    assert ("refresh-rate" in found(text)) is told


@pytest.mark.parametrize(("fuses", "told"), [((4, 3), False), ((4, 3.1), True), ((7, 5), True)])
def test_a_wire_behind_two_fuses(found, fuses, told):
    """18 AWG may carry 7 A; of two fused wires to one joint, both let through what they are rated
    for: 4 and 3 A are 7 A, by Kirchhoff."""
    feeds = "".join(
        f"  - {{from: box, to: joint, wire: 14 AWG, length: {1 + n}, fuse: {fuse}}}\n"
        for n, fuse in enumerate(fuses)
    )
    text = (
        f"runs:\n{run('a', '[[0, 3], [1, 3]]', 64)}supplies: [{{name: box, volts: 5, amps: 5}}]\n"
        f"wires:\n{feeds}  - {{from: joint, to: a.start, wire: 18 AWG, length: 1}}\n"
    )
    behind = found(text).get("wire-behind-big-fuse")
    assert (behind is not None) is told
    assert behind is None or behind.value == pytest.approx(sum(fuses), rel=1e-12)
