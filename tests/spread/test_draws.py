"""Draws: shapes as they are told, the same again, common where common, correlated where said."""

from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from layouts import House, change, load_house
from layouts.catalogue import spread_factors
from layouts.spread import Distribution
from sim.circuit import build
from sim.spread import circuit_of, draws, fixed, unknowns
from sim.spread.draws import common_draws, flux_each
from sim.spread.shapes import quantile
from sim.spread.unknowns import wire_most

CASES = (
    (Distribution("rectangular", 0.9, 1.4), stats.uniform(0.9, 0.5)),
    (Distribution("triangular", -1.0, 3.0), stats.triang(0.5, -1.0, 4.0)),
    (Distribution("normal", 1.0, 0.02), stats.norm(1.0, 0.02)),
    (Distribution("log_uniform", 0.8, 1.25), stats.loguniform(0.8, 1.25)),
)


@pytest.mark.parametrize(("shape", "known"), CASES)
def test_shapes_are_those_of_scipy(shape: Distribution, known: object) -> None:
    assert shape.mean == pytest.approx(known.mean(), rel=1e-12)
    assert shape.sd == pytest.approx(known.std(), rel=1e-9)
    chances = np.array([0.001, 0.2, 0.5, 0.77, 0.999])
    assert quantile(shape, chances) == pytest.approx(known.ppf(chances), rel=1e-10)


def test_known_is_known() -> None:
    exact = Distribution("exact", 1.02, 1.02)
    assert (exact.mean, exact.sd) == (1.02, 0.0)
    assert set(quantile(exact, np.array([0.0, 0.4]))) == {1.02}


def test_every_factor_says_where_it_is_from() -> None:
    for factor in spread_factors().values():
        assert factor.source.count("[") >= 1, factor.name
        assert factor.unit
        assert factor.what
        assert factor.shape.sd > 0


def test_a_draw_is_known_by_seed_and_number(shed: House) -> None:
    known = unknowns(shed)
    whole = draws(known, 1100, seed=7)
    part = draws(known, 60, seed=7, first=1000)
    assert np.array_equal(whole.common[1000:1060], part.common)
    assert np.array_equal(whole.current_each[1000:1060], part.current_each)
    assert np.array_equal(flux_each(draws(known, 3, 7))[1:], flux_each(draws(known, 2, 7, 1)))
    assert not np.array_equal(draws(known, 5, seed=8).common, whole.common[:5])


def test_one_unknown_more_changes_no_other(shed: House) -> None:
    twice = change(shed, spread={"reels": [["eave"]]})
    assert len(unknowns(twice).common) > len(unknowns(shed).common)
    plain, more = draws(unknowns(shed), 4), draws(unknowns(twice), 4)
    at = [each.name for each in more.unknowns.common].index("supply_v of box")
    was = [each.name for each in plain.unknowns.common].index("supply_v of box")
    assert np.array_equal(more.common[:, at], plain.common[:, was])


def test_what_is_common_is_one_number(shed: House) -> None:
    known, network = unknowns(shed), build(shed)
    made = circuit_of(network, fixed(known, draws(known, 6).common))
    # pixels of both runs are of one reel, so without their own spread all draw alike
    assert np.ptp(made.times, axis=1).max() == 0
    assert np.ptp(made.times[:, 0]) > 0.01
    apart = change(shed, spread={"reels": [["eave"], ["side"]]})
    other = unknowns(apart)
    assert other.reels == ("reel 1", "reel 2")
    own = circuit_of(build(apart), fixed(other, draws(other, 6).common)).times
    assert np.abs(own[:, 0] - own[:, -1]).min() > 1e-4
    assert np.ptp(own[:, shed.runs[0].pixels], axis=1).max() == 0


def test_sheets_give_the_house_itself(shed: House) -> None:
    known, network = unknowns(shed), build(shed)
    made = circuit_of(network, fixed(known, known.nominal[None]))
    assert made.plus_s[0] == pytest.approx(network.values.plus_s, rel=1e-12)
    assert made.minus_s[0] == pytest.approx(network.values.minus_s, rel=1e-12)
    assert np.array_equal(made.source_v[0], network.values.source_v)


def test_wire_is_held_against_the_standard(shed: House) -> None:
    # UL 1581: 13.7 and 21.8 Ω/km at most; copper of 1.3087 and 0.8230 mm² at 58 MS/m
    known = {"16 AWG": 13.7 * 58 * 1.3087 / 1000, "18 AWG": 21.8 * 58 * 0.8230 / 1000}
    assert wire_most(shed) == pytest.approx([known["16 AWG"], known["18 AWG"]], rel=1e-4)


def test_correlated_factors_stay_so(shed: House) -> None:
    said = {
        "factors": {"vf_g": {"normal": [0, 0.1]}, "vf_b": {"normal": [0, 0.2]}},
        "correlations": [
            {"between": ["vf_g", "vf_b"], "r": 0.8},
            {"between": ["flux_b", "nm_b"], "r": -0.6},
        ],
    }
    known = unknowns(change(shed, spread=said))
    drawn = common_draws(known, 20_000, seed=2)
    at = {each.factor: n for n, each in enumerate(known.common)}
    # of Gaussians r is the correlation itself: JCGM 101, 6.4.8
    r = np.corrcoef(drawn[:, at["vf_g"]], drawn[:, at["vf_b"]])[0, 1]
    assert r == pytest.approx(0.8, abs=0.01)
    # of others the rank correlation is (6/π)·asin(r/2): Pearson 1907
    rank = stats.spearmanr(drawn[:, at["flux_b"]], drawn[:, at["nm_b"]])[0]
    assert rank == pytest.approx(6 / np.pi * np.arcsin(-0.3), abs=0.015)
    # and each keeps its own distribution
    assert stats.kstest(drawn[:, at["nm_b"]], stats.uniform(-2.5, 5).cdf).pvalue > 1e-3
    free = stats.spearmanr(drawn[:, at["vf_r"]], drawn[:, at["vf_b"]])[0]
    assert abs(free) < 0.03


def test_a_measured_reel_is_better_known(files: tuple[Path, Path], tmp_path: Path) -> None:
    said = """\
calibration:
  - supply: box
    volts: 5
    runs: {eave: ws2812b, side: ws2812b}
    currents: {r: 1.1}
    uncertainty: {r: 0.022}
"""
    path = tmp_path / "house.yaml"
    path.write_text(files[0].read_text() + said)
    known = unknowns(load_house(path))
    (current,) = [each for each in known.common if each.factor == "current"]
    # 0.022 of 1.1 is 2 %
    assert current.shape == Distribution("normal", 1.0, pytest.approx(0.02))
