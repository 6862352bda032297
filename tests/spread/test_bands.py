"""Bands of values whose bands are known."""

import numpy as np
import pytest
from scipy import stats

from sim.spread.adaptive import tolerance
from sim.spread.bands import band, chance_of, shortest, symmetric


def test_intervals_are_those_of_the_guide() -> None:
    # JCGM 101, 7.7.2 and 5.3.3: M = 100, q = 95, r = round(2.5) = 3: values 3 and 98
    ranked = np.arange(1.0, 101.0)
    assert symmetric(ranked) == (3.0, 98.0)
    # the shortest of equal ones is the first
    assert shortest(ranked) == (1.0, 96.0)


def test_the_shortest_of_a_lopsided_one_begins_at_its_edge() -> None:
    values = stats.expon.ppf((np.arange(20_000) + 0.5) / 20_000)
    found = band(values)
    # exponential: −ln 0.05; symmetric −ln 0.975 to −ln 0.025
    assert found.short_low == pytest.approx(0.0, abs=1e-3)
    assert found.short_high == pytest.approx(-np.log(0.05), abs=2e-3)
    assert found.pair == pytest.approx((-np.log(0.975), -np.log(0.025)), abs=2e-3)


def test_ends_lie_within_their_own_error() -> None:
    """95 % of 300 bands of 500 draws have the true end between what they tell."""
    g = np.random.default_rng(11)
    true = stats.norm.ppf(0.975)
    told = [band(g.standard_normal(500)).high_error for _ in range(300)]
    inside = np.mean([low <= true <= high for low, high in told])
    # binomial: 0.95 ± 3·√(0.95·0.05/300)
    assert inside == pytest.approx(0.95, abs=0.04)


def test_chances_have_an_interval() -> None:
    happened = np.zeros(100, dtype=bool)
    happened[:10] = True
    # Wilson 1927, as scipy has it
    known = stats.binomtest(10, 100).proportion_ci(method="wilson")
    assert chance_of(happened) == pytest.approx((0.1, known.low, known.high), rel=1e-9)
    assert chance_of(np.zeros(50, dtype=bool))[1:] == pytest.approx((0.0, 0.0713), abs=1e-3)


@pytest.mark.parametrize(
    ("sd", "digits", "half"),
    # JCGM 101, 7.9.2: 0.000 35 with two digits is 35·10⁻⁵, δ = ½·10⁻⁵; 9.96 with two is 10·10⁰
    [(0.000_35, 2, 0.5e-5), (0.000_35, 1, 0.5e-4), (2.0, 1, 0.5), (9.96, 2, 0.5), (0.0, 2, 0.0)],
)
def test_the_tolerance_is_half_the_last_digit(sd: float, digits: int, half: float) -> None:
    assert tolerance(sd, digits) == pytest.approx(half)


def test_one_value_is_no_band() -> None:
    with pytest.raises(ValueError, match="two draws"):
        band(np.ones(1))
