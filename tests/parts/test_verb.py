"""`evenfall parts` from the user's side."""

import csv
import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sim.cli.main import app

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def call(folder):
    def call(*flags, house=folder / "house.yaml"):
        return CliRunner().invoke(app, [str(each) for each in ("parts", house, *flags)])

    return call


def test_the_screen(call):
    result = call()
    assert result.exit_code == 0
    for words in ("Shed", "reel of 5 m", "All of it: 278.26 EUR", "Cutting list", "∠45.0°"):
        assert words in result.stdout
    assert "4, and not one less would do" in result.stdout
    assert "licensed electrician" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_pure_json(call):
    data = json.loads(call("--json").stdout)
    assert (data["currency"], data["total"], data["unpriced"]) == ("EUR", 278.26, 0)
    assert set(data["lines"][0]) == {
        "item", "part", "quantity", "unit", "price_each", "price", "for",
    }  # fmt: skip
    assert sum(line["price"] for line in data["lines"]) == pytest.approx(data["total"])
    channel = next(cuts for cuts in data["cuts"] if cuts["item"] == "channel")
    assert channel["proven"] is True
    assert channel["bars"][0]["pieces"][0]["length_m"] == 2.0


def test_the_table(call, folder):
    result = call("--csv", folder / "list.csv", "--json")
    assert result.exit_code == 0
    rows = list(csv.DictReader(io.StringIO((folder / "list.csv").read_text("utf-8"))))
    lines = json.loads(result.stdout)["lines"]
    assert [row["part"] for row in rows] == [line["part"] for line in lines]
    assert sum(float(row["price"]) for row in rows) == pytest.approx(278.26)


def test_the_table_does_not_take_the_place_of_the_house(call, folder):
    result = call("--csv", folder / "house.yaml")
    assert result.exit_code == 2
    assert "end the name in .csv" in result.stderr
    assert (folder / "house.yaml").read_text().startswith("format: evenfall-house/1")


def test_without_prices_there_is_no_sum(call, folder):
    (folder / "parts.yaml").unlink()
    result = call()
    assert result.exit_code == 0
    assert "no parts file: usual quantities" in result.stdout
    data = json.loads(call("--json").stdout)
    assert (data["currency"], data["total"], data["priced_total"]) == (None, None, 0)
    lines = len(data["lines"])
    assert data["unpriced"] == lines
    assert f"No sum: {lines} of {lines} lines have no price" in result.stdout


def test_a_price_file_still_prices_the_pixels(call, folder):
    (folder / "parts.yaml").unlink()
    (folder / "prices.yaml").write_text(
        "format: evenfall-prices/1\ncurrency: CHF\nkinds: {ws2812b: {per_metre: 6}}\n"
    )
    data = json.loads(call("--json").stdout)
    strip = data["lines"][0]
    assert (data["currency"], strip["quantity"], strip["price"]) == ("CHF", 2, 60)
    assert (data["total"], data["priced_total"]) == (None, 60)


def test_another_parts_file(call, folder):
    (folder / "dear.yaml").write_text(
        (folder / "parts.yaml").read_text().replace("price: 30}", "price: 300}")
    )
    data = json.loads(call("--parts", folder / "dear.yaml", "--json").stdout)
    assert data["total"] == pytest.approx(278.26 + 2 * 270)


@pytest.mark.parametrize(
    ("flags", "words"),
    [
        (("--parts", "none.yaml"), "none.yaml:1:1: there is no such file; check the path"),
        (("--csv", "/proc/none/list.csv"), "/proc/none/list.csv: cannot be written"),
        (("--csv", "list.txt"), "list.txt: cannot write '.txt'; end the name in .csv"),
    ],
)
def test_refusals(call, flags, words):
    result = call(*flags)
    assert result.exit_code == 2
    assert words in result.stderr
    assert "Traceback" not in result.stderr


@pytest.mark.parametrize("name", ["cottage", "townhouse", "bungalow"])
def test_the_demo_houses(call, name):
    result = call("--json", house=DEMO / name / "house.yaml")
    assert result.exit_code == 0
    data = json.loads(result.stdout)
    assert all(cuts["proven"] for cuts in data["cuts"])
    assert (data["total"] is not None) == (name == "cottage")
