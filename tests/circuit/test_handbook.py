"""Voltage drop against worked examples of handbooks and course pages, and closed forms.

The loads of those examples are constant currents, so they are solved as such; that the pixel law
itself is right is what the comparison with ngspice shows.
"""

from types import SimpleNamespace

import numpy as np
import pytest

from layouts.records import House
from sim.circuit import Solution, build, power, solve_constant
from sim.circuit.values import wire_loop_ohm

#: A wire too short to matter: 1 µm of 14 AWG.
NOTHING = ("14 AWG", 1e-6)


def distributor(make: SimpleNamespace, volts: float, loads: list[tuple[float, float, float]]):
    """(house, amps): one pixel a load, each (one-way ohm per m, metres on, amperes)."""
    kind = make.kind(pitch_m=1.0)
    runs = {f"r{k}": (kind, 1) for k in range(len(loads))}
    ends = ["psu"] + [f"r{k}[0]" for k in range(len(loads))]
    wires = [
        (ends[k], ends[k + 1], make.wire(ohm_per_m), length_m)
        for k, (ohm_per_m, length_m, _) in enumerate(loads)
    ]
    house = make.house(runs, [make.supply(volts=volts)], wires)
    return house, np.array([amps for _, _, amps in loads])


def constant(house: House, amps: np.ndarray) -> Solution:
    return solve_constant(build(house), amps)


@pytest.mark.parametrize(
    ("ohm_per_m", "feet", "amps", "volts", "drop_v", "places"),
    [
        # 16 AWG stranded 4.99 Ω/kft, 100 ft, 4 A, 24 V: "4.0 V" (electrician course page); 3.992
        (4.99 / 304.8, 100, 4, 24, 3.992, 3),
        # 2·K·I·L/CM, K 12.9, 12 AWG 6530 cmil, 20 A, 100 ft, 120 V: "7.9 V" (exam preparation page)
        (12.9 / 6530 / 0.3048, 100, 20, 120, 7.902, 3),
        # the same with 8 AWG, 16510 cmil: "3.1 V"
        (12.9 / 16510 / 0.3048, 100, 20, 120, 3.125, 3),
        # 18 AWG solid 20.948 Ω/km, 10 m, 5 A: loop 0.41896 Ω, 2.095 V (hand calculation)
        (0.020948, 10 / 0.3048, 5, 5, 2.0948, 4),
    ],
)
def test_lumped_load_at_the_end(make, ohm_per_m, feet, amps, volts, drop_v, places):
    house, loads = distributor(make, volts, [(ohm_per_m, feet * 0.3048, amps)])
    solution = constant(house, loads)
    assert volts - solution.volts[0, 0] == pytest.approx(drop_v, abs=0.6 * 10**-places)


def test_two_loads_on_a_distributor(make):
    # 500 V, each wire 0.02 Ω/km, 100 A at 2 km, 200 A at 4 km: 476 V, 460 V (exam solution)
    house, amps = distributor(make, 500, [(0.02e-3, 2000, 100), (0.02e-3, 2000, 200)])
    assert constant(house, amps).volts[0] == pytest.approx([476, 460], abs=1e-6)


def test_four_loads_on_a_distributor(make):
    # loop 0.02 Ω/km, 100/150/200/50 A at 500/1000/1600/2000 m, 300 V: 295, 291, 288, 287.6 V
    # (textbook DC distributor; its load list from memory)
    loads = [(1e-5, 500, 100), (1e-5, 500, 150), (1e-5, 600, 200), (1e-5, 400, 50)]
    house, amps = distributor(make, 300, loads)
    assert constant(house, amps).volts[0] == pytest.approx([295, 291, 288, 287.6], abs=1e-6)


def uniform(make, *, metres, count, amps_per_m, loop_ohm_per_m, volts, both_ends=False):
    """A uniformly loaded strip fed at its start pad, or at both."""
    kind = make.kind(pitch_m=metres / count, rail_ohm_per_m=loop_ohm_per_m / 2)
    wires = [("psu", "a.start", *NOTHING)]
    if both_ends:
        wires.append(("psu", "a.end", *NOTHING))
    house = make.house({"a": (kind, count)}, [make.supply(volts=volts)], wires)
    return constant(house, np.full(count, amps_per_m * metres / count))


