"""Mixing with two whites against scipy's linear programming (HiGHS) and colour-science's CCT."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import block_diag, csr_matrix, hstack

import layouts
from effects.colours import planckian_xy
from sim.colour import cct_duv, codes, duty, emission_xyz_lm, gamut_report, mixer, spectra

COLOURS = 2000
#: Asked colours are float32; beside the rounding of that nothing may differ.
CLOSE = 2e-5
KIND = layouts.kinds()["ws2805-24v-rgbww"]
LIGHT = emission_xyz_lm(KIND)


def _colours(seed: int) -> np.ndarray:
    """XYZ [lm] (COLOURS, 3) that the kind can show, dark to full, many of them saturated."""
    random = np.random.default_rng(seed)
    duties = random.random((COLOURS, 5)) * (random.random((COLOURS, 5)) < 0.7)
    return duties @ LIGHT


@cache
def _house() -> layouts.House:
    run = {"name": "a", "pixels": KIND, "path": [[0, 1], [9, 1]], "count": 1}
    return layouts.house_from(
        {"name": "h", "drawing": {"size": [10, 5], "viewer": 10}, "runs": [run]}
    )


def _locus(cct_k: np.ndarray) -> np.ndarray:
    """XYZ (n, 3) of black bodies at Y = 1, near enough."""
    x, y = planckian_xy(cct_k)
    return np.stack([x / y, np.ones_like(x), (1 - x - y) / y], axis=-1)


def _mixed(as_asked, white: str | float, xyz: np.ndarray) -> np.ndarray:
    made = mixer(_house(), white=white)
    return duty(made, as_asked(xyz / made.unit_lm[0])[:, None, :])[:, 0]


def _least(cost: np.ndarray, xyz: np.ndarray) -> np.ndarray:
    """Duties (n, 5) of least `cost` (5,) with that light: independent programmes, solved as one."""
    found = linprog(
        np.tile(cost, len(xyz)),
        A_eq=block_diag([csr_matrix(LIGHT.T)] * len(xyz), format="csr"),
        b_eq=xyz.ravel(),
        bounds=(0.0, 1.0),
        method="highs",
    )
    assert found.status == 0, found.message
    return found.x.reshape(-1, 5)


@pytest.mark.outside
def test_most_white_is_the_most_light_of_both(as_asked):
    xyz = _colours(1)
    # scipy.optimize.linprog (HiGHS): maximise the lumens of w and c.
    wanted = _least(np.array([0, 0, 0, -LIGHT[3, 1], -LIGHT[4, 1]]), xyz)
    np.testing.assert_allclose(_mixed(as_asked, "most", xyz), wanted, atol=CLOSE)


@pytest.mark.outside
def test_economy_is_the_least_current(as_asked):
    xyz = _colours(2)
    # scipy.optimize.linprog (HiGHS): minimise Σ I·duty, the pixel law of parallel dies.
    wanted = _least(np.array([channel.current_ma for channel in KIND.channels]), xyz)
    np.testing.assert_allclose(_mixed(as_asked, "economy", xyz), wanted, atol=CLOSE)


@pytest.mark.outside
@pytest.mark.parametrize("white", ["most", "economy"])
def test_a_colour_beyond_full_is_held_at_the_most_there_is(white, as_asked):
    xyz = 3.0 * _colours(3)[:500]
    xyz = xyz[xyz[:, 1] > 1e-3]
    # scipy.optimize.linprog (HiGHS): maximise t with light·duty = t·XYZ.
    found = linprog(
        np.concatenate([np.zeros(5 * len(xyz)), -np.ones(len(xyz))]),
        A_eq=hstack(
            [block_diag([csr_matrix(LIGHT.T)] * len(xyz)), -block_diag(list(xyz[:, :, None]))]
        ).tocsr(),
        b_eq=np.zeros(3 * len(xyz)),
        bounds=[(0.0, 1.0)] * (5 * len(xyz)) + [(0.0, None)] * len(xyz),
        method="highs",
    )
    most = np.minimum(found.x[5 * len(xyz) :], 1.0)
    shown = _mixed(as_asked, white, xyz) @ LIGHT
    np.testing.assert_allclose(shown, xyz * most[:, None], atol=1e-3)


@pytest.mark.parametrize("white", ["off", "most", "economy", 0.0, 0.37, 1.0])
def test_the_light_is_the_colour_asked(white, as_asked):
    # A fifth of full: within what r, g and b can do alone.
    duties = np.random.default_rng(5).random((COLOURS, 5)) * [0.3, 0.3, 0.3, 0.04, 0.04]
    xyz = duties @ LIGHT
    found = _mixed(as_asked, white, xyz)
    assert found.min() >= 0.0
    assert found.max() <= 1.0
    np.testing.assert_allclose(found @ LIGHT, xyz, atol=2e-4)


def test_a_share_is_that_share_of_the_most(as_asked):
    duties = np.random.default_rng(6).random((COLOURS, 5)) * [0.3, 0.3, 0.3, 0.04, 0.04]
    most, some = (_mixed(as_asked, white, duties @ LIGHT)[:, 3:] for white in ("most", 0.37))
    np.testing.assert_allclose(some, 0.37 * most, atol=CLOSE)


def test_a_share_beyond_full_is_held_where_a_channel_is_full(as_asked):
    white = _locus(np.array([3000.0]))
    made = mixer(_house(), white=0.5)
    bright = duty(made, 5.0 * as_asked(white)[:, None, :])[0, 0]
    assert bright.max() == pytest.approx(1.0, abs=1e-5)
    ask_less = duty(made, 0.2 * as_asked(white)[:, None, :])[0, 0]
    np.testing.assert_allclose(
        (bright @ LIGHT) / (bright @ LIGHT)[1],
        (ask_less @ LIGHT) / (ask_less @ LIGHT)[1],
        atol=1e-4,
    )


@pytest.mark.parametrize("white", ["most", "economy", 0.5])
@pytest.mark.parametrize("level", [0.05, 0.6, 1.5])
def test_no_jump_along_colour_temperature(white, level, as_asked):
    """Duties move by no more than the colour does: halving the step halves the largest change."""
    largest = []
    for steps in (2000, 4000):
        xyz = _locus(np.linspace(2200.0, 6500.0, steps))
        made = mixer(_house(), white=white)
        found = duty(made, level * as_asked(xyz)[:, None, :])[:, 0]
        largest.append(np.abs(np.diff(found, axis=0)).max())
        chromaticity = found @ LIGHT / (found @ LIGHT).sum(axis=1, keepdims=True)
        np.testing.assert_allclose(chromaticity, xyz / xyz.sum(axis=1, keepdims=True), atol=1e-5)
    assert largest[1] < 0.55 * largest[0]
    assert largest[0] < 0.02


@pytest.mark.parametrize("white", ["most", "economy", 0.5])
def test_no_jump_along_a_fade_from_one_colour_to_another(white, as_asked):
    random = np.random.default_rng(7)
    for _ in range(6):
        ends = random.random((2, 5)) @ LIGHT
        largest = []
        for steps in (1000, 2000):
            share = np.linspace(0.0, 1.0, steps)[:, None]
            found = _mixed(as_asked, white, (1 - share) * ends[0] + share * ends[1])
            largest.append(np.abs(np.diff(found, axis=0)).max())
        assert largest[1] < 0.55 * largest[0] + 1e-6


@pytest.mark.outside
def test_whites_between_the_two_lie_on_the_locus(as_asked):
    wanted_k = np.array([2200.0, 2700.0, 3500.0, 4000.0, 5000.0, 6500.0])
    black = np.array([spectra.xyz(spectra.planck(cct_k)) for cct_k in wanted_k])
    black /= black[:, 1:2]
    found = _mixed(as_asked, "most", 20.0 * black) @ LIGHT
    # colour-science, Ohno 2013: a black body has Duv 0
    cct_k, duv = cct_duv(found)
    np.testing.assert_allclose(cct_k, wanted_k, rtol=2e-3)
    np.testing.assert_allclose(duv, 0.0, atol=2e-4)


def test_the_two_whites_alone_mix_a_pinkish_white():
    # 2700 and 6500 K, warm share of the lumens 0.2, 0.35, 0.5, 0.65, 0.8: 5276, 4551, 3959, 3483,
    # 3099 K with Duv −0.0034, −0.0054, −0.0063, −0.0059, −0.0044 [calc, colour-science 0.4.7]
    share = np.array([[0.2], [0.35], [0.5], [0.65], [0.8]])
    warm, cool = LIGHT[3] / LIGHT[3, 1], LIGHT[4] / LIGHT[4, 1]
    cct_k, duv = cct_duv(share * warm + (1 - share) * cool)
    np.testing.assert_allclose(cct_k, [5276, 4551, 3959, 3483, 3099], atol=3)
    np.testing.assert_allclose(duv, [-0.0034, -0.0054, -0.0063, -0.0059, -0.0044], atol=2e-4)


def test_the_brightest_white_is_more_than_the_whites_alone():
    made = mixer(_house())
    # at D65 the cool white is full, and what the others add is more than a tenth of it
    assert LIGHT[4, 1] * 1.1 < made.unit_lm[0] < LIGHT[:, 1].sum()
    lit = duty(made, np.ones((1, 1, 3)))[0, 0]
    assert (lit @ LIGHT)[1] == pytest.approx(made.unit_lm[0], rel=1e-5)
    assert lit[4] == pytest.approx(1.0)


def test_raw_gives_the_one_white_in_halves():
    made = mixer(_house(), colour="raw", gamma=1.0)
    shown = codes(made, np.array([[[200, 100, 60]]]) / 255.0)[0, 0]
    # the rule of a plain controller: w = min(r, g, b) is taken from each, here 60 of 255
    assert shown.tolist() == [140, 40, 0, 30, 30]


def test_what_was_held_and_reduced_is_counted(as_asked):
    made = mixer(_house())
    asked = np.array([[0.5, 0.5, 0.5], [3.0, 3.0, 3.0], [-1.0, 0.5, 0.2], [0.0, 0.0, 0.0]])
    found = gamut_report(made, asked[:, None])
    assert (found.lit, found.held, found.reduced) == (3, pytest.approx(1 / 3), pytest.approx(1 / 3))


def test_codes_round_the_duties_and_stand_still(as_asked):
    made = mixer(_house())
    asked = np.float32(np.repeat(as_asked(_colours(8)[:50, None, :] / made.unit_lm[0]), 2, axis=0))
    shown = codes(made, asked)
    np.testing.assert_array_equal(shown, np.uint8(duty(made, asked) * 255 + 0.5))
    dithered = codes(made, np.repeat(asked[:1], 500, axis=0), frame_index=np.arange(500))
    np.testing.assert_allclose(dithered.mean(axis=0) / 255, duty(made, asked[:1])[0], atol=5e-5)


@pytest.mark.parametrize("white", ["most", 0.6])
def test_whites_of_one_colour_are_worth_the_same_and_still_found(white, with_dies, as_asked):
    """Where several mixtures are the best ones, the light is still what was asked."""
    twins = with_dies(KIND, c={"cct_k": KIND.channel("w").cct_k})
    light = emission_xyz_lm(twins)
    run = {"name": "a", "pixels": twins, "path": [[0, 1], [9, 1]], "count": 1}
    house = layouts.house_from(
        {"name": "h", "drawing": {"size": [10, 5], "viewer": 10}, "runs": [run]}
    )
    made = mixer(house, white=white)
    duties = np.random.default_rng(9).random((200, 5)) * [0.3, 0.3, 0.3, 0.1, 0.1]
    found = duty(made, as_asked(duties @ light / made.unit_lm[0])[:, None, :])[:, 0]
    np.testing.assert_allclose(found @ light, duties @ light, atol=2e-4)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_held_share_is_as_bright_as_halving_finds(share, as_asked):
    """Beside the plain search of `most_share`, in which the steps from piece to piece are none."""
    from sim.colour.two_whites_kernel import most_share

    made = mixer(_house(), white=share)
    law = made.laws[0]
    asked = np.float32(as_asked(_colours(10)[:300] / made.unit_lm[0]) * 4.0)
    plain = np.maximum(asked.astype(float) @ np.reshape(law.base.matrix, (3, 3)).T, 0.0)
    part = np.array([most_share(*each, 1.0, law) for each in plain.tolist()])
    assert (part < 1.0).sum() > 100
    reduced = (asked.astype(float) @ np.reshape(law.base.matrix, (3, 3)).T).min(axis=1) < 0
    shown = duty(made, asked[:, None])[:, 0] @ LIGHT
    whole = np.hstack([plain, np.zeros((300, 2))]) @ LIGHT
    np.testing.assert_allclose(shown[~reduced], (whole * part[:, None])[~reduced], atol=1e-4)
