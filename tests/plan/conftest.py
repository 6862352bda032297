"""Tiny lines, every design of them, and houses that are planned."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from layouts import house_from
from layouts.records import House
from sim.parts.load import load_parts
from sim.parts.records import Parts

HERE = Path(__file__).parent
DEMO = HERE.parents[1] / "demo"


def _module(name: str, folder: Path = HERE) -> ModuleType:
    """A file of the tests, to use what it holds."""
    full = f"plan_tests_{name}"
    if full not in sys.modules:
        spec = importlib.util.spec_from_file_location(full, folder / f"{name}.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules[full] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[full])
    return sys.modules[full]


@pytest.fixture(scope="session")
def enumerated() -> ModuleType:
    return _module("enumerated")


@pytest.fixture(scope="session")
def tiny() -> Callable[[int], Any]:
    """tiny(seed) → a line and a market."""
    return _module("tiny").tiny


@pytest.fixture(scope="session")
def parts() -> Parts:
    """The invented parts of the demonstration."""
    return load_parts(DEMO / "cottage/parts.yaml")


@pytest.fixture(scope="session")
def unfed() -> Callable[..., House]:
    """unfed(runs, places=…, …) → a house whose runs nothing feeds yet.

    `runs` are entries of a house file; a place is (name, x, y[, mains]).
    """

    def made(runs: list[dict], places: list[tuple] = (), **more: Any) -> House:
        return house_from(
            {
                "name": "unfed",
                "drawing": {"size": [90, 8]},
                "places": [
                    {"name": n, "at": [x, y], "mains": mains[0] if mains else True}
                    for n, x, y, *mains in places
                ],
                "runs": runs,
                **more,
            },
            file="unfed.yaml",
        )

    return made


@pytest.fixture(scope="session")
def awkward() -> ModuleType:
    return _module("awkward")


@pytest.fixture
def again(tmp_path: Path) -> Callable[[House, np.ndarray], None]:
    """again(house, codes) asserts that ngspice finds the same volts and far shorts."""
    folder = HERE.parent / "circuit/ngspice"
    ngspice, in_turn = _module("conftest", folder), _module("test_shorts", folder)
    return partial(_module("again").agrees, ngspice, in_turn, tmp_path)
