"""How much of the light of one rectangle falls on another, against handbook forms."""

from __future__ import annotations

import itertools
from math import atan, log, pi, sqrt

import numpy as np
import pytest

from sim.light.bounce import thrown
from sim.light.form_factor import exchanged_parallel, exchanged_square


def opposed(x: float, y: float) -> float:
    """Aligned equal rectangles, X = a / c, Y = b / c (Howell C-11; Incropera, table 13.2)."""
    a, b = sqrt(1 + x * x), sqrt(1 + y * y)
    whole = log(a * b / sqrt(1 + x * x + y * y)) + x * b * atan(x / b) + y * a * atan(y / a)
    return 2 / (pi * x * y) * (whole - x * atan(x) - y * atan(y))


def edge_to_edge(h: float, w: float) -> float:
    """At right angles with a common edge, H = height / edge, W = depth / edge of the rectangle
    that sends (Howell C-14; Incropera, table 13.2)."""
    s = h * h + w * w
    first = w * atan(1 / w) + h * atan(1 / h) - sqrt(s) * atan(1 / sqrt(s))
    a = (1 + w * w) * (1 + h * h) / (1 + s)
    b = w * w * (1 + s) / ((1 + w * w) * s)
    c = h * h * (1 + s) / ((1 + h * h) * s)
    return (first + log(a * b ** (w * w) * c ** (h * h)) / 4) / (pi * w)


@pytest.mark.parametrize(("x", "y"), [(1.0, 1.0), (0.3, 2.0), (5.0, 0.2), (10.0, 10.0)])
def test_opposed_rectangles(x, y):
    got = exchanged_parallel((0.0, x), (0.0, y), (0.0, x), (0.0, y), 1.0) / (x * y)
    assert got == pytest.approx(opposed(x, y), rel=1e-9)


@pytest.mark.parametrize(("h", "w"), [(1.0, 1.0), (0.3, 2.0), (5.0, 0.2)])
def test_rectangles_with_a_common_edge(h, w):
    got = exchanged_square((0.0, 1.0), (0.0, w), (0.0, 1.0), (0.0, h)) / w
    assert got == pytest.approx(edge_to_edge(h, w), rel=1e-9)


def test_values_of_the_tables():
    """Cubes, as printed in every table: 0.1998 across, 0.2000 to each of the four sides."""
    side = (0.0, 1.0)
    assert exchanged_parallel(side, side, side, side, 1.0) == pytest.approx(0.1998, abs=5e-5)
    assert exchanged_square(side, side, side, side) == pytest.approx(0.2000, abs=5e-5)


def test_wherever_they_lie():
    """Rectangles anywhere, against the integral of cos cos / π r² by the rule of midpoints."""
    u1, v1, u2, v2 = (0.0, 1.0), (0.5, 1.2), (0.7, 2.7), (1.0, 3.0)
    n = 24
    mid = (np.arange(n) + 0.5) / n
    a, b, c, d = np.meshgrid(mid, mid, mid, mid, indexing="ij", sparse=True)
    a, b = u1[0] + a * (u1[1] - u1[0]), v1[0] + b * (v1[1] - v1[0])
    c, d = u2[0] + c * (u2[1] - u2[0]), v2[0] + d * (v2[1] - v2[0])
    area = 1.0 * 0.7 * 2.0 * 2.0
    square = (a - c) ** 2 + b**2 + d**2  # b and d from the line in which the planes meet
    want = (b * d / (pi * square**2)).mean() * area
    assert exchanged_square(u1, v1, u2, v2) == pytest.approx(want, rel=1e-3)
    square = (a - c) ** 2 + (b - d) ** 2 + 0.8**2
    want = (0.8**2 / (pi * square**2)).mean() * area
    assert exchanged_parallel(u1, v1, u2, v2, 0.8) == pytest.approx(want, rel=1e-3)


