"""The document as a page: sound HTML that fetches nothing, whatever names a house has."""

from __future__ import annotations

import re
from base64 import b64encode
from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path

import html5lib
import pytest
from typer.testing import CliRunner

from effects import load_scheme
from layouts import house_from, load_house
from sim.cli.main import app
from sim.parts import builtin_parts, parts_beside
from sim.report.handover import handover_of
from sim.report.handover.clean import clean
from sim.report.handover.facts import Subject
from sim.report.handover.page import handover_html

DEMO = Path(__file__).resolve().parents[2] / "demo"
DAY = date(2026, 3, 1)
EVIL = "<script>alert('x')</script> & \"q\" \x01\x1b[31m \u202egnp.exe ]]> --> </svg>{{7*7}}"


def made(house, **asked) -> str:
    parts = parts_beside(house) if house.file else builtin_parts()
    return handover_html(handover_of(house, parts, Subject(DAY, **asked)))


def parsed(html: str):
    """The page as a tree; ParseError where it is not sound."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    return parser.parse(html)


@pytest.fixture(scope="module", params=("bungalow", "cottage", "townhouse", "unwired"))
def page(request) -> str:
    return made(load_house(DEMO / request.param / "house.yaml"))


def test_it_is_sound_html(page):
    tree = parsed(page)
    assert tree.find("head/title").text
    for table in tree.iter("table"):
        assert table.find("caption") is not None
        assert all(cell.get("scope") == "col" for cell in table.find("thead/tr"))
        assert all(row[0].get("scope") == "row" for row in table.find("tbody"))
    assert all(image.get("alt") for image in tree.iter("img"))
    drawings = [each for each in tree.iter() if str(each.tag).endswith("svg")]
    assert all(each.get("role") == "img" and each.get("aria-label") for each in drawings)
    ids = [each.get("id") for each in tree.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    assert {link.get("href")[1:] for link in tree.iter("a")} <= set(ids)


def test_tables_and_figures_are_numbered_in_order(page):
    tree = parsed(page)
    for name, tag in (("Table", "caption"), ("Figure", "figcaption")):
        titles = ["".join(each.itertext()) for each in tree.iter(tag)]
        numbers = [int(found[1]) for t in titles if (found := re.match(rf"{name} (\d+)", t))]
        assert numbers == list(range(1, len(numbers) + 1))
        assert numbers


def test_it_fetches_nothing_and_runs_nothing(page):
    tree = parsed(page)
    for each in tree.iter():
        assert each.tag not in ("script", "link", "iframe", "object", "form", "base")
        for name, value in each.items():
            assert name != "style", "a style attribute needs what the page's policy refuses"
            assert not str(name).startswith("on")
            if name in ("src", "href"):
                assert value.startswith(("data:image/", "#"))
    assert "url(" not in page
    assert "@import" not in page
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    policy = next(m.get("content") for m in tree.iter("meta") if m.get("http-equiv"))
    hashed = b64encode(sha256(style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; img-src data:; style-src 'sha256-{hashed}'"
    assert "prefers-color-scheme: dark" in style
    assert len(page) < 6e6


def test_the_same_files_give_the_same_page():
    house = load_house(DEMO / "bungalow" / "house.yaml")
    assert made(house) == made(load_house(DEMO / "bungalow" / "house.yaml"))


def evil_house(name: str):
    """A house in feet with a name that no file need refuse."""
    return house_from({
        "format": "evenfall-house/1",
        "name": name,
        "units": "ft",
        "drawing": {"size": ["20 ft", "12 ft"], "surfaces": []},
        "runs": [
            {"name": "eave", "pixels": "ws2815", "path": [[1, 9], [12, 9]], "aim": "down",
             "standoff": 1},
        ],
        "supplies": [{"name": "box", "volts": 12, "amps": 15, "efficiency": 0.85,
                      "no_load_w": 0.5, "source_ohm": 0.02, "at": [2, 3]}],
        "outputs": [{"name": "A", "chain": ["eave"], "universe": 1}],
        "wires": [
            {"from": "box", "to": "joint", "wire": "14 AWG", "length": "7 ft 6 in", "fuse": 5},
            {"from": "joint", "to": "eave.start", "wire": "14 AWG", "length": 1},
        ],
    })  # fmt: skip


def test_names_with_markup_are_words(tmp_path):
    house = evil_house(EVIL)
    path = tmp_path / "evil.scheme.yaml"
    layer = '{zones: [all], effect: steady, palette: ["#ff8000"]}'
    path.write_text(f"format: evenfall-scheme/1\nname: evil\nlayers:\n  - {layer}\n", "utf-8")
    scheme = replace(load_scheme(path, house), name=EVIL)  # a file cannot hold such a name
    parts = replace(builtin_parts(), note=EVIL, currency=EVIL)
    page = handover_html(handover_of(house, parts, Subject(DAY, (scheme,))))
    tree = parsed(page)
    assert not list(tree.iter("script"))
    text = "".join(tree.itertext())
    assert text.count("<script>alert('x')</script>") > 4
    assert "{{7*7}}" in text
    for bad in ("\x01", "\x1b", "\u202e"):
        assert bad not in page
    assert "\u2401" in text  # the picture of the character


def test_the_page_of_an_imperial_house_is_in_feet():
    tree = parsed(made(evil_house("Barn")))
    for table in tree.iter("table"):
        title = "".join(table.find("caption").itertext())
        if any(word in title for word in ("Runs", "Every wire", "strip: ")):
            cells = ["".join(cell.itertext()) for row in table.iter("tr") for cell in row]
            assert any(re.search(r"\d (ft|in)", cell) for cell in cells), title
            metric = [cell for cell in cells if re.search(r"\d m\b", cell)]
            # A reel is told as it is sold: one of 5 m holds the 11 ft of strip.
            assert metric == (["5 m"] if "strip: " in title else []), title
    assert "7 ft 6 in" in "".join(tree.itertext())  # as the house file has it


def test_a_very_long_name_breaks_nothing():
    parsed(made(evil_house("W" * 300)))


def test_unwired_says_what_is_missing():
    page = made(load_house(DEMO / "unwired" / "house.yaml"))
    assert page.count("names no supply and no wire") >= 3


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain – name", "plain – name"),
        ("a\x00b", "a\u2400b"),
        ("a\x7fb", "a\u2421b"),
        ("a\tb\nc", "a b c"),
        ("a\x85b\ud800c\ufffe", "a\ufffdb\ufffdc\ufffd"),
        ("\u202eabc", "\ufffdabc"),
    ],
)
def test_clean(text, shown):
    assert clean(text) == shown


def refused(*arguments) -> str:
    done = CliRunner().invoke(app, ["handover", *(str(argument) for argument in arguments)])
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    return done.output


def test_refusals(tmp_path):
    house = DEMO / "cottage" / "house.yaml"
    season = DEMO / "cottage" / "year.season.yaml"
    scheme = DEMO / "cottage" / "evening.scheme.yaml"
    assert "--out" in refused(house)
    assert "end the name in .html or .pdf" in refused(house, "--out", tmp_path / "a.txt")
    assert "one season" in refused(house, season, scheme, "--out", tmp_path / "a.html")
    assert "2026-11-25" in refused(house, "--date", "soon", "--out", tmp_path / "a.html")
    assert "no location" in refused(
        DEMO / "unwired" / "house.yaml", season, "--out", tmp_path / "a.html"
    )
    assert not list(tmp_path.iterdir())


def test_without_weasyprint_it_says_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setattr("sim.report.handover.pdf.find_spec", lambda name: None)
    said = refused(DEMO / "cottage" / "house.yaml", "--out", tmp_path / "a.pdf")
    assert ".venv/bin/pip install '.[pdf]'" in said
    assert "libpango-1.0-0" in said
