from __future__ import annotations

from pathlib import Path

import pytest

from layouts import load_house

HEAD = """\
format: evenfall-house/1
name: Test wall
units: m
drawing: {size: [20, 8], viewer: 12, surfaces: []}
"""


@pytest.fixture
def build(tmp_path: Path):
    """House of the text given below a common head."""

    def make(text: str):
        path = tmp_path / "house.yaml"
        path.write_text(HEAD + text)
        return load_house(path)

    return make


#: An eave of 240 pixels and a gable of two rakes, 60 pixels a metre.
WALL = """\
runs:
  - {name: eave, pixels: ws2813, path: [[1, 3], [5, 3]], count: 240, aim: down, standoff: 0.1, profile: bare}
  - {name: rake-left, pixels: ws2813, path: [[6, 3], [8, 5]], count: 150, aim: down, standoff: 0.1, profile: bare}
  - {name: rake-right, pixels: ws2813, path: [[8, 5], [10, 3]], count: 150, aim: down, standoff: 0.1, profile: bare}
zones:
  gable: [rake-left, rake-right]
"""

#: The same pixels: rakes before eave, the eave in two runs.
SPLIT = """\
runs:
  - {name: rake-right, pixels: ws2813, path: [[8, 5], [10, 3]], count: 150, aim: down, standoff: 0.1, profile: bare}
  - {name: rake-left, pixels: ws2813, path: [[6, 3], [8, 5]], count: 150, aim: down, standoff: 0.1, profile: bare}
  - {name: eave-b, pixels: ws2813, path: [[3.5, 3], [5, 3]], count: 90, aim: down, standoff: 0.1, profile: bare}
  - {name: eave-a, pixels: ws2813, path: [[1, 3], [3.5, 3]], count: 150, aim: down, standoff: 0.1, profile: bare}
zones:
  eave: [eave-a, eave-b]
  gable: [rake-left, rake-right]
"""


@pytest.fixture
def wall(build):
    return build(WALL)


@pytest.fixture
def split(build):
    return build(SPLIT)
