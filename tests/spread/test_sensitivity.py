"""Shares of unknowns: the guide's own budget, a divider's closed form, and draws with one fixed."""

from __future__ import annotations

import numpy as np
import pytest

import layouts
from effects import bind, load_scheme
from layouts.spread import Distribution
from sim.frame import rig_for
from sim.report.power import power_report
from sim.report.power_data import as_json
from sim.report.spread import spread_blocks
from sim.report.spread_data import with_study
from sim.report.text import number
from sim.spread.draws import draws
from sim.spread.figures import Figures
from sim.spread.first_order import FirstOrder, first_order
from sim.spread.frames import shown
from sim.spread.sensitivity import LEFT
from sim.spread.study import study
from sim.spread.unknowns import Unknown, Unknowns, unknowns

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [12, 5], viewer: 10, surfaces: []}
runs:
  - {name: eave, pixels: ws2815, path: [[0.5, 3], [1.5, 3]], count: 60}
supplies:
  - {name: box, volts: 12, amps: 5, efficiency: 0.85}
wires:
  - {from: box, to: eave.start, wire: 22 AWG, length: 6, fuse: 3}
"""
SCHEME = """\
format: evenfall-scheme/1
name: test white
brightness: 1
layers:
  - {zones: all, effect: steady, palette: ["3000 K"]}
"""


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    path = tmp_path_factory.mktemp("sensitivity") / "house.yaml"
    path.write_text(HOUSE)
    (path.parent / "white.scheme.yaml").write_text(SCHEME)
    house = layouts.load_house(path)
    scheme = load_scheme(path.parent / "white.scheme.yaml", house)
    report = power_report(rig_for(house, scheme), bind(house, scheme))
    return report, study(report.scan, report.ceiling, 400, seed=1)


def budget_in(made, section: str, key: str):
    heads = [(each.head.section, each.head.key) for each in made.budgets]
    return made.budgets[heads.index((section, key))]


def budget_of(house, shapes: dict[str, Distribution], model) -> tuple[FirstOrder, list[str]]:
    """First order of `model` of quantities that are no house's."""
    common = tuple(Unknown(name, "here", shape) for name, shape in shapes.items())
    empty = np.zeros(0, dtype=np.int64)
    exact = Distribution("exact", 1.0, 1.0)
    known = Unknowns(house, common, exact, exact, (), empty, (), empty)
    # `nominal` would ask the house for its wires.
    object.__setattr__(known, "_at", {(name, "here"): n for n, name in enumerate(shapes)})
    made = first_order(known, lambda drawn: model(*drawn.common.T)[:, None])
    return made, list(shapes)


def test_the_budget_of_the_guide(found):
    """JCGM 100:2008, table H.1: the components of the end gauge's u² [nm]: 25, 9.7, 2.9, 16.6.

    uc² = 1002 nm²; δα's and αs's share is 0 at first order, since δθ and δα are 0 (H.1.3.3, H.1.4).
    """
    shapes = {
        "ls": Distribution("normal", 50_000_623.0, 25.0),
        "d": Distribution("normal", 215.0, 9.7),
        "difference_alpha": Distribution("normal", 0.0, 0.58e-6),
        "theta": Distribution("normal", -0.1, 0.41),
        "alpha": Distribution("normal", 11.5e-6, 1.2e-6),
        "difference_theta": Distribution("normal", 0.0, 0.029),
    }

    def length(ls, d, da, theta, alpha, dt):
        return ls + d - ls * (da * theta + alpha * dt)

    made, names = budget_of(found[0].scan.rig.house, shapes, length)
    shares = dict(zip(names, made.budget[:-1, 0], strict=True))
    assert made.sd[0] ** 2 == pytest.approx(1002, rel=5e-3)
    for name, part_nm in (
        ("ls", 25.0),
        ("d", 9.7),
        ("difference_alpha", 2.9),
        ("difference_theta", 16.6),
    ):
        assert shares[name] * 1002 == pytest.approx(part_nm**2, rel=0.02), name
    assert shares["theta"] == pytest.approx(0.0, abs=1e-9)
    assert shares["alpha"] == pytest.approx(0.0, abs=1e-9)
    assert made.budget.sum() == pytest.approx(1.0)


