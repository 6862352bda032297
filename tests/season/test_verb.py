"""`evenfall season` from the user's side."""

import json

import icalendar
import pytest
from typer.testing import CliRunner

from sim.cli.main import app

SEASON = """\
tariff: {per_kwh: 0.2, currency: USD}
evening: {on: dusk, off: "23:00"}
otherwise: warm.scheme.yaml
nights:
  - {when: Halloween, scheme: spooky.scheme.yaml, before: 2}
  - {when: 12-20..01-06, scheme: frost.scheme.yaml}
"""


@pytest.fixture
def call(folder, write):
    path = write(SEASON)

    def call(*flags, season=path):
        arguments = ["season", folder / "house.yaml", season, *flags]
        return CliRunner().invoke(app, [str(argument) for argument in arguments])

    return call


def test_the_screen(call):
    result = call("--year", "2026")
    assert result.exit_code == 0
    for words in ("Shed, 2026", "December", "29–31 Oct", "Halloween", "Spooky", "USD", "2026"):
        assert words in result.stdout
    assert "licensed electrician" in result.stdout
    assert "relay" in result.stdout


def test_pure_json(call):
    result = call("--year", "2026", "--json")
    data = json.loads(result.stdout)
    assert len(data["evenings"]) == 365
    # 300 pixels of 12 V at 2.1 mA behind 87 % (WS2815 V1.1): 12·300·2.1 mA / 0.87 = 8.69 W.
    assert data["idle"]["wall_w"] == pytest.approx(8.69, abs=0.02)
    assert data["total"]["cost"] == pytest.approx(0.2 * data["total"]["kwh"])


def test_calendars(call, folder):
    for name in ("year.html", "year.ics"):
        result = call("--year", "2026", "--out", folder / name)
        assert (result.exit_code, result.stdout) == (0, "")
        assert f"wrote {folder / name}" in result.stderr.splitlines()
    assert len(icalendar.Calendar.from_ical((folder / "year.ics").read_bytes()).events) == 365
    text = (folder / "year.html").read_text("utf-8")
    assert "<title>Shed, 2026</title>" in text
    assert "licensed electrician" in text


def test_without_a_year_it_is_this_year(call):
    from datetime import date

    before, told = date.today().year, json.loads(call("--json").stdout)["year"]
    assert before <= told <= date.today().year  # on New Year's Eve it may be either


@pytest.mark.parametrize(
    ("flags", "words"),
    [
        (("--year", "1850"), "--year: the year 1850 is outside 1900 to 2200; name another"),
        (("--year", "soon"), "invalid value for '--year'"),
        (("--out", "year.pdf"), "year.pdf: cannot write '.pdf'; end the name in .html or .ics"),
        (("--year", "2026", "--out", "/proc/none/year.ics"), "/proc/none/year.ics: cannot be"),
    ],
)
def test_refusals(call, flags, words):
    result = call(*flags)
    assert result.exit_code == 2
    assert words in result.stderr
    assert "Traceback" not in result.stderr


def test_a_wrong_file(call, write):
    path = write("nights: [{when: Haloween, scheme: spoky.scheme.yaml}]\n")
    result = call("--year", "2026", season=path)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.splitlines() == [
        f"{path}:2:17: no holiday 'Haloween' is known for 2026; did you mean 'Halloween'?",
        f"{path}:2:35: no scheme file 'spoky.scheme.yaml'; did you mean 'spooky.scheme.yaml'?",
    ]


def test_a_missing_file(call, folder):
    result = call(season=folder / "none.yaml")
    assert result.exit_code == 2
    assert (
        result.stderr.strip()
        == f"{folder / 'none.yaml'}:1:1: there is no such file; check the path"
    )


# 300 pixels of 12 V at 2.1 mA and 15 mA (WS2815 V1.1 data sheet) in full white ask 5.13 A.
def small_supply(folder):
    house = folder / "house.yaml"
    text = house.read_text().replace("amps: 10", "amps: 1").replace("fuse: 10", "fuse: 2")
    house.write_text(text)
    (folder / "warm.scheme.yaml").write_text(
        "format: evenfall-scheme/1\nname: Warm\ncolour: raw\n"
        'layers: [{effect: steady, palette: "#ffffff"}]\n'
    )


def test_a_scheme_that_overloads_the_house_is_a_danger(call, folder):
    small_supply(folder)
    result = call("--year", "2026", "--json")
    assert result.exit_code == 1
    dangers = [f for f in json.loads(result.stdout)["findings"] if f["level"] == "danger"]
    told = {(d["code"], d["where"]): d["text"] for d in dangers}
    # 365 evenings less Halloween with two before it and 18 of the span.
    assert told["supply-overload", "warm.scheme.yaml: box"].startswith("on 344 evenings: ")
    assert told["fuse-overload", "warm.scheme.yaml: box → eave.start"].startswith("on 344 evenings")
    assert told["supply-overload", "spooky.scheme.yaml: box"].startswith("on 3 evenings: ")


def test_dangers_stand_on_the_screen_and_on_the_page(call, folder):
    small_supply(folder)
    screen = call("--year", "2026")
    assert screen.exit_code == 1
    assert "warm.scheme.yaml: box" in screen.stdout
    assert "supply-overload" in screen.stdout
    page = call("--year", "2026", "--out", folder / "year.html")
    assert page.exit_code == 1
    assert page.stdout == ""
    assert f"wrote {folder / 'year.html'}" in page.stderr
    assert "supply-overload" in page.stderr
    text = (folder / "year.html").read_text("utf-8")
    assert "warm.scheme.yaml: box" in text
    assert "supply-overload" in text


def test_a_danger_of_a_scheme_that_never_shines_is_left_out(call, folder, write):
    small_supply(folder)
    path = write(
        "otherwise: frost.scheme.yaml\nnights: [{when: 2025-07-04, scheme: warm.scheme.yaml}]\n"
    )
    result = call("--year", "2026", "--json", season=path)
    assert "warm.scheme.yaml" not in str(json.loads(result.stdout)["findings"])


def test_a_danger_of_the_house_itself(call, folder):
    house = folder / "house.yaml"
    house.write_text(house.read_text().replace("volts: 12", "volts: 24"))
    result = call("--year", "2026", "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["findings"][0]["code"] == "supply-voltage"
