"""Blocks on the terminal.

Everything is readable without colour and at 80 columns; colour only repeats what words say.
"""

from __future__ import annotations

from collections.abc import Iterator

from rich import table as rich_table
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from layouts.catalogue import limits
from layouts.errors import harmless
from layouts.finding import by_urgency
from sim.report import blocks as b
from sim.report.column_widths import AIR, column_widths
from sim.report.line_breaks import Prose, broken
from sim.report.wording import sentence

#: Looks of words as the terminal has them.
LOOKS = {
    "": "",
    "strong": "bold",
    "quiet": "bright_black",
    "good": "green",
    "warn": "yellow",
    "bad": "red",
}
LEVELS = {"danger": "bold red", "warning": "yellow", "note": "cyan"}
#: From so many cells on, columns for wide terminals are shown.
WIDE = 100
#: Cells of a load bar, and of one that compares months.
LEAST_BAR, MOST_BAR, LENGTH = 10, 40, 10
#: Cells by which what belongs under something is set in.
SET_IN = 2


def print_blocks(console: Console, blocks: b.Blocks) -> None:
    """Print the blocks, all of them made before: what making them says stands before the report."""
    for part in list(render(console, blocks)):
        console.print(part)


def render(console: Console, blocks: b.Blocks) -> Iterator[RenderableType]:
    """What rich prints for the blocks on this console."""
    for block in blocks:
        if isinstance(block, b.Section):
            if block.heading:
                yield heading(block.heading)
            room = console.width - SET_IN * block.inset
            inside = [_one(each, console.width, room) for each in block.blocks]
            if block.inset:
                yield Padding(Group(*inside), (0, 0, 0, SET_IN))
            else:
                yield from inside
        else:
            yield _one(block, console.width, console.width)


def _one(block: b.Block, width: int, room: int) -> RenderableType:
    match block:
        case b.Title(said) | b.Words(said):
            return Prose(text(said))
        case b.Gap():
            return Text()
        case b.Table():
            return _table(block, width, room)
        case b.Findings(found):
            return _findings(b.Findings(found))
        case b.Cautions(texts):
            return _cautions(texts)
        case b.Listed(items):
            return Group(*(Prose(text(item)) for item in items))
        case b.PictureBlock(_, said):
            return Text(f"picture: {said}", style=LOOKS["quiet"])
        case b.Drawn():
            return block.terminal(width)
        case b.Section():
            return Group(
                heading(block.heading), *(_one(each, width, room) for each in block.blocks)
            )


def heading(said: str) -> Text:
    """The name of a section, with air above."""
    return Text(f"\n{said}", style="bold")


def text(said: b.Spans) -> Text:
    """Words of several looks."""
    if len(said) == 1 and not said[0].look.startswith("#"):
        return Text(said[0].text, style=_style(said[0].look))
    return Text.assemble(*((span.text, _style(span.look)) for span in said))


def _style(look: str) -> str:
    return look if look.startswith("#") else LOOKS[look]


def _table(table: b.Table, width: int, room: int) -> RenderableType:
    """A table without boxes; where its figures have no room side by side, row by row.

    `width`: cells of the terminal, `room`: those that are left for the table.
    """
    hidden = "narrow" if width >= WIDE else "wide"
    shown = [n for n, column in enumerate(table.columns) if column.when != hidden]
    bar = min(max(width - _taken(table, shown), LEAST_BAR), MOST_BAR)
    heads = [Text(table.columns[n].name) for n in shown]
    rows = [[_cell(row.cells[n], bar) for n in shown] for row in table.rows]
    for cells in rows:
        for n, cell in zip(shown, cells, strict=True):
            if table.columns[n].right or table.columns[n].copied:
                cell.no_wrap = True
    columns = [[head, *cells] for head, *cells in zip(heads, *rows, strict=True)]
    widths = column_widths(columns, [not table.columns[n].whole for n in shown], room)
    if widths is None:
        return Group(*_row_by_row(table, shown, rows, room))
    made = rich_table.Table(
        box=None, pad_edge=False, padding=(0, AIR, 0, 0), header_style=LOOKS[table.head]
    )
    for n, head, wide in zip(shown, heads, widths, strict=True):
        column = table.columns[n]
        made.add_column(
            broken(head, wide),
            justify="right" if column.right else "left",
            width=wide,
            style=LOOKS[column.look],
        )
    for row, cells in zip(table.rows, rows, strict=True):
        made.add_row(*map(broken, cells, widths), style=LOOKS[row.look])
    return made


