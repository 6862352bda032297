"""Blocks as one HTML page, complete in itself: light or dark as the reader likes, and on paper."""

from __future__ import annotations

from base64 import b64encode
from html import escape
from importlib import resources
from typing import Any

from layouts.catalogue import limits
from layouts.finding import by_urgency
from sim.report import theme
from sim.report.blocks import Block, Blocks, Title
from sim.report.wording import sentence


def page(blocks: Blocks, *, title: str = "", css: str = "") -> bytes:
    """The page, by default called like its first title.

    `css` is added to its style sheet, for drawings of a report's own.
    Whatever a file or a user wrote is escaped; nothing is fetched from elsewhere.
    """
    listed = tuple(blocks)
    titles = [block for block in listed if isinstance(block, Title)]
    name = "".join(span.text for span in titles[0].words) if titles else "Evenfall"
    text = template("page.html.j2").render(
        title=title or " ".join(name.split()),
        blocks=listed,
        css=css,
        theme=theme,
        kind=_kind,
        sentence=sentence,
        by_urgency=by_urgency,
        base64=lambda data: b64encode(data).decode(),
        lasting=limits().supply_load,
    )
    return text.encode()


def framed(blocks: Blocks) -> str:
    """The page in a frame of its own, for notebooks: its style sheet touches nothing around it."""
    inner = escape(page(blocks).decode(), quote=True)
    return f'<iframe srcdoc="{inner}" style="width:100%;height:42em;border:0"></iframe>'


def template(name: str) -> Any:
    """A template of this folder, escaping what it is given."""
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    source = resources.files("sim.report").joinpath(name).read_text("utf-8")
    return environment.from_string(source)


def _kind(block: Block | object) -> str:
    return type(block).__name__
