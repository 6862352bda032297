"""`evenfall check`: what it tells of the house, of each scheme, and how it ends."""

import json

import pytest


def told(result, status=0):
    assert result.exit_code == status, (result.stdout, result.stderr, result.exception)
    return json.loads(result.stdout)


def codes(part):
    return {found["code"] for found in part["findings"]}


def test_a_house_alone_is_checked_down_to_its_fuses(run, house):
    report = told(run("check", house, "--json"))
    assert report["schemes"] == []
    assert report["file"] == str(house)
    # 120 pixels at 60/m are 2 m of 0.15 Ω/m rail, 0.6 Ω there and back: 5 V drive at most 8 A
    # through a fuse of 7.5 A, and 15 A would open it (200 %: 0.15–5 s, ATO data sheet, 2nd hand).
    assert "far-short" in codes(report)


def test_the_wiring_is_told_once_and_each_scheme_by_itself(run, house, scheme, tmp_path):
    bright = tmp_path / "bright.scheme.yaml"
    text = scheme.read_text(encoding="utf-8").replace("brightness: 0.5", "brightness: 1")
    bright.write_text(text.replace("chase", "fade").replace("set: {speed: 0.4}", "set: {}"))
    report = told(run("check", house, scheme, bright, "--json"))
    assert [part["file"] for part in report["schemes"]] == [str(scheme), str(bright)]
    wiring = {"far-short", "above-class-2"}
    assert codes(report) & wiring
    for part in report["schemes"]:
        assert not codes(part) & wiring


def test_an_overload_ends_with_status_one(run, house, scheme):
    house.write_text(house.read_text(encoding="utf-8").replace("amps: 12", "amps: 0.5"))
    report = told(run("check", house, scheme, "--json"), status=1)
    (part,) = report["schemes"]
    assert "supply-overload" in codes(part)


def test_flashing_ends_with_status_one(run, house, scheme):
    # Five white flashes a second over every pixel: more than the three of WCAG 2.2 (general flash).
    text = scheme.read_text(encoding="utf-8").replace("effect: chase", "effect: steady")
    text = text.replace('["#ff8000", "#00ff40"], set: {speed: 0.4}', '["#ffffff"]')
    text = text.replace("brightness: 0.5", "brightness: 1\nseconds: 2")
    first, layer = text.split("layers:\n")
    times = [(k / 5, k / 5 + 0.1) for k in range(10)]
    flashes = [layer.replace("}", f", from: {a:g}, until: {b:g}}}") for a, b in times]
    scheme.write_text(f"{first}layers:\n{''.join(flashes)}", encoding="utf-8")
    result = run("check", house, scheme, "--json")
    (part,) = told(result, status=1)["schemes"]
    assert "flash-general" in codes(part)


@pytest.mark.parametrize("columns", [80, 120])
def test_the_screen(run, house, scheme, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", str(columns))
    result = run("check", house, scheme)
    assert result.exit_code == 0
    assert max(map(len, result.stdout.splitlines())) <= columns
    words = " ".join(result.stdout.split())
    for part in ("1 run, 120 pixels, 1 supply, 1 wire", "In all", "GFCI/RCD", "WCAG 2.2"):
        assert part in words