def _row_by_row(
    table: b.Table, shown: list[int], rows: list[list[Text]], room: int
) -> Iterator[Text]:
    """Every cell on a line of its own after the name of its column; one without stands behind."""
    for row, cells in zip(table.rows, rows, strict=True):
        lines: list[Text] = []
        for n, cell in zip(shown, cells, strict=True):
            if not cell.plain.strip():
                continue
            name = " ".join(table.columns[n].name.split())
            cell.no_wrap = None
            cell.stylize_before(LOOKS[table.columns[n].look])
            if name or not lines:
                head = (f"{name}: ", LOOKS[table.head]) if name else ""
                lines.append(Text.assemble(head, cell))
            else:
                lines[-1] = Text.assemble(lines[-1], " ", cell)
        for n, line in enumerate(lines):
            inset = SET_IN if n else 0
            line.stylize_before(LOOKS[row.look])
            for k, part in enumerate(broken(line, room - 2 * SET_IN, fold=True).split("\n")):
                yield Text(" " * (inset + SET_IN * bool(k))) + part


def _taken(table: b.Table, shown: list[int]) -> int:
    """Cells that the words of a table take, with the air between columns."""
    taken = 0
    for n in shown:
        column = table.columns[n]
        said = [len(column.name) + column.whole]
        for row in table.rows:
            cell = row.cells[n]
            if isinstance(cell, tuple):
                words = "".join(span.text for span in cell)
                said.append(max(map(len, words.split("\n"))))
        taken += max(said) + 2
    return taken


def _cell(cell: b.Cell, bar: int) -> Text:
    match cell:
        case b.Meter(share, full):
            made = load_bar(share, full, bar)
            made.no_wrap = True
            return made
        case b.Length(share, _):
            return Text("━" * round(LENGTH * share), "yellow")
        case _:
            return text(cell)


def load_bar(share: float, full: float, width: int) -> Text:
    """A bar of `width` cells from 0 to `full` times the rating.

    The thin mark is the 80 % that a supply should carry for hours, the thick one its rating.
    """
    lasting = limits().supply_load
    style = "red" if share > 1 else "yellow" if share > lasting else "green"
    eighths = round(min(share / full, 1.0) * width * 8)
    filled = "█" * (eighths // 8) + ("", *"▏▎▍▌▋▊▉")[eighths % 8]
    bar = Text(filled.ljust(width, " "), style=style)
    for mark, at in (("┆", lasting), ("┃", 1.0)):
        cell = min(round(at / full * width), width) - 1
        bar = Text.assemble(bar[:cell], (mark, "bold"), bar[cell + 1 :])
    return bar


def _findings(block: b.Findings) -> RenderableType:
    """Level, place and code, then what to do."""
    rows = by_urgency(block.findings)
    if not rows:
        return Text("nothing found", style="green")
    grid = rich_table.Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for finding in rows:
        head = Text.assemble(
            (harmless(finding.where), "bold"), (f"  {finding.code}", LOOKS["quiet"])
        )
        grid.add_row(Text(finding.level, style=LEVELS[finding.level]), head)
        grid.add_row("", Prose(Text(harmless(sentence(finding)))))
    return grid


def _cautions(texts: tuple[str, ...]) -> RenderableType:
    grid = rich_table.Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for said in texts:
        grid.add_row(Text("!", style="yellow"), Prose(Text(said, style=LOOKS["quiet"])))
    return grid
