"""Pieces of a report on the screen: numbers, bars, headings, findings, cautions.

Everything is readable without colour and at 80 columns; colour only repeats what words say.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from layouts.catalogue import limits
from layouts.finding import Finding, by_urgency

QUIET = "bright_black"
STYLE = {"danger": "bold red", "warning": "yellow", "note": "cyan"}


def number(value: float, digits: int = 3) -> str:
    """`value` with about `digits` significant digits, thousands spaced; never an exponent."""
    if value == 0:
        return "0"
    size = abs(value)
    whole = len(str(int(size))) if size >= 1 else 0
    decimals = max(digits - whole, 0) if size >= 0.01 else digits + 1
    return f"{value:,.{decimals}f}".replace(",", " ")


def count(value: int) -> str:
    """A whole number, thousands spaced."""
    return f"{value:,}".replace(",", " ")


def amps(value_a: float) -> str:
    """A current as a person reads it."""
    return f"{value_a * 1000:.0f} mA" if 0 < abs(value_a) < 0.1 else f"{number(value_a)} A"


def clock(time_s: float) -> str:
    """A time as `--at` takes it: 12.4s, 1m12s, 1h03m20s."""
    hours, rest = divmod(round(time_s * 1000), 3_600_000)
    minutes, milliseconds = divmod(rest, 60_000)
    seconds = f"{milliseconds / 1000:g}s"
    if not hours and not minutes:
        return seconds
    padded = f"0{seconds}" if milliseconds < 10_000 else seconds
    return f"{hours}h{minutes:02}m{padded}" if hours else f"{minutes}m{padded}"


def percent(share: float) -> str:
    """A share as whole percent."""
    return f"{share * 100:.0f} %"


def load_bar(share: float, full: float, width: int) -> Text:
    """A bar of `width` cells from 0 to `full` times the rating.

    The thin mark is the 80 % that a supply should carry for hours, the thick one its rating.
    """
    continuous = limits().supply_load
    style = "red" if share > 1 else "yellow" if share > continuous else "green"
    eighths = round(min(share / full, 1.0) * width * 8)
    filled = "█" * (eighths // 8) + ("", *"▏▎▍▌▋▊▉")[eighths % 8]
    bar = Text(filled.ljust(width, " "), style=style)
    for mark, at in (("┆", continuous), ("┃", 1.0)):
        cell = min(round(at / full * width), width) - 1
        bar = Text.assemble(bar[:cell], (mark, "bold"), bar[cell + 1 :])
    return bar


def heading(text: str) -> Text:
    """The name of a section, with air above."""
    return Text(f"\n{text}", style="bold")


def table(*columns: str) -> Table:
    """A table without boxes. Columns whose names start with `>` are set right.

    These, and columns whose names start with `|`, are never broken into lines.
    """
    made = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET)
    for name in columns:
        right = name.startswith(">")
        made.add_column(
            name.lstrip(">|"),
            justify="right" if right else "left",
            no_wrap=name.startswith((">", "|")),
            overflow="fold",
        )
    return made


def findings_block(findings: Iterable[Finding]) -> RenderableType:
    """The findings, dangers first: level, place and code, then what to do."""
    rows = by_urgency(tuple(findings))
    if not rows:
        return Text("nothing found", style="green")
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    from sim.report.wording import sentence  # TEMP

    for finding in rows:
        head = Text.assemble((finding.where, "bold"), (f"  {finding.code}", QUIET))
        grid.add_row(Text(finding.level, style=STYLE[finding.level]), head)
        grid.add_row("", Text(sentence(finding)))
    return grid


def cautions_block(cautions: Iterable[str]) -> RenderableType:
    """The cautions, small but always there."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for text in cautions:
        grid.add_row(Text("!", style="yellow"), Text(text, style=QUIET))
    return grid


def indent(*parts: RenderableType) -> RenderableType:
    """Parts of one section, set in by two cells."""
    return Padding(Group(*parts), (0, 0, 0, 2))
