"""The white channel in closed form against scipy's linear programming (HiGHS).

For each of 10,000 random colours an independent small linear program: duties 0..1 whose light is
the colour asked, with the most white, the least current, or the most of that colour. They are
solved as one large program of independent blocks.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import block_diag, csr_matrix, hstack

import layouts
from sim.colour import duty, emission_xyz_lm, mixer

COLOURS = 10_000
#: Asked colours are float32; the worst conditioned kind amplifies that to about this.
CLOSE = 2e-5

pytestmark = pytest.mark.outside


def _kinds(with_dies) -> dict[str, layouts.Kind]:
    warm = layouts.kinds()["sk6812-rgbw-warm"]
    return {
        "warm": warm,
        "cool": layouts.kinds()["sk6812-rgbw-cool"],
        # A white die so hungry that economy avoids it.
        "hungry": with_dies(warm, w={"current_ma": 200.0}),
        # 1000 K lies outside the triangle of r, g and b.
        "candle": with_dies(warm, w={"cct_k": 1000.0}),
        "series": with_dies(warm, law="series"),
    }


def _random_colours(kind, seed: int) -> np.ndarray:
    """XYZ [lm] (COLOURS, 3) that the kind can show, dark to full, many of them saturated."""
    random = np.random.default_rng(seed)
    duties = random.random((COLOURS, 4)) * (random.random((COLOURS, 4)) < 0.7)
    return duties @ emission_xyz_lm(kind)


def _solve(kind, xyz: np.ndarray, cost: np.ndarray, *, scale: bool = False) -> np.ndarray:
    """Least `cost`·x with light·duty = XYZ (or t·XYZ, t the last unknown when `scale`)."""
    light = emission_xyz_lm(kind).T
    matrix = block_diag([csr_matrix(light)] * len(xyz), format="csr")
    bounds = [(0.0, 1.0)] * (4 * len(xyz))
    right = xyz.ravel()
    if scale:
        matrix = hstack([matrix, -block_diag(list(xyz[:, :, None]), format="csr")], format="csr")
        bounds, right = bounds + [(0.0, None)] * len(xyz), np.zeros(right.shape)
    found = linprog(cost, A_eq=matrix, b_eq=right, bounds=bounds, method="highs")
    assert found.status == 0, found.message
    return found.x


def _mixed(house_of, as_asked, kind, white, xyz: np.ndarray) -> np.ndarray:
    made = mixer(house_of(kind), white=white)
    return duty(made, as_asked(xyz / made.unit_lm[0])[:, None, :])[:, 0]


@pytest.mark.parametrize("name", ["warm", "cool"])
def test_most_white(name, house_of, as_asked, with_dies):
    kind = _kinds(with_dies)[name]
    xyz = _random_colours(kind, 1)
    # scipy.optimize.linprog (HiGHS): maximise w.
    wanted = _solve(kind, xyz, np.tile([0.0, 0.0, 0.0, -1.0], COLOURS)).reshape(-1, 4)
    found = _mixed(house_of, as_asked, kind, "most", xyz)
    np.testing.assert_allclose(found, wanted, atol=CLOSE)


@pytest.mark.parametrize("name", ["warm", "cool", "hungry"])
def test_least_current_of_parallel_dies(name, house_of, as_asked, with_dies):
    kind = _kinds(with_dies)[name]
    current = np.array([channel.current_ma for channel in kind.channels])
    xyz = _random_colours(kind, 2)
    # scipy.optimize.linprog (HiGHS): minimise Σ I·duty, the pixel law of parallel dies.
    wanted = _solve(kind, xyz, np.tile(current, COLOURS)).reshape(-1, 4)
    found = _mixed(house_of, as_asked, kind, "economy", xyz)
    np.testing.assert_allclose(found @ current, wanted @ current, atol=CLOSE * current.sum())
    np.testing.assert_allclose(found, wanted, atol=CLOSE)


def test_least_current_of_dies_in_series(house_of, as_asked, with_dies):
    kind = _kinds(with_dies)["series"]
    xyz = _random_colours(kind, 3)
    light = emission_xyz_lm(kind).T
    # scipy.optimize.linprog (HiGHS): minimise m with duty ≤ m, the pixel law of dies in series.
    above = block_diag([csr_matrix(np.hstack([np.eye(4), -np.ones((4, 1))]))] * COLOURS)
    equal = block_diag([csr_matrix(np.hstack([light, np.zeros((3, 1))]))] * COLOURS)
    wanted = linprog(
        np.tile([0.0, 0.0, 0.0, 0.0, 1.0], COLOURS),
        A_ub=above.tocsr(),
        b_ub=np.zeros(4 * COLOURS),
        A_eq=equal.tocsr(),
        b_eq=xyz.ravel(),
        bounds=(0.0, 1.0),
        method="highs",
    )
    assert wanted.status == 0
    found = _mixed(house_of, as_asked, kind, "economy", xyz)
    np.testing.assert_allclose(found.max(axis=1), wanted.x.reshape(-1, 5)[:, 4], atol=CLOSE)


@pytest.mark.parametrize("name", ["warm", "cool", "hungry"])
@pytest.mark.parametrize("white", ["most", "economy"])
def test_a_colour_beyond_full_is_held_at_the_most_there_is(
    name, white, house_of, as_asked, with_dies
):
    kind = _kinds(with_dies)[name]
    xyz = 3.0 * _random_colours(kind, 4)
    xyz = xyz[xyz[:, 1] > 1e-3]
    # scipy.optimize.linprog (HiGHS): maximise t with light·duty = t·XYZ.
    cost = np.concatenate([np.zeros(4 * len(xyz)), -np.ones(len(xyz))])
    most = _solve(kind, xyz, cost, scale=True)[4 * len(xyz) :]
    found = _mixed(house_of, as_asked, kind, white, xyz) @ emission_xyz_lm(kind)
    wanted = xyz * np.minimum(most, 1.0)[:, None]
    np.testing.assert_allclose(found, wanted, atol=2e-4)


@pytest.mark.parametrize("name", ["warm", "cool", "hungry", "candle", "series"])
@pytest.mark.parametrize("white", ["off", "most", "economy", 0.0, 0.37, 1.0])
def test_the_light_is_the_colour_asked(name, white, house_of, as_asked, with_dies):
    kind = _kinds(with_dies)[name]
    # A fifth of full: within what r, g and b can do alone.
    random = np.random.default_rng(5)
    white_too = 0.0 if name == "candle" else 0.05
    duties = random.random((COLOURS, 4)) * [0.3, 0.3, 0.3, white_too]
    xyz = duties @ emission_xyz_lm(kind)
    found = _mixed(house_of, as_asked, kind, white, xyz)
    assert found.min() >= 0.0
    assert found.max() <= 1.0
    np.testing.assert_allclose(found @ emission_xyz_lm(kind), xyz, atol=1e-4)


def test_a_share_is_that_share_of_the_most(house_of, as_asked, with_dies):
    kind = _kinds(with_dies)["warm"]
    xyz = 0.2 * _random_colours(kind, 6)
    most = _mixed(house_of, as_asked, kind, "most", xyz)[:, 3]
    some = _mixed(house_of, as_asked, kind, 0.37, xyz)[:, 3]
    np.testing.assert_allclose(some, 0.37 * most, atol=CLOSE)
