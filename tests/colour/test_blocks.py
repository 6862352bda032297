"""Pixels mixed in blocks: as each alone, and as the rules written out with numpy."""

from __future__ import annotations

import numpy as np
import pytest

import layouts
from sim.colour import duty, mixer

WS2812B = layouts.kinds()["ws2812b"]
WARM = layouts.kinds()["sk6812-rgbw-warm"]


@pytest.mark.parametrize("count", [1, 15, 16, 17, 111, 112, 113, 300])
def test_pixels_worked_on_together_are_mixed_as_alone(count, house_of):
    """Blocks and what fills them up: some pixels foreign, some held, some dark, some neither."""
    for kind in (WARM, layouts.kinds()["ws2805-24v-rgbww"]):
        for white in ("most", 0.5):
            made = mixer(house_of(kind, count=count), white=white)
            one = mixer(house_of(kind), white=white)
            asked = np.random.default_rng(count).random((1, count, 3)) * 3.0 - 1.0
            alone = duty(one, asked.transpose(1, 0, 2))[:, 0]
            np.testing.assert_array_equal(duty(made, asked)[0], alone)


def test_the_edge_is_where_halving_finds_it(house_of):
    """The rule of a foreign colour written out with numpy, one halving after another."""
    from effects.colour_spaces import LMS_TO_LAB, RGB_TO_LMS

    made = mixer(house_of(WS2812B, count=500))
    law = made.laws[0]
    asked = np.float32(np.random.default_rng(6).random((500, 3)) * 2.0 - 0.7).astype(float)
    lms = np.cbrt(asked @ RGB_TO_LMS.T)
    grey = lms @ LMS_TO_LAB[:1].T
    to_duty = np.reshape(law.from_lms, (3, 3)).T
    inside, outside = np.zeros((500, 1)), np.ones((500, 1))
    for _ in range(16):
        chroma = (inside + outside) / 2
        fits = ((grey + chroma * (lms - grey)) ** 3 @ to_duty).min(axis=1, keepdims=True) >= 0
        inside, outside = np.where(fits, chroma, inside), np.where(fits, outside, chroma)
    edge = 0.2 * (grey + inside * (lms - grey)) ** 3 @ to_duty
    plain = 0.2 * asked @ np.reshape(law.matrix, (3, 3)).T
    foreign = (plain.min(axis=1) < -1e-5 * plain.max(axis=1)) & (plain.max(axis=1) > 0)
    assert 100 < foreign.sum() < 400
    wanted = np.where((grey > 0) & (inside > 0), edge, 0.0)[foreign]
    found = duty(made, asked[None], 0.2)[0, foreign, :3]
    np.testing.assert_allclose(found, wanted, atol=1e-12)


@pytest.mark.parametrize("size", [1e-33, 1e-9, 1.0, 1e3, 1e30])
def test_cube_roots_are_those_of_numpy(size):
    from sim.colour.reduced_kernel import cube_roots

    numbers = np.random.default_rng(7).uniform(-size, size, 100)
    numbers[:2] = 0.0, size
    found = numbers.copy()
    cube_roots(found)
    # numpy.cbrt, the C library's: two steps of float64 apart at most
    np.testing.assert_allclose(found, np.cbrt(numbers), rtol=4.5e-16)
