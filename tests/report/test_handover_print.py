"""The document on paper: as PDF, and as a browser prints the page."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from layouts import load_house
from sim.cli.main import app
from sim.parts import parts_beside
from sim.report.handover import handover_of
from sim.report.handover.facts import Subject
from sim.report.handover.page import handover_html
from sim.report.handover.pdf import can_pdf, pdf_of
from sim.report.handover.svg import width_of

DEMO = Path(__file__).resolve().parents[2] / "demo"
#: Points of 1/72 in, ISO 216 and ANSI/ASME Y14.1 (8.5 × 11 in).
SHEETS = {"a4": (595.3, 841.9), "letter": (612.0, 792.0)}


@pytest.fixture(scope="module")
def facts():
    house = load_house(DEMO / "townhouse" / "house.yaml")
    return handover_of(house, parts_beside(house), Subject(date(2026, 3, 1)))


@pytest.fixture(scope="module")
def pages(facts):
    """The page for each sheet, made once for both ways of printing it."""
    return {paper: handover_html(facts, paper) for paper in SHEETS}


def checked(reader: PdfReader, facts, sheet: tuple[float, float]) -> None:
    """Every page has that sheet, words and nothing outside; every wire, run and part is told."""
    told = []
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            sheet, abs=1.5
        )
        seen: list[tuple[str, float, float, float]] = []

        def note(text, cm, tm, font, size, seen=seen):
            if text.strip():
                x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
                y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
                seen.append((text, x, y, abs(size * tm[0] * cm[0])))

        told.append(page.extract_text(visitor_text=note))
        assert len(told[-1]) > 40, "a page with next to nothing on it"
        for text, x, y, size in seen:
            assert x >= 20, text
            assert 20 <= y <= sheet[1] - 20, text
            widest = max((width_of(line.strip(), size) for line in text.splitlines()), default=0)
            assert x + 0.85 * widest <= sheet[0] - 20, (text, x, widest)
    text = " ".join(" ".join(told).split())
    dense = text.replace(" ", "")
    assert len(re.findall(r"\([0-9.]+malong\)", dense)) >= sum(
        end.kind == "run" and 0 < end.pad <= facts.house.run(end.name).count
        for wire in facts.house.wires
        for end in (wire.start, wire.end)
    )
    dense = re.sub(r"\([0-9.]+malong\)", "", dense)
    for load in facts.wires:
        wire = load.wire
        assert (
            f"W{load.number}{wire.start.text}→{wire.end.text}{wire.size.name}".replace(" ", "")
            in dense
        ), load.number
        assert f"{load.peak_a:.2f} A" in text
    for run in facts.house.runs:
        assert run.name in text
    for line in facts.bill.lines:
        assert line.part.replace(" ", "") in dense
    for row in facts.files:
        assert row.sha256 in dense


def needs_pdf() -> None:
    """WeasyPrint finds Pango when it is imported, and raises OSError where there is none."""
    if can_pdf():
        return
    if os.environ.get("CI"):
        pytest.fail("CI needs WeasyPrint and Pango")
    pytest.skip("WeasyPrint or its library Pango is not here")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_pdf_tells_every_wire(facts, pages, paper):
    needs_pdf()
    data = pdf_of(pages[paper])
    reader = PdfReader(BytesIO(data))
    checked(reader, facts, SHEETS[paper])
    assert 8 <= len(reader.pages) <= 20
    assert len(data) < 6e6
    assert reader.metadata.title == "Town house: handover"


def test_the_command_writes_a_pdf(tmp_path):
    needs_pdf()
    out = tmp_path / "unwired.pdf"
    call = ["handover", str(DEMO / "unwired" / "house.yaml"), "--out", str(out)]
    done = CliRunner().invoke(app, call)
    assert done.exit_code == 0, done.output
    reader = PdfReader(out)
    assert "names no supply and no wire" in " ".join(
        " ".join(page.extract_text() for page in reader.pages).split()
    )
    assert float(reader.pages[0].mediabox.width) == pytest.approx(595.3, abs=1.5)


def browser() -> str:
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get("CI"):
            pytest.fail("CI needs chromium")
        pytest.skip("chromium is not there")
    return found


@pytest.mark.outside
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_browser_prints_it_without_cuts(facts, pages, paper, tmp_path):
    page, out = tmp_path / "house.html", tmp_path / "house.pdf"
    page.write_text(pages[paper], "utf-8")
    subprocess.run(
        [browser(), "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={out}", page.as_uri()],
        check=True, capture_output=True, timeout=580,
    )  # fmt: skip
    reader = PdfReader(out)
    checked(reader, facts, SHEETS[paper])
    assert 8 <= len(reader.pages) <= 20
