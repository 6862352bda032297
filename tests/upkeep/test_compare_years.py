"""Kinds side by side in the cold and after years."""

from __future__ import annotations

import json

import pytest


def test_compare_tells_ranges(run, demo):
    house, scheme = f"{demo}/cottage/house.yaml", f"{demo}/cottage/evening.scheme.yaml"
    kinds = ["--kinds", "ws2812b-v5", "sk6812-rgbw-warm", "--seconds", "1s"]
    told = run("compare", house, scheme, *kinds, "--temperature", "-20", "--age", "3", "--json")
    assert told.exit_code == 0, told.stderr
    data = json.loads(told.stdout)
    assert [each["kind"] for each in data["age"]["kinds"]] == ["ws2812b-v5", "sk6812-rgbw-warm"]
    cold, old = data["temperature"]["kinds"], data["age"]["kinds"]
    for each in cold:
        low, high = each["lumens_peak_band"]
        # between the least of blue and what red gains, exp(45/95) = 1.606, and nothing starves
        assert 1.02 < low / each["lumens_peak"] <= high / each["lumens_peak"] < 1.606
    for each in old:
        low, high = each["lumens_peak_band"]
        # LEDs and dirt alone leave 84 to 96 %: exp(−α·5478)·(1 − dirt)³ [calc]; plastic takes more
        assert 0.7 < low / each["lumens_peak"] < 0.841
        assert 0.9 < high / each["lumens_peak"] < 0.960
        assert each["amps"] == each["amps_then"]
    plain = run("compare", house, scheme, *kinds, "--json")
    assert not {"temperature", "age"} & json.loads(plain.stdout).keys()
    words = run("compare", house, scheme, *kinds, "--age", "3").stdout
    assert "After 3 years" in words


def test_no_years_leave_all_the_light(run, demo):
    house, scheme = f"{demo}/cottage/house.yaml", f"{demo}/cottage/evening.scheme.yaml"
    told = run("compare", house, scheme, "--kinds", "ws2812b-v5", "sk6812", "--seconds", "1s",
               "--age", "0", "--temperature", "25", "--json")  # fmt: skip
    data = json.loads(told.stdout)
    for each in (*data["age"]["kinds"], *data["temperature"]["kinds"]):
        assert each["lumens_peak_band"] == pytest.approx([each["lumens_peak"]] * 2, rel=2e-3)
