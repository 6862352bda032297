"""How wide the columns of a table are on a terminal: never so narrow that a figure is cut."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from sim.report.line_breaks import narrowest, widest

#: Cells between two columns.
AIR = 2
#: A paragraph in a table is set in no fewer cells, and shorter words in half of theirs.
PARAGRAPH = 16


def column_widths(
    columns: Sequence[Sequence[Text]], free: Sequence[bool], room: int
) -> list[int] | None:
    """Cells of every column in `room` cells; None where they cannot stand side by side.

    `columns` has the cells of every one, its name first; those that are `free` are broken into
    lines first, the others where that is not enough. The widest column gives way before others.
    """
    widths = [max(map(widest, cells)) for cells in columns]
    least = [max(map(narrowest, cells)) for cells in columns]
    for n, may in enumerate(free):
        if may:
            least[n] = max(least[n], min(-(-widths[n] // 2), PARAGRAPH))
    over = sum(widths) + AIR * (len(widths) - 1) - room
    every = range(len(widths))
    for giving in ([n for n in every if free[n]], every[1:], every):
        while over > 0:
            wider = [n for n in giving if widths[n] > least[n]]
            if not wider:
                break
            widths[max(wider, key=lambda n: (widths[n], n))] -= 1
            over -= 1
    return None if over > 0 else widths
