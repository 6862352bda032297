"""Small houses of given kinds, and a shorthand for changing a kind's dies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

import layouts
from effects.colour_spaces import XYZ_TO_RGB
from layouts import House, Kind


@pytest.fixture
def house_of() -> Callable[..., House]:
    """house_of(kind, kind…, count=, spares=): one straight run of each kind."""

    def build(*kinds: Kind, count: int = 1, spares: int = 0) -> House:
        return layouts.house_from(
            {
                "name": "test house",
                "drawing": {"size": [10, 5], "viewer": 10},
                "runs": [
                    {
                        "name": f"run{i}",
                        "pixels": kind,
                        "path": [[0, i], [9, i]],
                        "count": count,
                        "spare_first": spares,
                    }
                    for i, kind in enumerate(kinds)
                ],
            }
        )

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
