"""Flags of draws that make no sense: refused in a line, before anything is worked out."""

import json

import pytest


@pytest.mark.parametrize(
    ("flags", "says"),
    [
        (("--sure", "20%"), "a probability of 0.2 cannot be planned for; write 50% to 99%"),
        (("--sure", "100%"), "cannot be planned for"),
        (("--sure", "-5%"), "out of range"),
        (("--sure", "often"), "'often' is no share"),
        (("--sure", "95%", "--kinds", "ws2815"), "--sure serves one plan"),
    ],
)
def test_a_plan_refuses(run, house, flags, says):
    result = run("plan", house, *flags)
    assert result.exit_code == 2
    assert says in " ".join(result.stderr.replace("│", " ").split())


@pytest.mark.parametrize(
    ("flags", "says"),
    [
        (("--spread", "1"), "1 draws are too few for 95 % bands"),
        (("--spread", "1000000000"), "more than is worth it"),
        (("--seed", "3"), "--seed serves --spread"),
    ],
)
def test_a_comparison_refuses(run, house, scheme, flags, says):
    result = run("compare", house, scheme, "--kinds", "ws2812b-v5", "ws2813", *flags)
    assert result.exit_code == 2
    assert says in result.stderr


def test_a_comparison_tells_by_draws(run, house, scheme):
    kinds = ("--kinds", "ws2812b-v5", "ws2813", "--spread", "100", "--json")
    result = run("compare", house, scheme, *kinds)
    assert result.exit_code == 0, result.stderr
    told = json.loads(result.stdout)
    assert (told["spread"]["method"], told["spread"]["draws"]) == ("draws", 100)
    for each in told["spread"]["differences"]:
        low, high = each["difference_band"]
        assert each["differs"] is (low > 0 or high < 0)
    assert {"lumens_band", "watts_band", "peak_a_band"} <= told["kinds"][0].keys()
