"""`power` and `check` tell of data margins where the house file says how data starts."""

import json


def with_output(house, output):
    text = house.read_text(encoding="utf-8")
    house.write_text(f"{text}outputs:\n  - {output}\n", encoding="utf-8")
    return house


def test_a_house_that_says_nothing_of_data_is_told_nothing(run, house, scheme):
    with_output(house, "{name: A, chain: [eave], universe: 1}")
    shown = run("power", house, scheme, "--seconds", "1s")
    assert "\nData\n" not in shown.stdout
    found = json.loads(run("check", house, scheme, "--seconds", "1s", "--json").stdout)
    every = [*found["findings"], *found["schemes"][0]["findings"]]
    assert not [each for each in every if each["code"].startswith("data-")]


def test_power_shows_the_margins(run, house, scheme):
    """3.3 V into 5 V pixels: 3.3 − 0.7 · 5 = −0.2 V in the dark house."""
    with_output(house, "{name: A, chain: [eave], universe: 1, logic_v: 3.3}")
    told = json.loads(run("power", house, scheme, "--seconds", "1s", "--json").stdout)
    (data,) = told["data"]
    assert (data["output"], data["logic_v"], data["high_at"]) == ("A", 3.3, "eave[0]")
    # a dark pixel draws 1 mA: 120 mA of idle current lose some 6 mV on the way
    assert -0.2 < data["high_v"] < -0.18
    shown = run("power", house, scheme, "--seconds", "1s")
    assert "\nData\n" in shown.stdout
    assert "eave[0]" in shown.stdout


def test_check_says_what_helps(run, house, scheme):
    with_output(house, "{name: A, chain: [eave], universe: 1, logic_v: 3.3}")
    found = json.loads(run("check", house, scheme, "--seconds", "1s", "--json").stdout)
    (high,) = [each for each in found["findings"] if each["code"] == "data-high"]
    assert high["level"] == "warning"
    assert [each["action"] for each in high["remedies"]] == ["buffer", "spare-on-diode"]
    assert "put a buffer" in high["text"]
    # said once, not again of every scheme
    assert not [e for e in found["schemes"][0]["findings"] if e["code"] == "data-high"]


def test_leads_are_told_too(run, house):
    output = (
        "{name: A, chain: [eave], logic_v: 5, series_ohm: 470, lead: {wire: 22 AWG, length: 9}}"
    )
    found = json.loads(run("check", with_output(house, output), "--json").stdout)
    codes = {each["code"] for each in found["findings"]}
    assert "data-edges" in codes
    assert "data-high" not in codes
