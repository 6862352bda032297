"""Nameplate, peaks, energy."""

import numpy as np
import pytest

from sim.circuit import build, energy, join, loads, run_uses, supply_uses, wire_uses
from sim.circuit.loading import wall_w


def test_energy_of_a_12_v_strip(make):
    # 300 pixels of 2.1 mA idle and 15 mA at 12 V, 30 % of the time full, supply 87 %: 23.76 W DC,
    # 27.31 W from the wall; dark 7.56 W and 8.690 W; 4 h a night 39.87 kWh a year, the other 20 h
    # dark 63.43 kWh (hand calculation: 12·300·(2.1 + 0.3·15) mA; ÷ 0.87; × 365)
    kind = make.series_kind(rail_ohm_per_m=1e-7)
    supply = make.supply(volts=12)
    wires = [("psu", "a.start", make.wire(1e-7), 1.0)]
    house = make.house({"a": (kind, 300)}, [supply], wires)
    network = build(house)
    codes = np.zeros((100, 300, 4), dtype=np.uint8)
    codes[:30] = 255
    told = energy(network, loads(network, codes), loads(network, codes[-1:]))
    no_load_w = supply.no_load_w
    assert told.dc_w_mean == pytest.approx(23.76, abs=5e-3)
    assert told.wall_w_mean - no_load_w == pytest.approx(27.31, abs=5e-3)
    assert told.idle_dc_w == pytest.approx(7.56, abs=5e-3)
    assert told.idle_wall_w - no_load_w == pytest.approx(8.690, abs=5e-4)
    year_kwh = told.day_kwh(4) * 365 - no_load_w * 24 * 0.365
    assert year_kwh == pytest.approx(39.87 + 63.43, abs=2e-2)


def test_current_pushed_into_a_supply_earns_nothing_at_the_wall(make):
    """12.4 V pushes 12.0 V: what the first gives is paid, what the second takes is not returned."""
    supplies = [make.supply("low", 12.0, 0.05), make.supply("high", 12.4, 0.05)]
    wires = [("low", "a.start", "14 AWG", 1.0), ("high", "a.end", "14 AWG", 1.0)]
    kind = make.series_kind(rail_ohm_per_m=0.01)
    network = build(make.house({"a": (kind, 20)}, supplies, wires))
    dark = loads(network, np.zeros((1, 20, 4), dtype=np.uint8))
    low_a, high_a = dark.supply_a[0]
    assert low_a < 0 < high_a
    # 87 % efficiency, 1 W each without load
    paid_w = high_a * (12.4 - 0.05 * high_a) / 0.87 + 2 * 1.0
    assert wall_w(network, dark) == pytest.approx([paid_w])


def test_without_supplies_nobody_knows_what_the_wall_gives(make):
    network = build(make.house({"a": (make.kind(), 10)}, [], []))
    dark = loads(network, np.zeros((1, 10, 4), dtype=np.uint8))
    told = energy(network, dark, dark)
    assert told.dc_w_mean == pytest.approx(10 * 0.001 * 5)
    assert (told.wall_w_mean, told.idle_wall_w, told.day_kwh(5)) == (None, None, None)
    assert told.copper_w_mean == 0


def sagging(make):
    """Two runs on one supply, one of them long enough to starve."""
    runs = {"a": (make.kind(), 200), "b": (make.kind(), 20)}
    wires = [("psu", "a.start", "18 AWG", 2.0), ("psu", "b.start", "18 AWG", 1.0)]
    return make.house(runs, [make.supply(ohm=0.01)], wires)


def test_the_nameplate_knows_no_voltage_drop(make):
    house = sagging(make)
    network = build(house)
    seen = loads(network, np.full((1, 220, 4), 255, dtype=np.uint8))
    (supply,) = supply_uses(network, seen)
    # 12 + 13 + 11 mA and 1 mA idle a pixel
    assert supply.nameplate_a == pytest.approx(220 * 0.037)
    assert supply.peak_a < supply.nameplate_a
    assert [use.nameplate_a for use in run_uses(network, seen)] == pytest.approx([7.4, 0.74])
    assert [use.nameplate_a for use in wire_uses(network, seen)] == pytest.approx([7.4, 0.74])


def test_peaks_carry_their_frame_and_pixel(make):
    house = sagging(make)
    network = build(house)
    codes = np.zeros((40, 220, 4), dtype=np.uint8)
    codes[7, :200] = 200
    codes[30, 200:] = 255
    seen = loads(network, codes)
    (supply,) = supply_uses(network, seen)
    long, short = run_uses(network, seen)
    assert supply.peak_frame == 7
    assert (long.peak_frame, long.min_v_frame, long.min_v_pixel) == (7, 7, 199)
    assert (short.peak_frame, short.min_v_frame, short.min_v_pixel) == (30, 30, 19)
    assert long.min_dim < 1
    assert short.min_dim == 1
    assert supply.mean_a == pytest.approx(seen.supply_a[:, 0].mean())
    first, _ = wire_uses(network, seen)
    assert first.peak_a == pytest.approx(long.peak_a)
    assert first.drop_v == pytest.approx(first.peak_a * 2 * 2.0 / (58 * 0.8230))


def test_a_dark_channel_has_no_colour_to_lose(make):
    house = make.house(
        {"a": (make.kind(), 200)}, [make.supply()], [("psu", "a.start", "18 AWG", 4.0)]
    )
    network = build(house)
    red = np.zeros((1, 200, 4), dtype=np.uint8)
    red[..., 0] = 255
    seen = loads(network, red)
    assert seen.run_v[0, 0] < 3.7  # too little for blue
    assert seen.run_dim[0, 0] == 1


def test_blocks_join_to_the_whole(make):
    house = sagging(make)
    network = build(house)
    codes = np.random.default_rng(2).integers(0, 256, (50, 220, 4)).astype(np.uint8)
    whole = loads(network, codes)
    parts = join([loads(network, codes[:13]), loads(network, codes[13:])])
    assert len(parts) == 50
    assert parts.supply_a == pytest.approx(whole.supply_a, abs=1e-9)
    assert parts.run_pixel.tolist() == whole.run_pixel.tolist()
    assert parts.copper_w == pytest.approx(whole.copper_w, abs=1e-8)