def test_same_from_either_side():
    u1, v1, u2, v2 = (0.0, 1.0), (0.5, 1.2), (0.7, 2.7), (1.0, 3.0)
    assert exchanged_square(u1, v1, u2, v2) == pytest.approx(exchanged_square(u2, v2, u1, v1))
    one = exchanged_parallel(u1, v1, u2, v2, 0.8)
    assert one == pytest.approx(exchanged_parallel(u2, v2, u1, v1, 0.8))


SIDES = (2.0, 1.0, 1.5)


def box(parts: int = 2) -> tuple[np.ndarray, np.ndarray]:
    """Areas and F of the inside of a closed box whose sides are cut into rectangles."""
    patches = []
    for axis, far in itertools.product(range(3), (False, True)):
        others = [k for k in range(3) if k != axis]
        cut = [np.linspace(0, SIDES[k], parts + 1) for k in others]
        for i, j in itertools.product(range(parts), range(parts)):
            spans = {
                others[0]: tuple(cut[0][i : i + 2].tolist()),
                others[1]: tuple(cut[1][j : j + 2].tolist()),
            }
            patches.append((axis, far, spans))

    def from_plane(span, other_axis, far):
        end = SIDES[other_axis]
        return (end - span[1], end - span[0]) if far else span

    area = np.array([np.prod([b - a for a, b in spans.values()]) for _, _, spans in patches])
    factor = np.zeros((len(patches), len(patches)))
    for m, (axis, far, one) in enumerate(patches):
        for n, (axis2, far2, two) in enumerate(patches):
            if axis == axis2:
                if far != far2:
                    k, o = one
                    factor[m, n] = exchanged_parallel(one[k], one[o], two[k], two[o], SIDES[axis])
            else:
                (along,) = {0, 1, 2} - {axis, axis2}
                off1 = from_plane(one[axis2], axis2, far2)
                off2 = from_plane(two[axis], axis, far)
                factor[m, n] = exchanged_square(one[along], off1, two[along], off2)
    return area, factor / area[:, None]


def bounced(factor, reflectance, leaving, times):
    row, column = np.nonzero(factor)
    start = np.searchsorted(row, np.arange(len(factor) + 1))
    lux = thrown(
        start,
        column.astype(np.int32),
        factor[row, column].astype(np.float32),
        np.repeat(reflectance[:, None], 3, axis=1).astype(np.float32),
        np.repeat(leaving[:, None], 3, axis=1).astype(np.float32),
        times,
    )
    return lux[:, 0]


def test_closed_box_keeps_all_light():
    area, factor = box()
    assert factor.sum(axis=1) == pytest.approx(1.0, abs=1e-9)
    exchange = area[:, None] * factor
    assert exchange == pytest.approx(exchange.T)


@pytest.mark.parametrize("rho", [0.1, 0.5, 0.8])
def test_closed_box_of_one_reflectance(rho):
    """E = E₀ (1 + ρ + ρ²) with two bounces, E₀ / (1 - ρ) in the end (geometric series)."""
    area, factor = box()
    same = np.full(len(area), rho)
    two = 1 + bounced(factor, same, same, 2)
    assert two == pytest.approx(1 + rho + rho**2, rel=1e-5)
    assert 1 + bounced(factor, same, same, 150) == pytest.approx(1 / (1 - rho), rel=1e-5)


def test_energy_of_a_closed_box():
    """One lamp lights one side only; in the end all of it is absorbed, and never more before."""
    area, factor = box()
    rho = np.tile([0.8, 0.3, 0.5, 0.1, 0.6, 0.2], (4, 1)).T.ravel()
    first = np.zeros(len(area))
    first[:4] = 100.0
    flux = (area * first).sum()
    absorbed = [
        (area * (1 - rho) * (first + bounced(factor, rho, rho * first, n))).sum()
        for n in (0, 1, 2, 100)
    ]
    assert absorbed == sorted(absorbed)
    assert absorbed[2] < flux
    assert absorbed[3] == pytest.approx(flux, rel=1e-5)
