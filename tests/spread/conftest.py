"""A small house for the tests of spread: one strip at its limits, another fed well."""

from pathlib import Path

import pytest

from effects import bind, load_scheme
from layouts import House, load_house
from sim.frame import rig_for
from sim.scan import Scan, ceiling, scan

HOUSE = """\
format: evenfall-house/1
name: shed
drawing: {size: [6, 3], surfaces: []}
runs:
  - {name: eave, pixels: ws2812b, path: [[0.5, 2.5], [1.75, 2.5]]}
  - {name: side, pixels: ws2812b, path: [[3, 2], [3.5, 2]]}
supplies: [{name: box, volts: 5, amps: 8, source_ohm: 0.01}]
wires:
  - {from: box, to: eave.start, wire: 16 AWG, length: 1.5, fuse: 7.5}
  - {from: eave.end, to: side.start, wire: 18 AWG, length: 1.5}
"""
SCHEME = """\
format: evenfall-scheme/1
name: white
brightness: 0.35
seconds: 1
fps: 10
layers: [{zones: [all], effect: swell, palette: ["#ffffff"], set: {every: 1}}]
"""


@pytest.fixture(scope="session")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("spread")
    house, scheme = folder / "house.yaml", folder / "white.scheme.yaml"
    house.write_text(HOUSE)
    scheme.write_text(SCHEME)
    return house, scheme


@pytest.fixture(scope="session")
def shed(files: tuple[Path, Path]) -> House:
    return load_house(files[0])


@pytest.fixture(scope="session")
def watched(files: tuple[Path, Path], shed: House) -> Scan:
    scheme = load_scheme(files[1], shed)
    return scan(rig_for(shed, scheme), bind(shed, scheme))


@pytest.fixture(scope="session")
def nominal_ceiling(watched: Scan):
    return ceiling(watched)
