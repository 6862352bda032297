"""How sure a comparison is, told: bands of every kind, and whether two kinds differ at all."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from math import floor, log10
from typing import Any

from sim.spread.bands import USUAL

from .blocks import Block, Column, Row, Table, columns, note, row, section
from .compare_spread import ComparedFigure, ComparedSpread, Pair
from .text import ceiling_percent, count, number

_NAMES = {
    "lumens": "light, mean",
    "watts": "power, mean",
    "lumens_per_watt": "light for power",
    "wall_watts": "from the wall",
    "supply_peak_a": "peak, {}",
    "peak_a": "peak, house",
    "ceiling": "brightness ceiling",
}
#: Figures of which a difference is told; the rest follow from them.
_TOLD = ("lumens", "watts", "lumens_per_watt", "peak_a", "ceiling")
#: Pairs told on a screen; JSON has all.
_MOST_PAIRS = 3


def sure_blocks(found: ComparedSpread) -> Iterator[Block]:
    """The bands, and the differences two by two."""
    heads = (Column("", whole=True, look="quiet"), *(Column(name) for name in found.kinds))
    kinds = range(len(found.kinds))
    rows = tuple(
        row(_name(each), *(_between(each, each.band(kind)) for kind in kinds))
        for each in found.figures
    )
    yield section("How sure: 95 % lie in", Table(heads, rows, head="strong"), note(_how(found)))
    for first, second in islice(found.pairs(), _MOST_PAIRS):
        told = [each for each in found.figures if each.key in _TOLD]
        yield section(
            f"{found.kinds[second]} against {found.kinds[first]}",
            Table(
                columns("", "|has", ">by", ">95 % lie in"),
                tuple(_difference(each, first, second) for each in told),
            ),
        )
    yield note(
        "no difference: less than reels, supplies and wires differ by anyway. The same supplies and"
        " wires are off by the same under both kinds and cancel; two kinds never share a reel"
    )


def _difference(each: ComparedFigure, first: int, second: int) -> Row:
    found = each.difference(first, second)
    word = "no difference" if not found.differs else "more" if found.band[0] > 0 else "less"
    times, unit = (100, "%") if each.key == "ceiling" else (1, each.unit)
    low, high, by = (times * value for value in (*found.band, found.sheet))
    wide = (high - low) / 4
    places = min(max(1 - floor(log10(wide)), 0), 3) if wide > 0 else 0
    return row(
        _name(each),
        word,
        f"{_signed(by, places)} {unit}",
        f"{_signed(low, places)} to {_signed(high, places)} {unit}",
        look="" if found.differs else "quiet",
    )


def _name(each: ComparedFigure) -> str:
    return _NAMES[each.key].format(each.whose)


def _how(found: ComparedSpread) -> str:
    if found.exact:
        return f"{count(found.draws)} draws of all parts, seed {found.seed}, through the circuit"
    return (
        "what each unknown of reels, wires and supplies does alone, put together; `--spread 1000`"
        " draws them all at once"
    )


def _between(each: ComparedFigure, pair: Pair) -> str:
    low, high = pair
    if each.key == "ceiling":
        least, most = ceiling_percent(low), ceiling_percent(high)
        return least if least == most else f"{least} to {most}"
    return f"{number(low)} to {number(high)} {each.unit}"


def _signed(value: float, places: int) -> str:
    told = f"{abs(value):.{places}f}"
    if not float(told):
        return told
    return ("−" if value < 0 else "+") + told


def with_spread(data: dict[str, Any], found: ComparedSpread) -> dict[str, Any]:
    """The comparison `data` with a band beside every figure of each kind, and the differences."""
    kinds = [
        {**each, "supplies": [dict(one) for one in each["supplies"]]} for each in data["kinds"]
    ]
    for figure in found.figures:
        for kind, place in enumerate(kinds):
            pair = list(figure.band(kind))
            if figure.key == "supply_peak_a":
                one = next(each for each in place["supplies"] if each["name"] == figure.whose)
                one["peak_a_band"] = pair
            else:
                place[f"{figure.key}_band"] = pair
    return {**data, "kinds": kinds, "spread": _spread(found)}


def _spread(found: ComparedSpread) -> dict[str, Any]:
    made = []
    for first, second in found.pairs():
        for figure in found.figures:
            one = figure.difference(first, second)
            made.append(
                {
                    "kinds": [found.kinds[first], found.kinds[second]],
                    "figure": figure.key,
                    "name": figure.whose,
                    "unit": figure.unit,
                    "difference": one.sheet,
                    "difference_band": list(one.band),
                    "differs": one.differs,
                }
            )
    method = "draws" if found.exact else "first_order"
    return {
        "method": method, "draws": found.draws, "seed": found.seed, "share": USUAL,
        "differences": made,
    }  # fmt: skip