def test_a_divider_of_two_resistors(found):
    """V = V₀·R₂/(R₁ + R₂): ∂V/∂R₁ = −V₀R₂/(R₁+R₂)², ∂V/∂R₂ = V₀R₁/(R₁+R₂)², by hand."""
    shapes = {
        "v0": Distribution("rectangular", 11.88, 12.12),
        "r1": Distribution("rectangular", 0.99, 1.01),
        "r2": Distribution("rectangular", 3.8, 4.2),
    }
    made, _ = budget_of(found[0].scan.rig.house, shapes, lambda v0, r1, r2: v0 * r2 / (r1 + r2))
    parts = np.array([0.8 * 0.12, 12 * 4 / 25 * 0.01, 12 * 1 / 25 * 0.2]) / np.sqrt(3)
    assert made.budget[:-1, 0] == pytest.approx(parts**2 / (parts**2).sum(), rel=2e-3)


def test_known_ones_leave_what_the_law_of_total_variance_says(found):
    """Var(Y) − Var(Y | X) = share·Var(Y), by draws through the exact circuit with X fixed."""
    report, made = found
    known, frames = unknowns(report.scan.rig.house), shown(report.scan)
    told = Figures(report.scan, frames, known, 5.0)
    for section, key in (("runs", "min_v"), ("supplies", "peak_a")):
        budget = next(
            each for each in made.budgets if each.head.key == key and each.head.section == section
        )
        top = budget.contributions[0]
        column = told.heads.index(budget.head)
        drawn = draws(known, 400, 1)
        at = known.common.index(top.unknown)
        drawn.common[:, at] = top.unknown.shape.mean
        fixed = told.of(drawn)[1][:, column]
        whole = made.figure(section, key, 0).values
        # The standard error of a ratio of two variances of 400 draws of the same seed: < 0.1.
        assert fixed.var() / whole.var() == pytest.approx(1 - top.share, abs=0.1), key


def test_what_measuring_gives(found):
    """The width left is that of the rest and of the meter: nothing below the meter's own."""
    _, made = found
    for budget in made.budgets:
        assert sum(each.share for each in budget.contributions) < 1 + 1e-6
        for each in budget.contributions:
            assert each.left is None or 0 <= each.left <= budget.width
            assert each.left is None or each.unknown.factor in LEFT
    current = next(
        each
        for each in made.budgets
        if each.head.key == "peak_a" and each.head.section == "supplies"
    )
    best = current.best
    assert best.unknown.factor == "current"
    # ±8 % of a reel shrink to the meter's ±1.5 %, beside what 60 pixels of ±4 % have of their own.
    own = 2 * 1.96 * 0.02 / np.sqrt(60) * current.head.nominal
    meter = 2 * 0.95 * 0.015 * current.head.nominal
    assert meter * 0.9 < best.left < (meter + own) * 1.1


def test_the_five_are_told(found):
    report, made = found
    said = str(list(spread_blocks(made)))
    assert "Which unknowns matter" in said
    assert "Measure the current of one metre of strip" in said
    # What stands under the white is explained with it; 0.0011 and 7 as `coarse_codes` cites them.
    (white,) = made.whites
    steps = np.median(white.delta_uv) / 0.0011
    assert f"two reels lie {number(float(steps))} steps apart" in said
    assert "A step is 0.0011 in u', v', about the least that is told apart (CIE TN 001:2014" in said
    assert "lamps are sold within 7 steps" in said
    assert "ΔE is the distance of two colours, brightness included (CIELAB, ΔE*ab)" in said
    data = with_study(as_json(report), made)["spread"]["sensitivity"]
    volts = next(each for each in data if each["figure"] == "min_v")
    assert len(volts["unknowns"]) <= 5
    shares = [each["share"] for each in volts["unknowns"]]
    assert shares == sorted(shares, reverse=True)
    assert volts["unknowns"][0]["band_width_measured"] < volts["band_width"]
