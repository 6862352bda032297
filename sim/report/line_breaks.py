"""Where a line of words may end: never within a figure, never between it and its unit.

Names may be broken after a hyphen between letters, two on each side: `roof-` `space`, not `J-trim`.
"""

from __future__ import annotations

import re

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderResult
from rich.measure import Measurement
from rich.text import Text

#: Stands for a space at which no line ends while words are set; no text of a report has it, for
#: `blocks.Span` escapes what is not printable, and rich breaks lines at the no-break space too.
JOINT = "\ue000"

_UNITS = "|".join(
    (
        r"[mkMGnpµ]?(?:V|A|W|Wh|Hz|s|m|F|H|Ω|J|lm|lx|cd|B|g|bit)[²³]?",
        r"%|°C|°|K|cm[²³]?|h|min|ft|in|px|fps|[A-Z]{3}|[€$£¥]",
        r"volts?|amperes?|watts?|seconds?|minutes?|hours?|metres?",
    )
)
_JOINED = re.compile(
    rf"(?<=\d) (?=\d\d\d(?!\d)|(?:{_UNITS})(?![^\W_]))"  # 20 000, 0.5 A
    r"|(?<=[±≈≤≥<>]) (?=\d)"
)
_BREAK = re.compile(r"(?<= )(?=[^ ])|(?<=[^\W_]{2}-)(?=[^\W\d_]{2})")
_FIGURE_END = re.compile(r"[\d.,]*$")


def joined(text: str) -> str:
    """`text`, as long as it was, with joints for the spaces at which no line ends."""
    return _JOINED.sub(JOINT, text)


def pieces(text: str) -> list[str]:
    """One line in the pieces that stay whole; after each, air included, a line may end."""
    return [part.replace(JOINT, " ") for part in _BREAK.split(joined(text))]


class Prose:
    """Words that rich sets as it does every text, though never with a figure parted."""

    def __init__(self, text: Text) -> None:
        self.text = text

    def _joined(self) -> Text:
        made = self.text.copy()
        made.plain = joined(made.plain)
        return made

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Its lines, with spaces for the joints again: what is copied holds plain ones."""
        lines = self._joined().wrap(
            console,
            options.max_width,
            justify=options.justify,
            overflow=options.overflow,
            no_wrap=options.no_wrap,
        )
        for line in lines:
            line.plain = line.plain.replace(JOINT, " ")
        yield from Text("\n").join(lines).render(console, end=self.text.end)

    def __rich_measure__(self, console: Console, options: ConsoleOptions) -> Measurement:
        """What rich measures of the joined text."""
        return Measurement.get(console, options, self._joined())


def broken(text: Text, width: int, *, fold: bool = False) -> Text:
    """`text` in lines of at most `width` cells, as far as its pieces allow.

    `fold`: pieces that are longer are broken too, though not within a figure that could stay whole.
    """
    if text.no_wrap:
        return text
    lines = []
    for line in text.split("\n", allow_blank=True):
        if cell_len(line.plain) <= width:
            lines.append(line)
            continue
        ends, used, at = [], 0, 0
        whole = pieces(line.plain)
        for piece in [part for each in whole for part in _folded(each, width)] if fold else whole:
            if used and used + cell_len(piece.rstrip()) > width:
                ends.append(at)
                used = 0
            used += cell_len(piece)
            at += len(piece)
        for part in line.divide(ends):
            part.rstrip()
            lines.append(part)
    return Text("\n").join(lines)


def _folded(piece: str, width: int) -> list[str]:
    parts = []
    while cell_len(piece.rstrip()) > width:
        most = 1
        while cell_len(piece[: most + 1]) <= width:
            most += 1
        if piece[most].isdigit():
            most = _FIGURE_END.search(piece[:most]).start() or most  # type: ignore[union-attr]
        parts.append(piece[:most])
        piece = piece[most:]
    return [*parts, piece]


def widest(text: Text) -> int:
    """Cells of the longest line."""
    return max(map(cell_len, text.plain.split("\n")))


def narrowest(text: Text) -> int:
    """Cells of the longest piece: `text` fits in no fewer."""
    if text.no_wrap:
        return widest(text)
    lines = text.plain.split("\n")
    return max(cell_len(piece.rstrip()) for line in lines for piece in pieces(line))
