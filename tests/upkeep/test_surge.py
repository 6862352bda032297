"""Noise on feeds and what a surge does, against closed forms and an integrator."""

from __future__ import annotations

import json

import numpy as np
import pytest
import yaml
from scipy.integrate import quad, solve_ivp

from layouts import change, load_house, wire_size
from sim.report.wording import sentence
from sim.upkeep import surge
from sim.upkeep.surge import dip_v, noise, pair_h_per_m, surge_table

MU0 = 4e-7 * np.pi


def test_the_loop_of_two_wires_far_apart():
    # Rosa's formula for a return circuit of thin wires, L/l = μ₀/π·(ln(D/a) + 1/4) [from memory];
    # the flux between them integrated: B of both wires, from surface to surface
    a, d = 0.5, 100.0
    between, _ = quad(lambda x: MU0 / (2 * np.pi) * (1 / x + 1 / (d - x)), a, d - a)
    thin = between + MU0 / (4 * np.pi)
    assert thin == pytest.approx(MU0 / np.pi * (np.log(d / a) + 0.25), rel=1e-2)
    found = pair_h_per_m(np.pi * a**2, (d - 2 * a) / 2)
    assert found == pytest.approx(thin, rel=1e-2)


def test_flat_cable_has_about_six_tenths_of_a_microhenry():
    # pair cables: 0.5 to 0.8 µH/m, a usual figure of the trade [common practice, no source]
    for gauge in ("14 AWG", "18 AWG"):
        assert 0.4e-6 < pair_h_per_m(wire_size(gauge).area_mm2, 0.8) < 0.8e-6


def test_the_dip_is_that_of_an_integrated_circuit():
    # C charged to V through L, ΔI switched on at once, integrated step by step
    step_a, henry, farad = 4.0, 1.8e-6, 10e-6

    def slope(_t, state):
        volts, amps = state
        return [(amps - step_a) / farad, (5.0 - volts) / henry]

    quarter_s = np.pi / 2 * np.sqrt(henry * farad)
    run = solve_ivp(slope, (0, 4 * quarter_s), [5.0, 0.0], rtol=1e-9, atol=1e-12, max_step=1e-7)
    assert 5.0 - run.y[0].min() == pytest.approx(dip_v(step_a, henry, farad), rel=1e-4)
    # what is said to keep the dip to 0.25 V does
    enough_f = henry * (step_a / 0.25) ** 2
    assert dip_v(step_a, henry, enough_f) == pytest.approx(0.25)


@pytest.fixture
def cottage(demo):
    return load_house(demo / "cottage" / "house.yaml")


@pytest.mark.parametrize(("ohm", "ma"), [(100, 37), (33, 112)])
def test_what_flows_into_a_data_input(cottage, ohm, ma):
    # (9.2 − 5.5)/100 Ω = 37 mA, /33 Ω = 112 mA [calc on a maker's clamp voltage]
    chain = cottage.outputs[0].chain
    house = change(cottage, outputs={cottage.outputs[0].name: {"series_ohm": ohm}})
    (first,) = (each for each in noise(house).runs if each.run == chain[0])
    assert first.clamp_ma == pytest.approx(ma, abs=0.5)
    assert any(each.code == "clamp-current" for each in noise(house).findings)


def test_the_ground_shift_is_half_the_drop_where_both_conductors_are_alike(cottage):
    # equal + and − conductors but for the fuse: d is a little less than half of what is lost
    found = {each.run: each for each in noise(cottage).runs}
    for run in cottage.runs:
        lost = 5 - (found[run.name].headroom_v + run.kind.min_v)
        assert 0.35 < found[run.name].shift_v / lost < 0.5


def test_a_house_with_little_to_spare_is_told(cottage):
    found = noise(cottage).findings
    assert {"feed-dip", "ground-shift"} <= {each.code for each in found}
    assert all(sentence(each) for each in found)
    thick = change(cottage, wires=[
        {**wire, "wire": "10 AWG", "length": "0.3 m"}
        for wire in ({"from": w.start.text, "to": w.end.text, "fuse": w.fuse_a}
                     for w in cottage.wires)
    ])  # fmt: skip
    before, after = noise(cottage), noise(thick)
    assert max(f.dip_v for f in after.feeds) < max(f.dip_v for f in before.feeds)
    assert not any(each.code == "ground-shift" for each in after.findings)


def test_every_row_has_its_source():
    table = surge_table()
    with open(surge.__file__.replace(".py", ".yaml"), encoding="utf-8") as file:
        assert yaml.safe_load(file) == table
    rows = [*table["figures"].values()]
    for part in ("checklist", "does", "does_not"):
        rows += table[part]
    assert all(row["source"].endswith("]") for row in rows)


def test_check_tells_it_only_where_it_is_asked(run, demo):
    house = str(demo / "cottage" / "house.yaml")
    plain, asked = run("check", house), run("check", house, "--noise")
    assert "Noise" not in plain.stdout
    assert "Checklist" in asked.stdout
    assert "Unplug" in asked.stdout
    data = json.loads(run("check", house, "--noise", "--json").stdout)["noise"]
    assert data["feeds"][0]["inductance_h"] > 0
    assert "noise" not in json.loads(run("check", house, "--json").stdout)
