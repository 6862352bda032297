"""Percentage points of the Gaussian against another library and a printed table."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from scipy.special import ndtri

from sim.spread.percentage_points import percentage_points


def test_another_library_finds_the_same():
    # Cephes' ndtri as scipy has it is another approximation.
    chance = np.concatenate(
        [
            np.linspace(1e-6, 1 - 1e-6, 20_001),
            2.0 ** -np.arange(1, 200),
            1 - 2.0 ** -np.arange(1, 53),
        ]
    )
    assert percentage_points(chance) == pytest.approx(ndtri(chance), rel=2e-14, abs=2e-15)


def test_the_standard_library_has_the_same_algorithm():
    chance = [2.0**-54, 1e-12, 0.01, 0.0749, 0.0751, 0.3, 0.5, 0.9, 0.999, 1 - 2.0**-53]
    expected = [NormalDist().inv_cdf(each) for each in chance]
    assert percentage_points(np.array(chance)) == pytest.approx(expected, rel=4e-16, abs=1e-300)


def test_a_printed_table():
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1: areas of the normal curve.
    areas = np.array([0.84134, 0.97725, 0.99865, 0.97500])
    assert percentage_points(areas) == pytest.approx([1.0, 2.0, 3.0, 1.96], abs=1e-3)


def test_any_shape():
    chance = np.array([[0.25, 0.5], [0.01, 0.99]])
    found = percentage_points(chance)
    assert found.shape == (2, 2)
    assert found[0, 1] == 0
    assert found[1, 0] == pytest.approx(-found[1, 1])
    assert percentage_points(np.array(0.975)).shape == ()
