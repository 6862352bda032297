"""Blocks as an HTML page: complete in itself, escaped, the same words as on the terminal."""

import io
import re
from html.parser import HTMLParser

import pytest
from rich.console import Console

from layouts.finding import Finding
from sim.report import theme
from sim.report.blocks import (
    Cautions,
    Column,
    Drawn,
    Findings,
    Gap,
    Length,
    Listed,
    Meter,
    PictureBlock,
    Table,
    Title,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from sim.report.page import page
from sim.report.terminal import print_blocks

EVIL = "<script>alert('x')</script> & \"quoted\""
BLOCKS = (
    Title(spans((f"Shed {EVIL}", "strong"), "\nsecond line")),
    Gap(),
    section(
        "Loads",
        Table(
            (*columns("name", ">value", "|bar"), Column("only wide", when="wide"),
             Column("only narrow", when="narrow")),
            (
                row("loft", ("7.0 A", "bad"), Meter(1.2, 1.2), "in the wide", "in the narrow"),
                row("porch", "1.0 A", Meter(0.5, 1.2), "w", "n"),
                row("year", "", Length(0.5, 0.25), "w", "n", look="strong"),
            ),
        ),
        note("said in the background"),
        words("plain, ", ("good", "good")),
    ),
    section("Found", Findings((Finding("warning", "made-up", "eave", EVIL),)), inset=False),
    section("Nothing", Findings(())),
    section("List", Listed((spans("one "), spans(("two", "quiet"))))),
    PictureBlock(b"not really a picture", "a picture of nothing"),
    Drawn(lambda width: f"drawn {width} wide", "<svg></svg>"),
    section("Cautions", Cautions(("Mind the ladder.",))),
)  # fmt: skip


class Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.text, self.open, self.tags, self.quiet = "", [], [], False

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br", "img"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag
        self.text += " "

    def handle_data(self, data):
        if self.open and self.open[-1] != "style":
            self.text += data


@pytest.fixture(scope="module")
def raw():
    return page(BLOCKS).decode()


@pytest.fixture(scope="module")
def read(raw):
    reader = Reader()
    reader.feed(raw)
    return reader


def test_every_element_is_closed(read):
    assert read.open == []


def test_nothing_is_obeyed_and_nothing_fetched(raw, read):
    assert EVIL in read.text
    assert "script" not in {tag for tag, _ in read.tags}
    for outside in ("http://", "https://", "@import", "<link", "url("):
        assert outside not in raw


def test_it_says_what_the_terminal_says(read):
    console = Console(file=io.StringIO(), width=200, markup=False, highlight=False)
    print_blocks(console, BLOCKS)
    on_screen = re.findall(r"\w{2,}", console.file.getvalue().replace("drawn 200 wide", ""))
    assert set(on_screen) - set(re.findall(r"\w{2,}", read.text)) <= {"picture"}
    assert "in the narrow" not in read.text
    assert "in the wide" in read.text


def test_light_dark_and_paper(raw):
    """Both sets of colours name the same things; paper is light whatever the reader likes."""
    assert theme.LIGHT.keys() == theme.DARK.keys()
    dark, paper = raw.index("prefers-color-scheme: dark"), raw.index("@media print { :root")
    assert dark < paper
    for media in (dark, paper):
        assert "--sky" in raw[media : media + 200]


def luminance(colour):
    """WCAG 2.2, relative luminance of an sRGB colour."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("colours", [theme.LIGHT, theme.DARK], ids=["light", "dark"])
@pytest.mark.parametrize("words", ["text", "quiet", "warm", "alarm", "good"])
def test_words_stand_out_from_the_page(colours, words):
    # WCAG 2.2, 1.4.3 (level AA): contrast of at least 4.5 : 1
    lighter, darker = sorted((luminance(colours[words]), luminance(colours["sky"])), reverse=True)
    assert (lighter + 0.05) / (darker + 0.05) >= 4.5
