"""`evenfall power`: its numbers against hand calculation, its JSON, CSV, screen and exit status."""

import csv
import json

import pytest

FIELDS = {
    "": "house scheme frames fps seconds nameplate_a brightness_ceiling energy supplies wires runs "
    "findings",
    "energy": "dc_w_mean wall_w_mean idle_wall_w",
    "supplies": "name rated_a nameplate_a peak_a peak_time_s mean_a load",
    "wires": "from to peak_a fuse_a ampacity_a short_a drop_v",
    "runs": "name pixels min_v min_v_pixel min_v_time_s",
    "findings": "level code where text",
}


def told(result):
    """The JSON of a report; stdout must hold nothing else."""
    assert result.exit_code in (0, 1), (result.stderr, result.exception)
    return json.loads(result.stdout)


@pytest.fixture
def full_white(scheme):
    """The scheme, changed to every channel of every pixel full."""
    text = scheme.read_text(encoding="utf-8")
    text = text.replace("brightness: 0.5", "brightness: 1\ncolour: raw\ngamma: 1\nwhite: most")
    text = text.replace("effect: chase", "effect: steady").replace(", set: {speed: 0.4}", "")
    scheme.write_text(text.replace('["#ff8000", "#00ff40"]', '["#ff0000"]'), encoding="utf-8")
    return scheme


def test_json_has_every_promised_field(run, house, scheme):
    report = told(run("power", house, scheme, "--json"))
    for part, names in FIELDS.items():
        rows = report if not part else report[part]
        rows = rows if isinstance(rows, list) else [rows]
        assert rows, part
        for row in rows:
            assert set(names.split()) <= set(row), part


def test_a_red_house_draws_what_the_datasheet_says(run, house, full_white):
    report = told(run("power", house, full_white, "--json"))
    # SK6812RGBW: 9 mA a colour (datasheet, 2nd hand), 1.0 mA idle (Rev 07); 120 pixels, all in
    # regulation (red needs 2.0 + 0.5 V): 120 · (9 + 1) mA = 1.2 A.
    (supply,) = report["supplies"]
    assert supply["peak_a"] == pytest.approx(1.2, abs=1e-6)
    assert supply["mean_a"] == pytest.approx(1.2, abs=1e-6)
    assert supply["load"] == pytest.approx(0.1, abs=1e-6)
    # 3 · 9 + 16.5 + 1 mA a pixel with every channel full: 120 · 44.5 mA.
    assert report["nameplate_a"] == pytest.approx(5.34)
    # 14 AWG: 8.2855 mΩ/m at 20 °C (ASTM B258 area, IACS copper), 2 · 1 m; a fuse of 7.5 A between
    # 17 mΩ at 5 A and 7.5 mΩ at 10 A (ATO, from memory), on logarithmic scales 10.53 mΩ.
    feed_ohm = 2 * 8.2855e-3 + 0.01053
    (wire,) = report["wires"]
    assert wire["drop_v"] == pytest.approx(feed_ohm * 1.2, rel=2e-4)
    # Behind the source (5 mΩ) and the wire: pixel 119 is 119.5 pitches down both rails of
    # 0.15 Ω/m; N pixels in line lose i·R_p·(N(N+1)/2 − N/2), the first half a pitch from the pad.
    rail_v = 0.010 * 2 * 0.15 / 60 * (120 * 121 / 2 - 60)
    (strip,) = report["runs"]
    assert strip["min_v_pixel"] == 119
    assert strip["min_v"] == pytest.approx(5 - 1.2 * (0.005 + feed_ohm) - rail_v, abs=1e-5)
    # 85 % efficiency and 0.5 W without load, as the house file says.
    dc_w = (5 - 1.2 * 0.005) * 1.2
    assert report["energy"]["dc_w_mean"] == pytest.approx(dc_w, rel=1e-6)
    assert report["energy"]["wall_w_mean"] == pytest.approx(0.5 + dc_w / 0.85, rel=1e-6)


def test_at_gives_every_pixel(run, house, scheme):
    report = told(run("power", house, scheme, "--at", "1.5s", "--json"))
    at = report["at"]
    assert at["time_s"] == 1.5
    strip = at["runs"]["eave"]
    assert strip["channels"] == ["r", "g", "b", "w"]
    assert len(strip["drive"]) == len(strip["volts"]) == len(strip["amps"]) == 120
    assert all(len(row) == 4 and 0 <= min(row) <= max(row) <= 1 for row in strip["drive"])
    assert at["supplies"]["box"]["amps"] == pytest.approx(sum(strip["amps"]), abs=1e-6)


def test_csv_has_a_row_a_frame(run, house, scheme, tmp_path):
    out = tmp_path / "frames.csv"
    report = told(run("power", house, scheme, "--csv", out, "--seconds", "2s", "--json"))
    with out.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == report["frames"] == 80
    peak_a = max(float(row["supply box [A]"]) for row in rows)
    assert peak_a == pytest.approx(report["supplies"][0]["peak_a"], rel=1e-5)
    assert float(rows[1]["time_s"]) == pytest.approx(1 / 40)


@pytest.mark.parametrize("columns", [80, 120])
def test_the_screen_loses_nothing(run, house, scheme, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", str(columns))
    result = run("power", house, scheme, "--at", "1s")
    assert result.exit_code == 0, result.stderr
    assert "…" not in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= columns
    report = told(run("power", house, scheme, "--json"))
    words = " ".join(result.stdout.split())
    for finding in report["findings"]:
        assert finding["code"] in words
        assert " ".join(finding["text"].split()) in words
    for part in ("Supplies", "Runs", "Wires", "Ceiling", "Cautions", "Mains work", "GFCI/RCD"):
        assert part in words


def test_a_danger_ends_with_status_one(run, house, full_white):
    text = house.read_text(encoding="utf-8")
    house.write_text(text.replace("amps: 12", "amps: 1"), encoding="utf-8")
    result = run("power", house, full_white, "--json")
    assert result.exit_code == 1
    report = told(result)
    assert "supply-overload" in {found["code"] for found in report["findings"]}
    # 1 A · 80 % of the 1.2 A that full red takes, less the idle 0.12 A: (0.8 − 0.12) / 1.08.
    assert report["brightness_ceiling"] == pytest.approx(0.68 / 1.08, abs=0.005)


def test_a_house_without_supplies_says_so(run, house, scheme):
    text = house.read_text(encoding="utf-8")
    house.write_text(text[: text.index("supplies:")], encoding="utf-8")
    report = told(run("power", house, scheme, "--json"))
    assert "no-supplies" in {found["code"] for found in report["findings"]}
    assert report["supplies"] == []
    assert report["brightness_ceiling"] is report["ceiling_limit"] is None
    assert report["energy"]["wall_w_mean"] is report["energy"]["idle_wall_w"] is None
    (need,) = report["needs"]
    assert need["volts"] == 5
    assert need["supply_a"] == pytest.approx(report["peak_a"] / 0.8)
    shown = run("power", house, scheme)
    assert shown.exit_code == 0
    words = " ".join(shown.stdout.split())
    assert "Nothing feeds this house" in words
    assert "nothing exceeds" not in words
    assert "from the wall" not in words
