"""The guide's own examples: JCGM 100:2008 annex H and JCGM 101:2008 clause 9."""

import numpy as np
import pytest

from layouts.spread import Distribution
from sim.spread.adaptive import adaptive, first_order_does, tolerance
from sim.spread.gum import coverage, effective_dof, propagate
from sim.spread.shapes import quantile


def drawn(shape: Distribution, generator: np.random.Generator, count: int) -> np.ndarray:
    return quantile(shape, generator.random(count))


def test_end_gauge() -> None:
    """JCGM 100, H.1: l = ls + d − ls(δα·θ + αs·δθ), in nm."""
    at = np.array([50_000_623.0, 215.0, 0.0, -0.1, 11.5e-6, 0.0])
    sds = np.array([25.0, 9.7, 0.58e-6, 0.41, 1.2e-6, 0.029])

    def length(ls: float, d: float, da: float, theta: float, alpha: float, dt: float) -> float:
        return ls + d - ls * (da * theta + alpha * dt)

    found = propagate(length, at, sds)
    # H.1.3.3 and H.1.6: l = 50.000 838 mm, uc = 32 nm, ν = 16, k99 = 2.92, U99 = 93 nm
    assert found.value == pytest.approx(50_000_838.0, abs=0.5)
    assert found.sd == pytest.approx(31.71, abs=0.01)
    dof = effective_dof(found.parts, np.array([18, 25.6, 50, np.inf, np.inf, 2.0]))
    assert int(dof) == 16
    assert coverage(0.99, dof) == pytest.approx(2.92, abs=0.005)
    assert coverage(0.99, dof) * found.sd == pytest.approx(93, abs=0.5)
    # H.1.7: with the terms of the next order 34 nm
    assert propagate(length, at, sds, second=True).sd == pytest.approx(33.9, abs=0.1)


def test_resistance_and_reactance() -> None:
    """JCGM 100, H.2: five readings of V, I and φ, which are correlated."""
    volts = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
    amps = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) / 1000
    phase = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])
    readings = np.stack([volts, amps, phase])
    at, sds = readings.mean(axis=1), readings.std(axis=1, ddof=1) / np.sqrt(5)
    r = np.corrcoef(readings)
    models = {
        "R": lambda v, i, phi: v / i * np.cos(phi),
        "X": lambda v, i, phi: v / i * np.sin(phi),
        "Z": lambda v, i, phi: v / i,
    }
    # table H.4: R = 127.732(71), X = 219.847(295), Z = 254.260(236) Ω
    for name, value, sd in (("R", 127.732, 0.071), ("X", 219.847, 0.295), ("Z", 254.260, 0.236)):
        found = propagate(models[name], at, sds, r)
        assert found.value == pytest.approx(value, abs=6e-4), name
        assert found.sd == pytest.approx(sd, abs=1e-3), name
    # without the covariances it is badly wrong
    assert propagate(models["R"], at, sds).sd > 2 * 0.071
    assert propagate(models["X"], at, sds).sd < 0.7 * 0.295


def test_thermometer() -> None:
    """JCGM 100, H.3: a straight line through eleven corrections, and what it says at 30 °C."""
    t = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010,
                  26.511]) - 20  # fmt: skip
    b = -np.array([171, 169, 166, 159, 164, 165, 156, 157, 159, 161, 160]) / 1000
    columns = np.column_stack([np.ones_like(t), t])
    y, rest, _, _ = np.linalg.lstsq(columns, b, rcond=None)
    cov = np.linalg.inv(columns.T @ columns) * rest[0] / 9
    sds = np.sqrt(np.diag(cov))
    r = cov / np.outer(sds, sds)
    # H.3.3: y1 = −0.1712(29), y2 = 0.00218(67), r = −0.930
    assert y == pytest.approx([-0.1712, 0.00218], abs=5e-5)
    assert r[0, 1] == pytest.approx(-0.930, abs=5e-4)
    found = propagate(lambda y1, y2: y1 + y2 * 10, y, sds, r)
    # H.3.4: b(30 °C) = −0.1494(41)
    assert found.value == pytest.approx(-0.1494, abs=5e-5)
    assert found.sd == pytest.approx(0.0041, abs=5e-5)


@pytest.mark.parametrize(
    ("sds", "u", "half", "gum_half"),
    [
        # JCGM 101, 9.2.3 (table 3): u 2.00, ±3.88 against ±3.92; exact 2√3(2 − (3/5)^¼) = 3.8794
        ((1, 1, 1, 1), 2.00, 3.8794, 3.92),
        # 9.2.4 (table 4): one of them ten times as wide: u 10.1, ±17.0 against ±19.9
        ((1, 1, 1, 10), 10.15, 17.01, 19.89),
    ],
)
def test_sums_of_rectangular(sds: tuple, u: float, half: float, gum_half: float) -> None:
    shapes = [Distribution("rectangular", -np.sqrt(3) * sd, np.sqrt(3) * sd) for sd in sds]
    digits = 2
    found = adaptive(lambda g, n: sum(drawn(each, g, n) for each in shapes), digits=digits, seed=3)
    assert found.held
    # the digits asked for, and the draws' own chance beside
    assert found.band.sd == pytest.approx(u, abs=tolerance(u, digits))
    assert found.band.high == pytest.approx(half, abs=tolerance(u, digits))
    assert found.band.low == pytest.approx(-half, abs=tolerance(u, digits))
    parts = np.array([each.sd for each in shapes])
    first = propagate(lambda *x: sum(x), np.zeros(4), parts)
    assert coverage(0.95) * first.sd == pytest.approx(gum_half, abs=0.01)
    does, low, _ = first_order_does(0.0, first.sd, found.band, digits)
    assert does == (gum_half < 4)
    assert low == pytest.approx(gum_half - half, abs=2 * tolerance(u, digits))


