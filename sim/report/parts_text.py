"""A bill of materials on the screen: what to buy, how stock is cut, what to mind."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from rich.console import RenderableType
from rich.text import Text

from sim.parts import CutBar, CutList, Line, MaterialBill, Piece
from sim.report.cautions import WIRING
from sim.report.text import QUIET, cautions_block, findings_block, heading, indent, table

_BAR_WIDTH = 24
#: From this width on there is room for what each line is for.
_WIDE = 120


def parts_screen(bill: MaterialBill, width: int) -> Iterator[RenderableType]:
    """The whole report, part by part, for a terminal of `width` cells."""
    yield _title(bill)
    yield heading("To buy, and the work")
    yield indent(_lines(bill, width >= _WIDE), *_sum(bill))
    if bill.cuts:
        yield heading("Cutting list")
        yield indent(*_cuts(bill))
    yield heading("Findings")
    yield indent(findings_block(bill.findings))
    yield heading("Cautions")
    yield indent(cautions_block(WIRING))


def _title(bill: MaterialBill) -> Text:
    parts = bill.parts
    from_file = parts.file or (
        "no parts file: usual quantities; write a parts.yaml beside the house file, or name one"
        " with --parts"
    )
    note = f"; {parts.note}" if parts.note and parts.file else ""
    return Text.assemble(("Parts", "bold"), f" for {bill.house}\n", (f"{from_file}{note}", QUIET))


def _lines(bill: MaterialBill, wide: bool) -> RenderableType:
    columns = ["|item", "part", ">quantity", "|unit", ">each", ">price"]
    made = table(*columns, *(["for"] if wide else []))
    last = ""
    for line in bill.lines:
        item = "" if line.item == last else line.item
        cells = [item, line.part, _quantity(line), line.unit, _money(line.price_each),
                 _money(line.price)]  # fmt: skip
        made.add_row(*cells, *([Text(line.purpose, style=QUIET)] if wide else []))
        last = line.item
    return made


def _sum(bill: MaterialBill) -> Iterator[RenderableType]:
    currency = bill.parts.currency
    if bill.total is not None:
        yield Text(f"\nAll of it: {bill.total:.2f} {currency}", style="bold")
        return
    missing = f"{len(bill.unpriced)} of {len(bill.lines)} lines have no price"
    if bill.priced_total:
        yield Text(f"\nWhat has a price: {bill.priced_total:.2f} {currency}; {missing}", "bold")
    else:
        yield Text(f"\nNo sum: {missing}", style="bold")


def _cuts(bill: MaterialBill) -> Iterator[RenderableType]:
    for number, cuts in enumerate(bill.cuts):
        if number:
            yield Text()
        yield Text.assemble((f"{cuts.item}: {cuts.part}", "bold"), (f"  {_how_few(cuts)}", QUIET))
        made = table("|", "|", "")
        alike = groupby(cuts.bars, key=lambda bar: (bar.length_m, _shape(bar)))
        for (length_m, _), same in alike:
            bars = list(same)
            many = f"{len(bars)} × " if len(bars) > 1 else ""
            names = Text("; ").join(
                [Text(", ".join(_piece(piece) for piece in bar.pieces)) for bar in bars]
            )
            left_m = length_m - _used_m(bars[0], cuts.kerf_m)
            rest = Text(f", {_metres(left_m)} left" if left_m > 5e-4 else "", style=QUIET)
            made.add_row(f"{many}{length_m:g} m", _drawn(bars[0], cuts.kerf_m), names + rest)
        yield made
    if any(
        piece.start_deg or piece.end_deg for c in bill.cuts for b in c.bars for piece in b.pieces
    ):
        yield Text(
            "\nLengths are those of the run's own line. ∠ is how far the saw is turned from a"
            " square cut: half of what the run turns by at that corner, the same on both pieces.",
            style=QUIET,
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


def _drawn(bar: CutBar, kerf_m: float) -> Text:
    """The bar to scale: its pieces, divided, and what is left."""
    cells = ""
    at_m = 0.0
    for number, piece in enumerate(bar.pieces):
        at_m += piece.length_m
        end = max(len(cells) + 1, round(at_m / bar.length_m * _BAR_WIDTH))
        last = number == len(bar.pieces) - 1
        cells = cells.ljust(end - (not last), "━") + ("" if last else "┃")
        at_m += kerf_m
    return Text.assemble((cells[:_BAR_WIDTH], "yellow"), ("┄" * (_BAR_WIDTH - len(cells)), QUIET))


def _piece(piece: Piece) -> str:
    angles = [
        f"{end} ∠{degrees:.1f}°"
        for end, degrees in (("start", piece.start_deg), ("end", piece.end_deg))
        if degrees
    ]
    return " ".join((piece.name, _metres(piece.length_m), *angles))


def _used_m(bar: CutBar, kerf_m: float) -> float:
    return sum(piece.length_m + kerf_m for piece in bar.pieces)


def _metres(length_m: float) -> str:
    return f"{length_m:.3f} m"


def _quantity(line: Line) -> str:
    return f"{line.quantity:.2f}".rstrip("0").rstrip(".")


def _money(value: float | None) -> str:
    return "–" if value is None else f"{value:.2f}"
