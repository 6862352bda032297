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


def run(name: str, start: tuple, end: tuple, count: int) -> str:
    """One run of a house file."""
    path = [list(start), list(end)]
    where = "aim: down, standoff: 0.1, profile: bare"
    return f"  - {{name: {name}, pixels: ws2813, path: {path}, count: {count}, {where}}}\n"


RAKE_LEFT = run("rake-left", (6, 3), (8, 5), 150)
RAKE_RIGHT = run("rake-right", (8, 5), (10, 3), 150)

#: An eave of 240 pixels and a gable of two rakes, about 60 pixels a metre.
WALL = (
    "runs:\n"
    + run("eave", (1, 3), (5, 3), 240)
    + RAKE_LEFT
    + RAKE_RIGHT
    + "zones: {gable: [rake-left, rake-right]}\n"
)

#: The same pixels: rakes before eave, the eave in two runs.
SPLIT = (
    "runs:\n"
    + RAKE_RIGHT
    + RAKE_LEFT
    + run("eave-b", (3.5, 3), (5, 3), 90)
    + run("eave-a", (1, 3), (3.5, 3), 150)
    + "zones: {eave: [eave-a, eave-b], gable: [rake-left, rake-right]}\n"
)


@pytest.fixture
def wall(build):
    return build(WALL)


@pytest.fixture
def split(build):
    return build(SPLIT)
