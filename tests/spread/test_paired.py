"""Two houses drawn in step, and what two kinds differ by, against closed forms and moments."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

import layouts
from effects import bind, load_scheme
from sim.frame import frame, rig_for
from sim.report.compare import lumens_of
from sim.report.compare_spread import ComparedFigure, compared_spread
from sim.report.other_kind import of_kind
from sim.report.power import power_report
from sim.spread.first_order import first_order
from sim.spread.paired import paired_common, paired_draws, paired_sums, shared_parts
from sim.spread.unknowns import unknowns

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [12, 5], viewer: 10, surfaces: []}
runs:
  - {name: eave, pixels: ws2812b-v5, path: [[0.5, 3], [1.5, 3]], count: 60}
supplies:
  - {name: box, volts: 5, amps: 10, efficiency: 0.85}
wires:
  - {from: box, to: eave.start, wire: 18 AWG, length: 2, fuse: 5}
"""
SCHEME = """\
format: evenfall-scheme/1
name: test white
brightness: 0.5
layers:
  - {zones: all, effect: steady, palette: ["3000 K"]}
"""


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    path = tmp_path_factory.mktemp("paired") / "house.yaml"
    path.write_text(HOUSE)
    return layouts.load_house(path)


@pytest.fixture(scope="module")
def sides(house):
    kinds = layouts.kinds()
    names = ("ws2812b-v5", "ws2813", "ws2815")
    return {name: unknowns(of_kind(house, kinds[name])[0]) for name in names}


def test_what_two_kinds_share(sides):
    five = shared_parts([sides["ws2812b-v5"], sides["ws2813"]])
    assert five == {("wire", "18 AWG"), ("supply", "box")}
    # A supply of another voltage is another supply.
    assert shared_parts([sides["ws2812b-v5"], sides["ws2815"]]) == {("wire", "18 AWG")}
    same = shared_parts([sides["ws2813"], sides["ws2813"]])
    assert ("reel", "ws2813") in same


def test_shared_parts_go_in_step_and_reels_do_not(sides):
    first, second = sides["ws2812b-v5"], sides["ws2813"]
    shared = shared_parts([first, second])
    a = paired_common(first, 4000, 3, "one", shared)
    b = paired_common(second, 4000, 3, "two", shared)

    def column(known, factor):
        return next(n for n, each in enumerate(known.common) if each.factor == factor)

    for factor in ("supply_v", "wire_ohm", "efficiency"):
        assert np.array_equal(a[:, column(first, factor)], b[:, column(second, factor)])
    # Independent: r of 4000 draws lies within 4/√4000 of 0 (its standard error is 1/√n).
    for factor in ("current", "rail_ohm", "flux_r"):
        r = np.corrcoef(a[:, column(first, factor)], b[:, column(second, factor)])[0, 1]
        assert abs(r) < 4 / np.sqrt(4000)
    # What a draw is does not depend on where a block begins.
    later = paired_draws(second, 5, 3, "two", shared, 100)
    assert np.array_equal(later.common, b[100:105])


def test_common_factors_cancel_in_a_difference(sides):
    """JCGM 100:2008, 5.2.2: of a difference y₂ − y₁ with a common part, that part has no share.

    y = a·V + I, V common with u = 0.03/√3 and I own with u = 0.08/√3: u²(y₂ − y₁) = 2·u²(I),
    while u²(y) = a²u²(V) + u²(I).
    """
    first, second = sides["ws2812b-v5"], sides["ws2813"]
    shared = shared_parts([first, second])
    slope = 5.0

    def figures(known):
        volts = known.columns("supply_v", ("box",))[0]
        amps = known.columns("current", known.reels)[0]
        return lambda drawn: (slope * drawn.common[:, volts] + drawn.common[:, amps])[:, None]

    drawn = [
        paired_sums(first_order(known, figures(known)), 40_000, 0, name, shared)[:, 0]
        for known, name in ((first, "one"), (second, "two"))
    ]
    own, common = 0.08 / np.sqrt(3), slope * 0.03 / np.sqrt(3)
    # The standard error of a standard deviation of n draws is at most u/√(2n) for flat shapes.
    close = 4 / np.sqrt(2 * 40_000)
    assert drawn[0].std() == pytest.approx(np.hypot(own, common), rel=close)
    assert (drawn[1] - drawn[0]).std() == pytest.approx(np.sqrt(2) * own, rel=close)


def test_a_figure_of_its_own():
    """Of draws x and x + 1 the difference is 1 in every draw, however wide the bands are."""
    drawn = np.random.default_rng(0).normal(10.0, 3.0, 500)
    made = ComparedFigure("watts", "", "W", np.array([10.0, 11.0]), np.stack([drawn, drawn + 1]))
    found = made.difference(0, 1)
    assert found.band == pytest.approx((1.0, 1.0))
    assert found.differs
    turned = replace(made, values=made.values[::-1], sheet=made.sheet[::-1]).difference(0, 1)
    assert turned.band == pytest.approx((-1.0, -1.0))
    assert turned.differs


@pytest.fixture(scope="module")
def reports(house, tmp_path_factory):
    path = tmp_path_factory.mktemp("white") / "white.scheme.yaml"
    path.write_text(SCHEME)
    scheme, made = load_scheme(path, house), []
    for name in ("ws2812b-v5", "ws2813"):
        kind = layouts.kinds()[name]
        changed, _ = of_kind(house, kind)
        rig = rig_for(changed, scheme)
        power = power_report(rig, bind(changed, scheme))
        made.append(SimpleNamespace(kind=kind, rig=rig, power=power, lumens=1.0))
    return made


def test_the_quick_bands_are_those_of_many_draws(reports):
    quick, drawn = compared_spread(reports), compared_spread(reports, 400, seed=2)
    assert drawn.exact
    assert not quick.exact
    for one, other in zip(quick.figures, drawn.figures, strict=True):
        if one.key == "ceiling":
            continue  # of the quick way an estimate between a few levels, as in 'power'
        found, true = one.difference(0, 1), other.difference(0, 1)
        # An end of 95 % of 400 draws is off by up to 0.09 of the width (order statistics).
        wide = true.band[1] - true.band[0]
        assert found.band == pytest.approx(true.band, abs=0.12 * wide), one.key


def test_a_house_without_supplies_has_its_light(house, tmp_path):
    """At the nominal volts everywhere, as `compare` has it: the sheets' lumens lie in the band."""
    (tmp_path / "white.scheme.yaml").write_text(SCHEME)
    bare = layouts.change(house, supplies=[], wires=[])
    scheme = load_scheme(tmp_path / "white.scheme.yaml", bare)
    rig, show = rig_for(bare, scheme), bind(bare, scheme)
    report = SimpleNamespace(
        kind=bare.runs[0].kind, rig=rig, power=power_report(rig, show), lumens=1.0
    )
    found = {each.key: each for each in compared_spread([report]).figures}
    assert "ceiling" not in found
    lit = float(lumens_of(bare, frame(rig, show, np.zeros(1)).light)[0])
    low, high = found["lumens"].band(0)
    assert low < lit < high
