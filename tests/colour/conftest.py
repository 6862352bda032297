"""Small houses of given kinds, and a shorthand for changing a kind's dies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

import layouts
from effects.colour_spaces import XYZ_TO_RGB
from layouts import House, Kind

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [10, 5], viewer: 10, surfaces: []}
runs:
"""
RUN = """\
  - {{name: run{i}, pixels: ws2812b, path: [[0, {i}], [9, {i}]], count: {count},
     spare_first: {spares}}}
"""


@pytest.fixture
def house_of(tmp_path) -> Callable[..., House]:
    """house_of(kind, kind…, count=, spares=): one straight run of each kind."""

    def build(*kinds: Kind, count: int = 1, spares: int = 0) -> House:
        path = tmp_path / "house.yaml"
        rows = [RUN.format(i=i, count=count, spares=spares) for i in range(len(kinds))]
        path.write_text(HOUSE + "".join(rows))
        house = layouts.load_house(path)
        runs = tuple(replace(run, kind=kind) for run, kind in zip(house.runs, kinds, strict=True))
        return replace(house, runs=runs)

    return build


@pytest.fixture
def with_dies() -> Callable[..., Kind]:
    """with_dies(kind, r={...}, w={...}): the kind with fields of its channels replaced."""

    def change(kind: Kind, name: str = "changed", law: str | None = None, **dies: dict) -> Kind:
        channels = tuple(replace(one, **dies.get(one.name, {})) for one in kind.channels)
        return replace(kind, name=name, channels=channels, law=law or kind.law)

    return change


@pytest.fixture
def as_asked() -> Callable[[np.ndarray], np.ndarray]:
    """XYZ (…, 3), white at Y = 1, as asked linear sRGB."""
    return lambda xyz: np.asarray(xyz) @ XYZ_TO_RGB.T
