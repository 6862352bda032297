"""A small house and scheme on disk, and the command line to run on them."""

import pytest
from typer.testing import CliRunner

from sim.cli.main import app

HOUSE = """\
format: evenfall-house/1
name: Test house
units: m
drawing:
  size: [6, 4]
  viewer: 8
  surfaces:
    - {name: wall, material: lap-siding-white, outline: [[0, 0], [6, 0], [6, 3], [0, 3]]}
runs:
  - {name: eave, pixels: sk6812-rgbw-warm, path: [[1, 3], [3, 3]], aim: 45, standoff: 30 cm}
supplies:
  - {name: box, volts: 5, amps: 12, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0.005}
wires:
  - {from: box, to: eave.start, wire: 14 AWG, length: 1 m, fuse: 7.5}
"""

SCHEME = """\
format: evenfall-scheme/1
name: Test scheme
brightness: 0.5
layers:
  - {zones: [eave], effect: chase, palette: ["#ff8000", "#00ff40"], set: {speed: 0.4}}
"""


@pytest.fixture
def house(tmp_path):
    """Path of a house of 120 pixels on one fused wire."""
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE, encoding="utf-8")
    return path


@pytest.fixture
def scheme(tmp_path):
    """Path of a scheme for it."""
    path = tmp_path / "test.scheme.yaml"
    path.write_text(SCHEME, encoding="utf-8")
    return path


@pytest.fixture
def run():
    """run(*arguments) -> the result, with .exit_code, .stdout and .stderr."""

    def call(*arguments):
        return CliRunner().invoke(app, [str(argument) for argument in arguments])

    return call
