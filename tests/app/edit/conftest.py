"""Small invented houses, written in the many manners that people write files in.

`metric.yaml`: entries in brackets and in lines, remarks of all sorts, spacing of somebody's own.
`imperial.yaml`: feet with inches, tabs before remarks, an anchor and its alias, lists not indented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.app.edit.draft import Draft, draft_of

HERE = Path(__file__).parent


@pytest.fixture
def metric() -> Draft:
    return draft_of(HERE / "metric.yaml")


@pytest.fixture
def imperial() -> Draft:
    return draft_of(HERE / "imperial.yaml")


@pytest.fixture(scope="session")
def cottage() -> Draft:
    return draft_of(HERE.parents[2] / "demo/cottage/house.yaml")
