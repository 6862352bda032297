"""The document as one HTML page, complete in itself: no script, nothing fetched."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from hashlib import sha256
from importlib import resources
from typing import Any

from markupsafe import Markup

from sim.report import theme
from sim.report.handover.autumn import autumn_chapter
from sim.report.handover.building import (
    cautions_chapter,
    data_chapter,
    elevation_chapter,
    wiring_chapter,
)
from sim.report.handover.checking import commissioning_chapter, faults_chapter
from sim.report.handover.clean import clean
from sim.report.handover.cover import glance, night_pictures
from sim.report.handover.doc import Chapter, numbered
from sim.report.handover.facts import Handover
from sim.report.handover.owning import (
    files_chapter,
    parts_chapter,
    season_chapter,
    sources_chapter,
)
from sim.report.handover.repaired import repaired_chapters
from sim.report.handover.svg import INKS, SUPPLIES

#: A word of more letters than this may be broken anywhere in a table.
_LONG = 24

#: Sides of paper by name, as CSS has them.
PAPERS = {"a4": "A4", "letter": "Letter"}

Progress = Callable[[float, float], None]


def chapters_of(facts: Handover) -> tuple[Chapter, ...]:
    """The whole document but its cover, numbered."""
    return numbered(
        [
            cautions_chapter(facts),
            elevation_chapter(facts),
            wiring_chapter(facts),
            data_chapter(facts),
            parts_chapter(facts),
            season_chapter(facts),
            *repaired_chapters(facts),
            commissioning_chapter(facts),
            autumn_chapter(facts),
            faults_chapter(facts),
            sources_chapter(facts),
            files_chapter(facts),
        ]
    )


def handover_html(facts: Handover, paper: str = "", progress: Progress | None = None) -> str:
    """The page; `paper` "a4" or "letter" fixes the sheet it prints on, "" leaves it to the printer.

    `progress(done, total)` counts pictures.
    """
    style = _template("handover.css").render(
        light=theme.LIGHT,
        dark=theme.DARK,
        inks=_inks(),
        supplies=SUPPLIES,
        paper=PAPERS.get(paper, ""),
        house=_quoted(facts.house.name),
    )
    policy = b64encode(sha256(style.encode()).digest()).decode()
    text: str = _template("handover.html.j2").render(
        facts=facts,
        pictures=night_pictures(facts, progress),
        glance=glance(facts),
        chapters=chapters_of(facts),
        style=Markup(style),
        policy=policy,
        kind=lambda part: type(part).__name__,
        long=lambda cell: any(len(word) > _LONG for word in cell.split()),
    )
    return text


def _inks() -> dict[str, tuple[str, str]]:
    """Class of a colour of drawings -> the name of that colour in the style sheet."""
    names = {
        "ink": "text",
        "soft": "quiet",
        "hair": "line",
        "ground": "sky",
        "tint": "deep",
        "shade": "wall",
        "gold": "warm",
    }
    return {key: (names[key], colour) for key, colour in INKS.items() if key in names}


def _quoted(name: str) -> str:
    """A name as a string of CSS: anything but letters and digits by its number."""
    plain = "".join(c if c.isalnum() or c == " " else f"\\{ord(c):x} " for c in clean(name))
    return f'"{plain}"'


def _template(name: str) -> Any:
    from jinja2 import Environment, StrictUndefined

    def shown(value: Any) -> Any:
        return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value

    environment = Environment(
        autoescape=not name.endswith(".css"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=shown if not name.endswith(".css") else None,
    )
    source = resources.files("sim.report.handover").joinpath(name).read_text("utf-8")
    return environment.from_string(source)