def drop_at(solution: Solution, metres: float, volts: float) -> float:
    """The drop at a place on the strip, between the two pixels beside it."""
    run = solution.network.house.runs[0]
    at = (np.arange(run.count) + 0.5) * run.pitch_m
    return volts - np.interp(metres, at, solution.volts[0])


def test_uniform_load_fed_at_one_end(make):
    # 200 m, 2 A/m, each wire 0.3 Ω/km: 22.5 V at 150 m, 24.0 V at the end
    # (question of a handbook; the answer is i·r·(l·x − x²/2) = 2·0.0006·(200·150 − 150²/2))
    solution = uniform(make, metres=200, count=2000, amps_per_m=2, loop_ohm_per_m=0.6e-3, volts=500)
    assert drop_at(solution, 150, 500) == pytest.approx(22.5, rel=1e-5)
    assert 500 - solution.volts[0, -1] == pytest.approx(24.0, rel=1e-5)


def test_uniform_load_fed_at_both_ends(make):
    # 300 m, 0.75 A/m, loop 0.18 Ω/km, 250 V, at 200 m: one end 5.4 V, 911.25 W lost;
    # both ends 1.35 V, 227.8 W (question of a handbook; answers i²·r·l³/3 and i²·r·l³/12)
    strip = {"metres": 300, "count": 3000, "amps_per_m": 0.75, "loop_ohm_per_m": 0.18e-3}
    one = uniform(make, **strip, volts=250)
    assert drop_at(one, 200, 250) == pytest.approx(5.4, rel=1e-5)
    assert power(one).copper_w[0] == pytest.approx(911.25, rel=1e-5)
    both = uniform(make, **strip, volts=250, both_ends=True)
    assert drop_at(both, 200, 250) == pytest.approx(1.35, rel=1e-4)
    assert power(both).copper_w[0] == pytest.approx(227.8125, rel=1e-5)


def test_strip_of_12_v_pixels(make):
    # 150 pixels of 15 mA at 60 a metre, rails 100 mΩ/m each: I = 2.25 A, R = 0.5 Ω.
    # I·R/2 = 0.5625 V from the start pad, I·R/8 = 0.1406 V from both (DC distributor, handbook);
    # fed beside the first pixel 0.015·R_p·150·149/2 = 0.55875 V (hand calculation).
    kind = make.series_kind(rail_ohm_per_m=0.1)
    amps = np.full(150, 0.015)
    supply = [make.supply(volts=12)]

    def lost(*feeds: str) -> float:
        wires = [("psu", feed, *NOTHING) for feed in feeds]
        solution = constant(make.house({"a": (kind, 150)}, supply, wires), amps)
        return 12 - solution.volts.min()

    assert lost("a.start") == pytest.approx(0.5625, abs=2e-7)
    assert lost("a.start", "a.end") == pytest.approx(0.140625, rel=2e-4)
    assert lost("a[0]") == pytest.approx(0.55875, abs=2e-7)


def test_strip_between_unequal_voltages(make):
    # 5 m, 0.9 A/m, loop 0.2 Ω/m, 12.0 and 11.8 V at its ends: I_A 2.45 A, I_B 2.05 A, least
    # 11.333 V at 2.722 m from A (hand calculation: I_A = 0.2/1 + 2.25, x = I_A/i)
    kind = make.kind(pitch_m=5 / 2000, rail_ohm_per_m=0.1)
    supplies = [make.supply("A", 12.0), make.supply("B", 11.8)]
    wires = [("A", "a.start", *NOTHING), ("B", "a.end", *NOTHING)]
    house = make.house({"a": (kind, 2000)}, supplies, wires)
    solution = constant(house, np.full(2000, 0.9 * 5 / 2000))
    assert solution.supply_a[0] == pytest.approx([2.45, 2.05], abs=1e-6)
    least = solution.volts[0].argmin()
    assert solution.volts[0, least] == pytest.approx(11.333, abs=5e-4)
    assert (least + 0.5) * 5 / 2000 == pytest.approx(2.722, abs=2e-3)


