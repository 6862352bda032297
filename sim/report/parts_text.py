"""A bill of materials on the screen: what to buy, how stock is cut, what to mind."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from sim.parts import CutBar, CutList, MaterialBill, Piece
from sim.parts.lines import sold_text
from sim.report.blocks import (
    Block,
    Cautions,
    Column,
    Findings,
    Gap,
    Spans,
    Table,
    Title,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from sim.report.cautions import WIRING
from sim.report.lengths import cut_text, purpose_text, quantity_cells

_BAR_WIDTH = 24


def parts_blocks(bill: MaterialBill) -> Iterator[Block]:
    """The whole report, part by part."""
    yield _title(bill)
    yield section("To buy, and the work", *bill_blocks(bill))
    if bill.cuts:
        yield section("Cutting list", *_cuts(bill))
    yield section("Findings", Findings(bill.findings))
    yield section("Cautions", Cautions(WIRING))


def bill_blocks(bill: MaterialBill) -> Iterator[Block]:
    """The lines of a bill and what they come to."""
    yield _lines(bill)
    yield from _sum(bill)


def _title(bill: MaterialBill) -> Title:
    parts = bill.parts
    from_file = parts.file or (
        "no parts file: usual quantities; write a parts.yaml beside the house file, or name one"
        " with --parts"
    )
    about = f"; {parts.note}" if parts.note and parts.file else ""
    return Title(
        spans(("Parts", "strong"), f" for {bill.house}\n", (f"{from_file}{about}", "quiet"))
    )


def _lines(bill: MaterialBill) -> Table:
    heads = (
        *columns("|item", "part", ">quantity", "|unit", ">each", ">price"),
        Column("for", when="wide"),
    )
    rows = []
    last = ""
    for line in bill.lines:
        item = "" if line.item == last else line.item
        quantity, unit, each = quantity_cells(line, bill.units)
        rows.append(
            row(
                item,
                line.part,
                quantity,
                unit,
                each,
                "–" if line.price is None else f"{line.price:.2f}",
                (purpose_text(line, bill.units), "quiet"),
            )
        )
        last = line.item
    return Table(heads, tuple(rows))


def _sum(bill: MaterialBill) -> Iterator[Block]:
    currency = bill.parts.currency
    yield Gap()
    if bill.total is not None:
        yield words((f"All of it: {bill.total:.2f} {currency}", "strong"))
        return
    missing = f"{len(bill.unpriced)} of {len(bill.lines)} lines have no price"
    if bill.priced_total:
        priced = f"What has a price: {bill.priced_total:.2f} {currency}; {missing}"
        yield words((priced, "strong"))
    else:
        yield words((f"No sum: {missing}", "strong"))


def _cuts(bill: MaterialBill) -> Iterator[Block]:
    for number, cuts in enumerate(bill.cuts):
        if number:
            yield Gap()
        yield words((f"{cuts.item}: {cuts.part}", "strong"), (f"  {_how_few(cuts)}", "quiet"))
        rows = []
        alike = groupby(cuts.bars, key=lambda bar: (bar.length_m, _shape(bar)))
        for (length_m, _), same in alike:
            bars = list(same)
            many = f"{len(bars)} × " if len(bars) > 1 else ""
            names = "; ".join(
                ", ".join(_piece(piece, bill.units) for piece in bar.pieces) for bar in bars
            )
            left_m = length_m - _used_m(bars[0], cuts.kerf_m)
            rest = f", {cut_text(left_m, bill.units)} left" if left_m > 5e-4 else ""
            rows.append(
                row(
                    f"{many}{sold_text(length_m)}",
                    _drawn(bars[0], cuts.kerf_m),
                    spans(names, (rest, "quiet")),
                )
            )
        yield Table(columns("|", "|", ""), tuple(rows))
    if any(
        piece.start_deg or piece.end_deg for c in bill.cuts for b in c.bars for piece in b.pieces
    ):
        yield Gap()
        yield note(
            "Lengths are those of the run's own line. ∠ is how far the saw is turned from a"
            " square cut: half of what the line turns by at that corner, the same on both pieces."
        )


def _how_few(cuts: CutList) -> str:
    count = len(cuts.bars)
    if cuts.proven:
        return f"{count}, and not one less would do" if cuts.least_bars else f"{count}, least cost"
    if cuts.least_bars:
        return f"{count}; fewer than {cuts.least_bars} are impossible"
    return f"{count}; not proven to be least"


def _shape(bar: CutBar) -> tuple[tuple[float, float, float], ...]:
    return tuple((round(p.length_m, 4), p.start_deg, p.end_deg) for p in bar.pieces)


def _drawn(bar: CutBar, kerf_m: float) -> Spans:
    """The bar to scale: its pieces, divided, and what is left."""
    cells = ""
    at_m = 0.0
    for number, piece in enumerate(bar.pieces):
        at_m += piece.length_m
        end = max(len(cells) + 1, round(at_m / bar.length_m * _BAR_WIDTH))
        last = number == len(bar.pieces) - 1
        cells = cells.ljust(end - (not last), "━") + ("" if last else "┃")
        at_m += kerf_m
    return spans((cells[:_BAR_WIDTH], "warn"), ("┄" * (_BAR_WIDTH - len(cells)), "quiet"))


def _piece(piece: Piece, units: str) -> str:
    angles = [
        f"{end} ∠{degrees:.1f}°"
        for end, degrees in (("start", piece.start_deg), ("end", piece.end_deg))
        if degrees
    ]
    return " ".join((piece.name, cut_text(piece.length_m, units), *angles))


def _used_m(bar: CutBar, kerf_m: float) -> float:
    return sum(piece.length_m + kerf_m for piece in bar.pieces)