def test_calibration_of_a_weight() -> None:
    """JCGM 101, 9.3: air buoyancy makes the first order of the guide miss a third."""

    def off(g: np.random.Generator, n: int) -> np.ndarray:
        reference = drawn(Distribution("normal", 100_000.0, 0.050), g, n)
        added = drawn(Distribution("normal", 1.234, 0.020), g, n)
        air = drawn(Distribution("rectangular", 1.1, 1.3), g, n)
        weight = drawn(Distribution("rectangular", 7000.0, 9000.0), g, n)
        steel = drawn(Distribution("rectangular", 7950.0, 8050.0), g, n)
        return (reference + added) * (1 + (air - 1.2) * (1 / weight - 1 / steel)) - 100_000

    found = adaptive(off, seed=1, short=True, digits=1, block=300_000)
    assert found.held
    # 9.3.4 (table 6): 1.2341, u 0.0754, shortest [1.0834, 1.3825]
    assert found.band.mean == pytest.approx(1.2341, abs=tolerance(0.0754, 2))
    assert found.band.sd == pytest.approx(0.0754, abs=tolerance(0.0754, 2))
    # where the shortest one lies is known least: half the tolerance of one digit
    assert found.band.short_low == pytest.approx(1.0834, abs=0.5 * tolerance(0.0754, 1))
    assert found.band.short_high == pytest.approx(1.3825, abs=0.5 * tolerance(0.0754, 1))
    at = np.array([100_000, 1.234, 1.2, 8000, 8000])
    sds = np.array([0.05, 0.02, 0.1 / 3**0.5, 1000 / 3**0.5, 50 / 3**0.5])
    first = propagate(
        lambda m, d, a, w, r: (m + d) * (1 + (a - 1.2) * (1 / w - 1 / r)) - 100_000, at, sds
    )
    # table 6: first order 0.0539
    assert first.sd == pytest.approx(0.0539, abs=5e-5)
    assert not first_order_does(first.value, first.sd, found.band)[0]


def test_microwave_mismatch() -> None:
    """JCGM 101, 9.4.2: x₁² + x₂² about 0, of which first order knows nothing."""
    found = adaptive(
        lambda g, n: sum(drawn(Distribution("normal", 0.0, 0.005), g, n) ** 2 for _ in range(2)),
        seed=2, short=True, digits=1,
    )  # fmt: skip
    assert found.held
    # table 8: 50e-6, u 50e-6, shortest [0, 150e-6]; exact −2σ²·ln 0.05 = 149.8e-6
    assert found.band.mean == pytest.approx(50e-6, abs=1e-6)
    assert found.band.sd == pytest.approx(50e-6, abs=1e-6)
    assert found.band.short_low == pytest.approx(0.0, abs=1e-6)
    assert found.band.short_high == pytest.approx(149.8e-6, abs=5e-6)
    first = propagate(lambda a, b: a * a + b * b, np.zeros(2), np.full(2, 0.005))
    assert first.sd == 0


def test_end_of_a_strip() -> None:
    """V − I·R/2 with 12 V ±1 %, 2.25 A ±8 %, 0.5 Ω ±20 %, all rectangular.

    By hand: u² = 0.0693² + (0.25·0.1039)² + (1.125·0.0577)² gives 0.0984, the product 0.0985; the
    worst case is 11.88 − 2.43·0.6/2 = 11.151 V.
    """
    shapes = [Distribution("rectangular", x * (1 - p), x * (1 + p)) for x, p in
              ((12, 0.01), (2.25, 0.08), (0.5, 0.2))]  # fmt: skip

    def end(g: np.random.Generator, n: int) -> np.ndarray:
        v, i, r = (drawn(each, g, n) for each in shapes)
        return v - i * r / 2

    found = adaptive(end, seed=4)
    assert found.band.mean == pytest.approx(11.4375, abs=0.001)
    assert found.band.sd == pytest.approx(0.0985, abs=0.0005)
    # numerical convolution of the three: 11.248 to 11.623, 5th percentile 11.273
    assert found.band.pair == pytest.approx((11.248, 11.623), abs=0.002)
    assert np.quantile(found.values, 0.05) == pytest.approx(11.273, abs=0.002)
    assert found.values.min() > 11.151


def test_common_terms_do_not_even_out() -> None:
    """Currents of 150 pixels, ±8 % common and ±5 % of their own, all rectangular."""
    common, own = Distribution("rectangular", 0.92, 1.08), Distribution("rectangular", 0.95, 1.05)
    g = np.random.default_rng(7)
    each = drawn(own, g, 20_000 * 150).reshape(20_000, 150)
    sums = drawn(common, g, 20_000) * each.mean(axis=1)
    # by hand: √((8/√3)² + (5/√3)²/150) = 4.625 %; of endless pixels 4.619 %, of one 5.4 %
    assert np.hypot(8, 5 / np.sqrt(150)) / np.sqrt(3) == pytest.approx(4.625, abs=0.001)
    # the standard deviation of 20 000 draws of nearly rectangular values is known to 0.3 %
    assert 100 * sums.std() == pytest.approx(4.625, rel=0.01)


def test_digits_that_cannot_hold_are_told() -> None:
    found = adaptive(lambda g, n: g.standard_cauchy(n), digits=2, most=60_000)
    assert not found.held
    assert found.blocks == 6
