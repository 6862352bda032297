"""A sweep as a person reads it: a line an option, the cheapest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from sim.report.blocks import Block, Cautions, Gap, Listed, Table, Title, columns, note, row, spans
from sim.report.blocks import section as part
from sim.report.cautions import WIRING
from sim.report.text import amps, count, number

Result = dict[str, Any]

_ONLY_WIDE = ("supplies", "W", "kWh/a", "lm", "Ra", "Hz")


def sweep_blocks(results: Sequence[Result]) -> Iterator[Block]:
    """The whole sweep."""
    houses = len({each["house"] for each in results})
    built = [each for each in results if _rank(each) < 2]
    yield Title(
        spans(
            ("Sweep", "strong"),
            f" of {count(houses)} house{'s' * (houses != 1)}, {count(len(results))} options\n",
            (f"{count(len(built))} can be built; the cheapest first", "quiet"),
        )
    )
    yield _table(by_price(results))
    missing = [each for each in built if each["price"] is None]
    if missing:
        yield Gap()
        yield note(
            f"{count(len(missing))} of them have no price for everything: they stand below those"
            " that have, by the price of their wiring, and + marks what a price leaves out."
        )
    why = [each for each in by_price(results) if each.get("why")]
    if why:
        told = [
            spans((f"{_name(each)}, {each['kind']}: ", "strong"), str(each["why"])) for each in why
        ]
        yield part("Why not", Listed(tuple(told)))
    yield part("Cautions", Cautions(WIRING))


def by_price(results: Sequence[Result]) -> list[Result]:
    """What has a price by it, then what has none by its wiring, last what cannot be built."""

    def order(each: Result) -> tuple[Any, ...]:
        rank = _rank(each)
        value = (each["price"], each.get("wiring_price"), 0.0)[rank]
        return rank, value, str(each["house"]), each["kind"]

    return sorted(results, key=order)


def _rank(each: Result) -> int:
    if each["status"] not in ("optimal", "bounded"):
        return 2
    return 0 if each["price"] is not None else 1


def _table(results: Sequence[Result]) -> Table:
    heads = [
        replace(each, when="wide") if each.name in _ONLY_WIDE else each
        for each in columns(
            "house", "|kind", ">price", ">feeds", ">supplies", ">peak", ">W", ">kWh/a", ">lm",
            ">Ra", ">Hz", "|status",
        )
    ]  # fmt: skip
    rows = []
    last = ""
    for each in results:
        name = _name(each)
        cells = (name if name != last else "", each["kind"], _price(each))
        last = name
        if _rank(each) == 2:
            rows.append(row(*cells, *[""] * 8, (_status(each), "bad")))
            continue
        rows.append(
            row(
                *cells,
                count(each["feeds"]),
                count(each["supplies"]),
                amps(each["peak_a"]),
                number(each["watts"]),
                number(each["kwh_year"]),
                number(each["lumens"]),
                f"{each['ra']:.0f}",
                number(each["refresh_hz"]),
                _status(each),
            )
        )
    return Table(tuple(heads), tuple(rows))


def _name(each: Result) -> str:
    """The house's file, or its folder where every file has the same name."""
    path = Path(each["house"])
    return path.parent.name if path.stem == "house" and path.parent.name else path.stem


def _price(each: Result) -> str:
    if _rank(each) == 2:
        return "–"
    if each["price"] is not None:
        return f"{each['price']:.2f} {each['currency']}".strip()
    return f"{each['priced']:.2f} +" if each["priced"] else "none"


def _status(each: Result) -> str:
    return {
        "optimal": "the least",
        "bounded": "planned",
        "infeasible": "cannot be built",
        "unreadable": "cannot be read",
    }.get(each["status"], "broken")
