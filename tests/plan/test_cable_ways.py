"""Where the cable of a wired house lies, against ways measured off by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from layouts import House, load_house
from sim.plan.cable_ways import cable_ways, pad_m
from sim.plan.routing import cable_net, shut_runs

FILE = """\
# Invented for a test.
format: evenfall-house/1
name: Two lines
units: m
drawing:
  size: [8, 4]
  viewer: 8
  surfaces:
    - {name: wall, material: lap-siding-white, depth: 0, outline: [[1, 0], [7, 0], [7, 3], [1, 3]]}
runs:
  - {name: eave, pixels: ws2812b, path: [[1, 3], [5, 3]], count: 40, aim: 30, standoff: 0.03,
     profile: eave-track, cuts: [20]}
  - {name: side, pixels: ws2812b, path: [[5, 3], [5, 1]], count: 20, aim: 30, standoff: 0.03,
     profile: eave-track}
supplies:
  - {name: box, volts: 5, amps: 8, efficiency: 0.85, no_load_w: 0.3, source_ohm: 0.01, at: AT}
wires:
  - {from: box, to: eave.start, wire: 18 AWG, length: 3 m, fuse: 3}
  - {from: box, to: middle, wire: 14 AWG, length: 5 m, fuse: 5}
  - {from: middle, to: "eave[30]", wire: 18 AWG, length: 0.6 m, fuse: 3}
  - {from: middle, to: eave.end, wire: 18 AWG, length: 2 m, fuse: 3}
  - {from: eave.end, to: side.start, wire: 18 AWG, length: 0.6 m}
"""


def house(tmp_path: Path, at: str = "[1, 1]") -> House:
    (tmp_path / "house.yaml").write_text(FILE.replace("AT", at))
    return load_house(tmp_path / "house.yaml")


def length(way: np.ndarray) -> float:
    return float(np.hypot(*np.diff(way, axis=0).T).sum())


def test_straight_up_and_along_the_run(tmp_path: Path) -> None:
    made = house(tmp_path)
    lies = cable_ways(made)
    assert lies is not None
    # By hand: the box hangs 2 m under the start of the eave.
    np.testing.assert_allclose(lies.ways[0], [[1, 1], [1, 3]])
    # To pixel 30: up, and along the eave to its pad, which is where the junction sits.
    along = float(made.pixels.along_m[30])
    np.testing.assert_allclose(lies.ways[1], [[1, 1], [1, 3], [1 + along, 3]])
    assert lies.junctions["middle"] == pytest.approx((1 + along, 3))
    assert length(lies.ways[2]) == 0
    np.testing.assert_allclose(lies.ways[3], [[1 + along, 3], [5, 3]])
    np.testing.assert_allclose(lies.ways[4], [[5, 3], [5, 3]])


def test_cable_keeps_out_of_a_channel_without_room(tmp_path: Path) -> None:
    """A bay of 2.3 × 4 mm takes no two pairs of 18 AWG, four times 2.0 mm square."""
    file = tmp_path / "house.yaml"
    file.write_text(FILE.replace("AT", "[1, 1]").replace("eave-track", "channel-frosted"))
    made = load_house(file)
    assert shut_runs(made) == {0, 1}
    lies = cable_ways(made)
    assert lies is not None
    # Straight from the box to each pad of the box's own wires.
    along = float(made.pixels.along_m[30])
    np.testing.assert_allclose(lies.ways[0], [[1, 1], [1, 3]])
    np.testing.assert_allclose(lies.ways[1], [[1, 1], [1 + along, 3]])
    net = cable_net(made, {"box": (1.0, 1.0)})
    far = net.reach_m(0, 0, np.array([0.0, along, 4.0]))
    # and out from the wall, as far as the run stands off it
    np.testing.assert_allclose(far, np.array([2, np.hypot(along, 2), np.hypot(4, 2)]) + 0.03)
    assert net.stretches(0, 0, along) == [(0, along, along)]


def test_pads_of_ends(tmp_path: Path) -> None:
    made = house(tmp_path)
    ends = [pad_m(made, end) for end in (made.wires[0].end, made.wires[3].end)]
    assert ends == pytest.approx([0, 4])


def test_none_where_a_supply_hangs_nowhere(tmp_path: Path) -> None:
    path = tmp_path / "house.yaml"
    path.write_text(FILE.replace(", at: AT", ""))
    assert cable_ways(load_house(path)) is None
