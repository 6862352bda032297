"""Two whites alike, or nearly: scipy's linear programming (HiGHS) on every colour of a grid.

Of whites that are worth the same many mixtures are the best. Whichever is taken, the light is the
colour asked, and what it costs is the least there is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import block_diag, csr_matrix

import layouts
from layouts import Kind
from sim.colour import duty, emission_xyz_lm, mixer

KIND = layouts.kinds()["ws2805-24v-rgbww"]
#: Every duty dark, half and full: 243 colours, of which all corners and edges of the solid.
GRID = np.stack(np.meshgrid(*[[0.0, 0.5, 1.0]] * 5), axis=-1).reshape(-1, 5)
#: Beside the float32 of what is asked, of duties, and of the costs below.
CLOSE = 3e-6
#: Values of the cool white: as they come, the warm one's, and a little beside those.
SAME = {"cct_k": 2700.0, "current_ma": 12.0}
CASES: dict[str, dict[str, float]] = {
    "ordinary": {},
    "alike": SAME,
    "another colour by rounding": {**SAME, "cct_k": 2700.0 * (1 + 1e-12)},
    "another colour by 1e-9": {**SAME, "cct_k": 2700.0 * (1 + 1e-9)},
    "another colour by 1e-7": {**SAME, "cct_k": 2700.0 * (1 + 1e-7)},
    "another colour by 1e-4": {**SAME, "cct_k": 2700.0 * (1 + 1e-4)},
    "another colour by a thousandth": {**SAME, "cct_k": 2702.7},
    "cheaper by rounding": {**SAME, "current_ma": 12.0 * (1 - 1e-12)},
    "dearer by 1e-9": {**SAME, "current_ma": 12.0 * (1 + 1e-9)},
    "cheaper by a thousandth": {**SAME, "current_ma": 11.988},
    "half as bright": {**SAME, "flux_lm": 13.1},
}


def _kind(case: str) -> Kind:
    """The kind with the cool white of that case."""
    channels = tuple(
        replace(one, **CASES[case]) if one.name == "c" else one for one in KIND.channels
    )
    return replace(KIND, name="changed", channels=channels)


def _mixed(as_asked: Callable, kind: Kind, white: str | float, xyz: np.ndarray) -> np.ndarray:
    run = {"name": "a", "pixels": kind, "path": [[0, 1], [9, 1]], "count": 1}
    house = layouts.house_from(
        {"name": "h", "drawing": {"size": [10, 5], "viewer": 10}, "runs": [run]}
    )
    made = mixer(house, white=white)
    return duty(made, as_asked(xyz / made.unit_lm[0])[:, None, :])[:, 0]


def _costs(kind: Kind, white: str) -> np.ndarray:
    """(5,) what `white` makes the least of, the largest being 1: minus the white's lumens, mA."""
    found = np.array([channel.current_ma for channel in kind.channels])
    if white == "most":
        found = -emission_xyz_lm(kind)[:, 1] * [0, 0, 0, 1, 1]
    return found / np.abs(found).max()


@cache
def _least(case: str, white: str) -> np.ndarray:
    """(243,) the least cost of each colour: independent programmes, solved as one.

    Columns that differ by less than HiGHS's feasibility count as alike: it gives up on them.
    """
    alike = case.endswith(("colour by rounding", "colour by 1e-9", "colour by 1e-7"))
    kind = _kind("alike" if alike else case)
    light, cost = emission_xyz_lm(kind), _costs(kind, white)
    found = linprog(
        np.tile(cost, len(GRID)),
        A_eq=block_diag([csr_matrix(light.T)] * len(GRID), format="csr"),
        b_eq=(GRID @ light).ravel(),
        bounds=(0.0, 1.0),
        method="highs",
    )
    assert found.status == 0, found.message
    return found.x.reshape(-1, 5) @ cost


@pytest.mark.outside
@pytest.mark.parametrize("white", ["most", "economy"])
@pytest.mark.parametrize("case", CASES)
def test_every_colour_is_shown_at_the_least_cost(case, white, as_asked):
    kind = _kind(case)
    light = emission_xyz_lm(kind)
    found = _mixed(as_asked, kind, white, GRID @ light)
    largest = (GRID @ light).max()
    np.testing.assert_allclose(found @ light / largest, GRID @ light / largest, atol=CLOSE)
    np.testing.assert_allclose(found @ _costs(kind, white), _least(case, white), atol=CLOSE)


@pytest.mark.parametrize("share", [0.25, 0.6])
def test_a_share_of_two_alike_whites_is_held_where_a_channel_is_full(share, as_asked):
    """By hand: both together are as one white of twice the light, of which a share is taken."""
    kind = _kind("alike")
    light = emission_xyz_lm(kind)
    plain = (GRID @ light) @ np.linalg.inv(light[:3])  # (243, 3) duties of r, g, b alone
    content = light[3] @ np.linalg.inv(light[:3])
    level = np.linspace(0.0, 1.0, 2001)[:, None, None]  # dimmed so far, 0.0005 a step
    with np.errstate(divide="ignore"):
        most = np.minimum((level * plain / content).clip(0.0).min(axis=-1), 2.0)
    rest = level * plain - share * most[..., None] * content
    fits = (rest.max(axis=-1) <= 1.0 + 1e-9).cumprod(axis=0).astype(bool)
    held = level[fits.sum(axis=0) - 1, 0, 0]
    found = _mixed(as_asked, kind, share, GRID @ light)
    shown = found @ light / (GRID @ light).max()
    np.testing.assert_allclose(
        shown, GRID @ light / (GRID @ light).max() * held[:, None], atol=6e-4
    )


@pytest.mark.parametrize("white", ["most", "economy"])
@pytest.mark.parametrize("case", ["alike", "another colour by 1e-9", "cheaper by a thousandth"])
def test_no_jump_along_a_fade_of_alike_whites(case, white, as_asked):
    """Halving the step halves the largest change, from a saturated colour to full white."""
    kind = _kind(case)
    ends = np.array([[1.0, 0.2, 0.0, 0.0, 0.0], [1.0, 1.0, 1.0, 1.0, 1.0]]) @ emission_xyz_lm(kind)
    largest = []
    for steps in (1000, 2000):
        part = np.linspace(0.0, 1.0, steps)[:, None]
        found = _mixed(as_asked, kind, white, (1 - part) * ends[0] + part * ends[1])
        largest.append(np.abs(np.diff(found, axis=0)).max())
    assert largest[1] < 0.55 * largest[0] + 1e-6
