"""A plan with a probability: against closed forms, and counted by draws that had no part in it."""

from __future__ import annotations

import numpy as np
import pytest

import layouts
from layouts.errors import EvenfallError
from sim.circuit import build, loads
from sim.parts import parts_beside
from sim.plan.loadcase import full_codes
from sim.plan.plan import Wanted, plan_house
from sim.plan.proposal import Infeasible
from sim.plan.sure import DRAWS, Judged, Tight, check_share
from sim.report.plan_data import as_json
from sim.report.plan_report import plan_report
from sim.report.plan_text import plan_blocks
from sim.spread.bands import chance_of

RUN = """\
format: evenfall-house/1
name: test house
drawing: {size: [12, 5], viewer: 10, surfaces: []}
runs:
  - {name: eave, pixels: ws2815, path: [[0.5, 3], [5.5, 3]]}
"""
LONG = RUN.replace("[5.5, 3]", "[8.5, 3]")
SHORT = RUN.replace("[5.5, 3]", "[1, 3]")
WIRED = """\
supplies:
  - {name: box, volts: 12, amps: AMPS, efficiency: 0.85, source_ohm: 0}
wires:
  - {from: box, to: eave.start, wire: 10 AWG, length: 0.2, fuse: 30}
  - {from: box, to: "eave[150]", wire: 10 AWG, length: 0.2, fuse: 30}
  - {from: box, to: eave.end, wire: 10 AWG, length: 0.2, fuse: 30}
spread:
  factors:
    current_each: {exact: 1}
    supply_v: {exact: 1}
    rail_ohm: {exact: 1}
"""


def house_of(tmp_path, text):
    path = tmp_path / "house.yaml"
    path.write_text(text)
    return layouts.load_house(path)


@pytest.mark.parametrize("times", [0.96, 1.0, 1.04])
def test_the_chance_of_one_current_is_its_closed_form(tmp_path, times):
    """A 12 V part draws its current whatever it is fed with, so a supply that may give c times the
    sheets' peak keeps its limit with (c − 0.92)/0.16, the current being rectangular there."""
    first = house_of(tmp_path, RUN + WIRED.replace("AMPS", "40"))
    codes = full_codes(first, 1.0)
    peak_a = float(loads(build(first), codes).supply_a.max())
    rated_a = times * peak_a / layouts.catalogue.limits().supply_load
    house = house_of(tmp_path, RUN + WIRED.replace("AMPS", f"{rated_a:.6f}"))
    kept = Judged(house, codes, 0.10).kept(7)
    true = (times - 0.92) / 0.16
    # 99.99 % of the counts of a binomial lie within 3.9 standard deviations.
    assert kept.chance == pytest.approx(true, abs=3.9 * np.sqrt(true * (1 - true) / DRAWS))
    assert kept.low < kept.chance < kept.high
    assert kept.often[0][0].endswith("of supply box")


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    house = house_of(tmp_path_factory.mktemp("sure"), LONG)
    codes, parts = full_codes(house, 1.0), parts_beside(house)
    plain = plan_house(house, codes, parts)
    return house, codes, parts, plain, plan_house(house, codes, parts, Wanted(sure=0.9))


def test_the_plan_keeps_its_limits_so_often(planned):
    _, codes, _, plain, made = planned
    assert plain.sized is None
    assert made.sized.share == 0.9
    assert made.price > plain.price
    assert made.sized.plain_price == pytest.approx(plain.price)
    assert made.sized.plain.high < 0.9
    # Draws of a seed that had no part in planning: 0.9 is not above their binomial interval.
    judged = Judged(made.house, codes, 0.10)
    keeps = judged.keeps(judged.drawn(DRAWS, 11).used.max(axis=1))
    assert chance_of(keeps)[2] >= 0.9
    # Room for a current of ±8 %, of which half of what may go wrong may exceed: 1.08 − 0.05·0.16.
    assert made.sized.load == pytest.approx(1.08 - 0.05 * 0.16, abs=0.01)


def test_what_keeps_them_anyway_is_left_alone(tmp_path):
    """A plan that keeps all limits as often as asked is the plan itself, to the entry."""
    house = house_of(tmp_path, SHORT)
    codes, parts = full_codes(house, 1.0), parts_beside(house)
    plain, made = (plan_house(house, codes, parts, Wanted(sure=each)) for each in (None, 0.9))
    assert made.sections == plain.sections
    assert plain.sized is None
    assert made.sized.load == 1
    assert made.sized.kept == made.sized.plain


def test_it_is_told(planned):
    made = planned[4]
    report = plan_report(made, "full", 1.0)
    data = as_json(report)["sure"]
    assert data["asked"] == 0.9
    assert data["probability_band"][0] <= data["probability"] <= data["probability_band"][1]
    assert data["without"]["price"] < made.price
    said = str(list(plan_blocks(report)))
    assert "sized to keep every limit in 90 % of all cases" in said
    assert "Without --sure the plan costs" in said
    plain = plan_report(planned[3], "full", 1.0)
    assert as_json(plain)["sure"] is None
    assert "How sure" not in str(list(plan_blocks(plain)))


def test_what_cannot_be_planned_for_is_refused(tmp_path):
    for share in (0.0, 0.3, 0.999, 1.0):
        with pytest.raises(EvenfallError, match="cannot be planned for; write 50% to 99%"):
            check_share(share)
    house = house_of(tmp_path, SHORT + "spread: {factors: {supply_v: {rectangular: [0.5, 0.6]}}}\n")
    with pytest.raises(Infeasible, match=r"in 95% of all draws; without --sure they are kept in"):
        plan_house(house, full_codes(house, 1.0), parts_beside(house), Wanted(sure=0.95))


def test_room_for_loads(planned):
    tight, rules = Tight(0.9, 1.05), planned[3].wanted.rules
    assert tight.rules(rules).supply_load == pytest.approx(rules.supply_load / 1.05)
    assert tight.rules(rules).most_drop == rules.most_drop
