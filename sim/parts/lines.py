"""One line of a bill of materials, and helpers that every part of the bill shares."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from layouts.finding import Finding
from layouts.units import METRES, length_text


@dataclass(frozen=True)
class MinutesPerMetre:
    """How long a metre takes, in the words of a purpose."""

    minutes: float


@dataclass(frozen=True)
class BillLine:
    """So much of one thing; `price_each` is None where no parts file gives it."""

    item: str  # what sort of thing: "strip", "wire", "fuse", …
    part: str  # what it is called where it is bought
    quantity: float
    unit: str
    price_each: float | None
    purpose: str  # what it is for; `for` in JSON
    #: The same in words and lengths [m], for who measures in other units; empty: no length in it.
    purpose_parts: tuple[str | float | MinutesPerMetre, ...] = ()

    @property
    def price(self) -> float | None:
        """Of all of them, to the hundredth; None where one has no price."""
        return None if self.price_each is None else round(self.quantity * self.price_each, 2)


@dataclass(frozen=True)
class Piece:
    """A piece cut from a bar or reel: what of, how long, and the saw's angle at each end.

    Angles [°] are from a square cut, half the turn of the line at that corner.
    """

    name: str  # the run, or the wire, and which leg or part of it
    length_m: float
    start_deg: float = 0.0
    end_deg: float = 0.0


@dataclass(frozen=True)
class CutBar:
    """One bar or reel, and the pieces cut from it in order."""

    length_m: float
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class CutList:
    """How everything of one stock is cut. `proven`: it cannot be done with less."""

    item: str
    part: str
    kerf_m: float
    bars: tuple[CutBar, ...]
    least_bars: int | None  # a lower bound, where all bars are alike
    proven: bool


@dataclass(frozen=True)
class BillSection:
    """What one part of the bill adds to it."""

    lines: tuple[BillLine, ...] = ()
    cuts: tuple[CutList, ...] = ()
    findings: tuple[Finding, ...] = ()
    joints: int = 0  # soldered in runs
    saw_cuts: int = 0


def sold_text(length_m: float) -> str:
    """A length of stock as it is sold: in feet where it is whole inches, else in metres.

    Bars and reels have their own measure, not the house's; none that is sold by the metre is a
    whole number of inches, short of 63.5 m by the half metre.
    """
    inches = length_m / METRES["in"]
    by_inch = abs(inches - round(inches)) < 1e-6 and abs(2 * length_m - round(2 * length_m)) > 1e-6
    return length_text(length_m, "ft") if by_inch else f"{length_m:g} m"


def spare(count: int, share: float) -> int:
    """How many more lie in a drawer: the share of `count`, rounded up."""
    return math.ceil(count * share - 1e-9)


def together(lines: Iterable[BillLine]) -> tuple[BillLine, ...]:
    """Lines of the same thing made one."""
    found: dict[tuple[str, str, str, float | None], BillLine] = {}
    for line in lines:
        key = (line.item, line.part, line.unit, line.price_each)
        other = found.get(key)
        found[key] = line if other is None else _both(other, line)
    return tuple(found.values())


def _both(one: BillLine, other: BillLine) -> BillLine:
    quantity = round(one.quantity + other.quantity, 6)
    purpose = f"{one.purpose}, {other.purpose}"
    parts: tuple[str | float | MinutesPerMetre, ...] = ()
    if one.purpose_parts or other.purpose_parts:
        mine, its = one.purpose_parts or (one.purpose,), other.purpose_parts or (other.purpose,)
        parts = (*mine, ", ", *its)
    return replace(one, quantity=quantity, purpose=purpose, purpose_parts=parts)


def listed(names: Iterable[str], most: int = 4) -> str:
    """Names as they are told, a long list cut short."""
    names = list(dict.fromkeys(names))
    more = len(names) - most
    return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")


def unlisted(what: str, name: str) -> Finding:
    """A note that the parts file does not name something the house needs."""
    return Finding("note", "parts-unlisted", name, detail={"what": what})