def test_feeder_and_strip(make):
    # 5 m of 16 AWG (0.1317 Ω loop), then 5 m of strip, 0.9 A/m, loop 0.2 Ω/m, 12 V: feeder
    # 0.593 V, strip 2.250 V, far end 9.157 V (hand calculation)
    kind = make.series_kind(pitch_m=5 / 300, rail_ohm_per_m=0.1)
    house = make.house(
        {"a": (kind, 300)}, [make.supply(volts=12)], [("psu", "a.start", "16 AWG", 5.0)]
    )
    solution = constant(house, np.full(300, 0.9 * 5 / 300))
    feeder_v = solution.wire_a[0, 0] * wire_loop_ohm(house.wires[0], 20)
    assert feeder_v == pytest.approx(0.593, abs=5e-4)
    assert solution.volts.min() == pytest.approx(9.157, abs=5e-4)


@pytest.mark.parametrize(
    ("amps_per_m", "drop_v", "between_m", "dead_end_m"),
    [
        # √(8ΔV/(i·r)) between two feeds, √(2ΔV/(i·r)) for a dead end (hand calculation)
        (2.16, 0.5, 3.043, 1.521),
        (0.9, 1.2, 7.303, 3.651),
    ],
)
def test_spacing_of_feeds(make, amps_per_m, drop_v, between_m, dead_end_m):
    strip = {"count": 1000, "amps_per_m": amps_per_m, "loop_ohm_per_m": 0.2, "volts": 24}
    both = uniform(make, metres=between_m, both_ends=True, **strip)
    assert 24 - both.volts.min() == pytest.approx(drop_v, rel=1e-3)
    one = uniform(make, metres=dead_end_m, **strip)
    assert 24 - one.volts.min() == pytest.approx(drop_v, rel=1e-3)


def test_copper_between_pixels_converges_with_the_square_of_the_pitch(make):
    """Copper loss of a strip of ever finer pitch against the continuous i²·r·l³/3."""
    lost = []
    for count in (50, 100, 200):
        solution = uniform(
            make, metres=5, count=count, amps_per_m=0.9, loop_ohm_per_m=0.2, volts=12
        )
        lost.append(power(solution).copper_w[0] - 0.9**2 * 0.2 * 5**3 / 3)
    order = np.log2(np.abs(np.array(lost[:-1]) / np.array(lost[1:])))
    assert order == pytest.approx(2, abs=0.01)


@pytest.mark.parametrize(
    ("temperature_c", "milliohm_per_m"),
    # 14 AWG solid, IACS: d = 0.127·92^(22/39) mm, ρ/A, × (1 + 0.00393·ΔT) (hand calculation)
    [(20, 8.2855), (40, 8.9367), (-30, 6.6574)],
)
def test_wire_resistance_follows_temperature(make, temperature_c, milliohm_per_m):
    house = make.house(
        {"a": (make.kind(), 1)},
        [make.supply()],
        [("psu", "a.start", "14 AWG", 1.0)],
        temperature_c=temperature_c,
    )
    loop = wire_loop_ohm(house.wires[0], house.temperature_c)
    assert loop / 2 * 1000 == pytest.approx(milliohm_per_m, abs=1e-4)


def test_temperature_agrees_with_the_table_at_75_degrees(make):
    # NEC chapter 9 table 8, 12 AWG stranded: 1.98 Ω/kft at 75 °C is 5.342 Ω/km at 20 °C with its
    # own rule R2 = R1·(1 + 0.00323·(T2 − 75))
    house = make.house(
        {"a": (make.kind(), 1)},
        [make.supply()],
        [("psu", "a.start", make.wire(5.342e-3), 1.0)],
        temperature_c=75,
    )
    hot = wire_loop_ohm(house.wires[0], 75) / 2
    assert hot * 304.8 == pytest.approx(1.98, rel=1e-4)
