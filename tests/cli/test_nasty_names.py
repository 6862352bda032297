"""Names and notes that mean something to a terminal, a page, a calendar or a table program are
words everywhere: each way out is read back by a reader of its form."""

import csv
import io
import json
import re
from datetime import datetime
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from sim.app.state.sharing import safe
from sim.app.view.plain import printable
from sim.report.blocks import Span
from sim.report.csv_cells import csv_line
from sim.report.season_ics import _text

#: HTML, quotes, separators of calendars and tables, a command of a table program, a folder above.
NASTY = """=1+1<script>alert(1)</script>"'&,;=cmd|' /C x'!A0 ../../x {{7*7}} ]]>"""
#: What a file cannot hold, but a house made in code.
COMMANDS = "a\x1b]0;x\x07\x9b2J\u202eb"
FORGED = "house.yaml:1:1: all is well"
QUOTED = "'" + NASTY.replace("'", "''") + "'"


@pytest.fixture
def files(house, scheme):
    """The folder of a house, scheme, season, parts and sightings with such names and notes."""
    text = house.read_text(encoding="utf-8").replace("name: Test house", f"name: {QUOTED}")
    outputs = "outputs:\n  - {name: A, chain: [eave], universe: 1}\n"
    house.write_text(text.replace("name: wall", f"name: {QUOTED}") + outputs, encoding="utf-8")
    said = scheme.read_text(encoding="utf-8").replace("name: Test scheme", f"name: {QUOTED}")
    scheme.write_text(said, encoding="utf-8")
    note = f"note: |\n  {NASTY}\n  {FORGED}\n  BEGIN:VEVENT\n"
    others = {
        "a.season.yaml": "format: evenfall-season/1\notherwise: test.scheme.yaml\nlocation:"
        " {latitude: 44.9, longitude: -93.2, timezone: America/Chicago, country: US}\nnights: []\n",
        "parts.yaml": f"format: evenfall-parts/1\ncurrency: EUR\nnote: {QUOTED}\nsupplies:\n"
        f"  - {{part: {QUOTED}, volts: 5, amps: 12, price: 9}}\n",
        "seen.yaml": f"format: evenfall-sightings/1\n{note}seen:\n  - {{dark: 'eave[3:120]'}}\n",
        "faults.yaml": f"format: evenfall-faults/1\n{note}faults:\n  - {{dead: 'eave[3]'}}\n",
        "priors.yaml": f"format: evenfall-priors/1\n{note.replace('note', 'source')}",
    }
    for name, content in others.items():
        (house.parent / name).write_text(content, encoding="utf-8")
    return house.parent


@pytest.fixture
def told(run, files):
    """told(words) -> what a verb says; names of files stand for those in the folder."""

    def called(words):
        result = run(*(files / w if re.search(r"\.\w+$", w) else w for w in words.split()))
        assert result.exit_code in (0, 1), result.stderr
        return result.stdout

    return called


SCREENS = {
    "check": "check house.yaml test.scheme.yaml --seconds 1",
    "power": "power house.yaml test.scheme.yaml --seconds 1",
    "parts": "parts house.yaml",
    "patch": "patch house.yaml",
    "season": "season house.yaml a.season.yaml --year 2026",
    "fault": "fault house.yaml test.scheme.yaml faults.yaml",
    "diagnose": "diagnose house.yaml seen.yaml --priors priors.yaml",
}


@pytest.mark.parametrize("verb", SCREENS)
def test_screen_and_json(told, verb):
    screen = told(SCREENS[verb])
    assert all(one.isprintable() or one == "\n" for one in screen)
    for line in screen.splitlines():
        assert not line.strip().startswith((FORGED, "BEGIN:"))
    assert "=1+1<script>" in " ".join(screen.split())
    data = json.loads(told(f"{SCREENS[verb]} --json"))
    assert NASTY in json.dumps(data, ensure_ascii=False).replace('\\"', '"')


