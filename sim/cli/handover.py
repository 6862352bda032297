"""`evenfall handover HOUSE [SEASON | SCHEME…]`: the one document to give away."""

from __future__ import annotations

from datetime import date as Date
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    HouseArgument,
    JsonFlag,
    PartsOption,
    announce_compiling,
    fail,
    parse_span_s,
    print_json,
    progress,
    read_beside,
    say,
    will_write,
    write_out,
)

if TYPE_CHECKING:
    from layouts.records import House
    from sim.report.handover.facts import Subject

_FORMS = (".html", ".pdf")


class PrintSheet(StrEnum):
    """The sheet it is printed on."""

    a4 = "A4"
    letter = "Letter"


def parse_date(text: str | Date) -> Date:
    """`2026-11-25` -> that day."""
    if isinstance(text, Date):
        return text
    try:
        return Date.fromisoformat(text.strip())
    except ValueError:
        raise typer.BadParameter(f"'{text}' is no date; write 2026-11-25") from None


def handover(
    house: HouseArgument,
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE...", help="A season file, or scheme files."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where to: .html or .pdf.")
    ] = None,
    parts: PartsOption = None,
    paper: Annotated[
        PrintSheet | None,
        typer.Option(
            "--paper",
            case_sensitive=False,
            help="Left out: .html leaves it to the printer, .pdf takes what the country uses.",
        ),
    ] = None,
    date: Annotated[
        Date | None,
        typer.Option(
            "--date", parser=parse_date, metavar="YYYY-MM-DD", help="On it; left out: today."
        ),
    ] = None,
    seconds: Annotated[
        float | None,
        typer.Option(
            "--seconds",
            parser=parse_span_s,
            metavar="TIME",
            help="How long schemes are watched. Left out: one period, or 30s of one without end.",
        ),
    ] = None,
    json: JsonFlag = False,
) -> None:
    """One document to build, buy and repair by, with a check for every autumn."""
    named = files or []
    if out is None and not json:
        fail("evenfall handover: nothing to write to; name a file with --out, .html or .pdf")
    will_write(out, endings=_FORMS, inputs=(house, parts, *named))
    if out is not None and out.suffix.lower() == ".pdf":
        from sim.report.handover.pdf import NEEDED, can_pdf

        if not can_pdf():
            fail(f"{out}: {NEEDED}")
    announce_compiling()
    from layouts import load_house
    from sim.cli.parts import parts_for
    from sim.report.handover.facts import handover_of

    built = load_house(house)
    will_write(out, endings=_FORMS, inputs=read_beside(built))
    asked = _asked(built, named, Date.today() if date is None else date, seconds)
    bought = parts_for(built, parts)
    with progress("gathering the handover") as told:
        facts = handover_of(built, bought, asked, told)
    if out is not None:
        from sim.report.handover.page import handover_html

        pdf = out.suffix.lower() == ".pdf"
        with progress("drawing the pages") as told:
            html = handover_html(
                facts,
                _paper(built, paper, pdf),
                lambda done, of: told(done, of + 2 if pdf else of),
            )
            if pdf:
                from sim.report.handover.pdf import pdf_of

                data = pdf_of(html)
            else:
                data = html.encode()
        write_out(out, data)
        say(f"wrote {out}")
    if json:
        from sim.report.handover.data import as_json

        print_json(as_json(facts))


def _asked(house: House, named: list[Path], date: Date, seconds: float | None) -> Subject:
    """The files named, told apart by the format they state: one season, or schemes."""
    from effects import load_scheme
    from sim.report.handover.facts import Subject
    from sim.season import load_season

    seasons = [path for path in named if _is_season(path)]
    if len(seasons) > 1 or (seasons and len(named) > 1):
        fail("evenfall handover: give one season, which names its schemes, or schemes")
    if seasons:
        return Subject(date, (), load_season(seasons[0], house, year=date.year), seconds)
    schemes = tuple(load_scheme(path, house) for path in dict.fromkeys(named))
    return Subject(date, schemes, None, seconds)


def _is_season(path: Path) -> bool:
    from layouts.files.document import read

    data = read(path).data
    return isinstance(data, dict) and str(data.get("format", "")).startswith("evenfall-season/")


def _paper(house: House, paper: PrintSheet | None, pdf: bool) -> str:
    """The sheet: as asked; for a PDF Letter where it is usual, else A4."""
    if paper is not None:
        return paper.name
    if not pdf:
        return ""
    country = house.location.country[:2].upper() if house.location else ""
    return "letter" if country in ("US", "CA", "MX") else "a4"