@pytest.mark.parametrize(
    "words",
    [
        "parts house.yaml --csv out.csv",
        "patch house.yaml --csv out.csv",
        "power house.yaml test.scheme.yaml --seconds 1 --csv out.csv",
    ],
)
def test_tables(told, files, words):
    told(words)
    rows = list(csv.reader(io.StringIO((files / "out.csv").read_text(encoding="utf-8"))))
    assert len({len(row) for row in rows}) == 1
    for cell in (cell for row in rows for cell in row):
        assert cell.isprintable()
        number = re.fullmatch(r"-?[\d.e+-]+", cell)
        assert number or not cell.lstrip().startswith(("=", "+", "-", "@"))


def test_a_cell_of_any_text():
    # a quoted cell may hold lines (RFC 4180, 2.6); ours hold none
    for text in (NASTY, COMMANDS, "\t=1", "\r\n@SUM(A1)", f"a\n{FORGED}"):
        (row,) = csv.reader(io.StringIO(csv_line([text, 1.5])))
        assert len(row) == 2
        assert row[0].isprintable()
        assert not row[0].lstrip().startswith(("=", "@"))


class Page(HTMLParser):
    """Tags with their attributes, and all words."""

    def __init__(self):
        super().__init__()
        self.tags, self.words = [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words.append(data)


@pytest.mark.parametrize(
    "words",
    [
        "season house.yaml a.season.yaml --year 2026 --out out.html",
        "handover house.yaml test.scheme.yaml --seconds 1 --out out.html",
    ],
)
def test_pages_and_their_drawings(told, files, words):
    told(words)
    text = (files / "out.html").read_text(encoding="utf-8")
    page = Page()
    page.feed(text)
    for tag, attributes in page.tags:
        assert tag not in ("script", "iframe", "object", "link", "base")
        assert not any(name.startswith("on") for name in attributes)
    assert NASTY in "".join(page.words)
    drawings = re.findall(r"<svg.*?</svg>", text, re.DOTALL)
    for drawing in drawings:
        ElementTree.fromstring(drawing)
    assert drawings or "handover" not in words


def test_a_calendar(told, files):
    told("season house.yaml a.season.yaml --year 2026 --out out.ics")
    raw = (files / "out.ics").read_bytes().decode()
    assert raw.endswith("\r\n")
    # RFC 5545, 3.1: a line goes on where the next begins with a space; a content line is a name,
    # a colon and a value without control characters
    lines = raw.replace("\r\n ", "").split("\r\n")[:-1]
    for line in lines:
        assert re.fullmatch(r"[A-Z-]+:[^\x00-\x08\x0a-\x1f\x7f]*", line), line
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == 365
    summary = next(line for line in lines if line.startswith("SUMMARY:"))
    # 3.3.11: a backslash before \ ; , or n
    plain = re.sub(r"\\([\\;,])", r"\1", summary.removeprefix("SUMMARY:"))
    assert plain == NASTY
    for line in lines:
        if line.startswith("DTSTART:"):
            datetime.strptime(line[8:], "%Y%m%dT%H%M%SZ")


def test_what_no_file_holds_is_harmless_too():
    """Of a house made in code: control characters and those that turn writing."""
    assert Span(COMMANDS).text.isprintable()
    assert printable(COMMANDS).isprintable()  # the title of the window
    assert _text(f"{COMMANDS}\r\nEND:VEVENT").replace("\\n", "").isprintable()
    for name in (NASTY, COMMANDS, "../..", "con", "a" * 400):
        part = safe(name)
        assert re.fullmatch(r"[\w-]*", part)
        assert len(part) <= 41


def test_a_part_has_a_name_of_one_line(run, files):
    parts = files / "parts.yaml"
    parts.write_text(
        "format: evenfall-parts/1\ncurrency: EUR\nsupplies:\n"
        f'  - {{part: "a\\n{FORGED}", volts: 5, amps: 12, price: 9}}\n',
        encoding="utf-8",
    )
    result = run("parts", files / "house.yaml")
    assert result.exit_code == 2
    assert result.stderr.startswith(f"{parts}:4:12: ")
    assert "in one line" in result.stderr
