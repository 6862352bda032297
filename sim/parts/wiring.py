"""Wire by size and colour, fuses and holders, supplies and their boxes, feeds and junctions."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence

from layouts.finding import Finding, Remedy
from layouts.ratings import rating_text
from layouts.records import House, Supply, WireEnd
from sim.parts.cutting import cut
from sim.parts.fillings import StockLength
from sim.parts.lines import (
    BillLine,
    BillSection,
    CutBar,
    CutList,
    Piece,
    listed,
    sold_text,
    spare,
    unlisted,
)
from sim.parts.records import Parts, SupplyPart, WirePart

_STEP_M = 0.001
#: A supply is trimmed by so much of its nominal volts [common practice, no source].
_VOLTS_ALIKE = 0.05


def wiring_section(house: House, parts: Parts) -> BillSection:
    """What supplies, wires, fuses and junctions take."""
    lines: list[BillLine] = []
    cuts: list[CutList] = []
    findings: list[Finding] = []
    for size in dict.fromkeys(wire.size.name for wire in house.wires):
        wires = [wire for wire in house.wires if wire.size.name == size]
        own = parts.wires.get(size)
        if own is None and parts.file:
            findings.append(unlisted("wire", size))
        part = own or parts.any_wire
        lengths = [(wire.label, wire.length_m) for wire in wires]
        section = wire_section(size, lengths, part, "wire", part.colours)
        lines += section.lines
        cuts += section.cuts
        findings += section.findings
    lines += _fuses(house, parts)
    lines += _joins(house, parts)
    supplies = _supplies(house, parts)
    return BillSection((*lines, *supplies.lines), tuple(cuts), (*findings, *supplies.findings))


def supply_part(supply: Supply, parts: Parts) -> SupplyPart | None:
    """The cheapest part of the supply's volts that carries its amps; None where there is none."""
    fitting = [
        part
        for part in parts.supplies
        if abs(part.volts - supply.volts) <= _VOLTS_ALIKE * supply.volts
        and part.amps >= supply.rated_a - 1e-9
    ]
    return min(
        fitting,
        key=lambda part: (math.inf if part.price is None else part.price, part.amps),
        default=None,
    )


def wire_section(
    size: str,
    lengths: Sequence[tuple[str, float]],
    part: WirePart,
    item: str,
    conductors: Sequence[str],
    whose: str = "each colour",
) -> BillSection:
    """Every conductor of what is so called and so long [m]: the copper there is, slack and all.

    The cutting list is told to be that of `whose`: conductors of one length share it.
    """
    name = f"{size} {part.part}".strip()
    purpose = listed(label for label, _ in lengths)
    if not part.stock_m:
        total_m = math.ceil(sum(length for _, length in lengths) * 10 - 1e-6) / 10
        return BillSection(
            tuple(
                BillLine(item, f"{name}, {conductor}", total_m, "m", part.per_metre, purpose)
                for conductor in conductors
            )
        )
    longest_m = part.stock_m[-1]
    pieces = [piece for label, length in lengths for piece in _split(label, length, longest_m)]
    stock = [StockLength(_steps(m, math.floor), m) for m in part.stock_m]
    wanted = [min(_steps(piece.length_m, math.ceil), stock[-1].steps) for piece in pieces]
    found = cut(wanted, stock)
    reels = tuple(
        CutBar(part.stock_m[bar.stock], tuple(pieces[number] for number in bar.pieces))
        for bar in sorted(found.bars, key=lambda bar: min(bar.pieces))
    )
    lines = [
        BillLine(
            item,
            f"{name}, {conductor}",
            count,
            f"reel of {sold_text(metres)}",
            None if part.per_metre is None else part.per_metre * metres,
            purpose,
        )
        for conductor in conductors
        for metres, count in sorted(Counter(reel.length_m for reel in reels).items())
    ]
    least = round(found.bound / longest_m) if len(stock) == 1 else None
    joined = [label for label, length in lengths if length > longest_m + 1e-9]
    return BillSection(
        tuple(lines),
        (CutList(item, f"{name}, {whose}", 0.0, reels, least, found.proven),),
        tuple(_joined(label, size, longest_m) for label in joined),
    )


def _split(label: str, length_m: float, longest_m: float) -> Iterator[Piece]:
    count = max(1, math.ceil(length_m / longest_m - 1e-9))
    for at in range(count):
        letter = f" {chr(ord('a') + at % 26)}" if count > 1 else ""
        rest_m = length_m - at * longest_m
        yield Piece(f"{label}{letter}", min(rest_m, longest_m))


def _joined(label: str, size: str, longest_m: float) -> Finding:
    remedies = (Remedy("longer-stock", size, longest_m, "m"),)
    return Finding(
        "warning",
        "parts-wire-joined",
        label,
        limit=longest_m,
        unit="m",
        remedies=remedies,
        detail={"size": size},
    )


def _steps(length_m: float, rounded: Callable[[float], int]) -> int:
    """Whole steps of a length; what is 3 m exactly stays so."""
    return rounded(round(length_m / _STEP_M, 6))


def _fuses(house: House, parts: Parts) -> Iterator[BillLine]:
    ratings = Counter(wire.fuse_a for wire in house.wires if wire.fuse_a is not None)
    for rating, count in sorted(ratings.items()):
        extra = spare(count, parts.spares)
        purpose = listed(wire.label for wire in house.wires if wire.fuse_a == rating)
        purpose += f"; {extra} spare" if extra else ""
        name = f"{parts.fuse.part}, {rating:g} A"
        yield BillLine("fuse", name, count + extra, "piece", parts.fuse.price, purpose)
    if ratings:
        holder = parts.fuse_holder
        yield BillLine(
            "fuse holder", holder.part, ratings.total(), "piece", holder.price, "every fuse"
        )


def _joins(house: House, parts: Parts) -> Iterator[BillLine]:
    feeds = [end for wire in house.wires for end in (wire.start, wire.end) if end.kind == "run"]
    if feeds:
        plug = parts.feed_plug
        purpose = _by_run(feeds)
        yield BillLine("feed plug", plug.part, len(feeds), "piece", plug.price, purpose)
    joined = Counter(
        end.name for wire in house.wires for end in (wire.start, wire.end) if end.kind == "junction"
    )
    if joined:
        junction = parts.junction
        purpose = f"+ and − of {listed(f'{name} ({n} wires)' for name, n in joined.items())}"
        yield BillLine("junction", junction.part, 2 * len(joined), "piece", junction.price, purpose)


def _by_run(feeds: Sequence[WireEnd]) -> str:
    """Every place that is fed, each run named once: `gable[70], [230], .end × 2; porch.start`."""
    told: dict[str, list[str]] = {}
    for (run, place), count in Counter((end.name, end.text) for end in feeds).items():
        many = f" × {count}" if count > 1 else ""
        told.setdefault(run, []).append(f"{place.removeprefix(run)}{many}")
    return "; ".join(f"{run}{', '.join(places)}" for run, places in told.items())


def _supplies(house: House, parts: Parts) -> BillSection:
    lines: list[BillLine] = []
    findings: list[Finding] = []
    bought: dict[SupplyPart, list[str]] = {}
    boxed: list[str] = []
    for supply in house.supplies:
        part = supply_part(supply, parts)
        if part is None:
            name = f"{supply.volts:g} V {rating_text(supply.volts, supply.rated_a)}"
            lines.append(BillLine("supply", name, 1, "piece", None, supply.name))
            if parts.file:
                findings.append(_no_supply(supply))
        else:
            bought.setdefault(part, []).append(supply.name)
        if part is None or not weatherproof(part):
            boxed.append(supply.name)
    for part, names in bought.items():
        lines.append(BillLine("supply", part.part, len(names), "piece", part.price, listed(names)))
    if boxed and parts.enclosures:
        box = min(parts.enclosures, key=lambda box: math.inf if box.price is None else box.price)
        lines.append(BillLine("enclosure", box.part, len(boxed), "piece", box.price, listed(boxed)))
    return BillSection(tuple(lines), findings=tuple(findings))


def weatherproof(part: SupplyPart) -> bool:
    """IP 65 and above: no dust comes in, nor jets of water (IEC 60529)."""
    digits = part.ip.upper().removeprefix("IP").strip()
    return len(digits) == 2 and digits.isdigit() and digits[0] == "6" and digits[1] >= "5"


def _no_supply(supply: Supply) -> Finding:
    remedies = (Remedy("add-part", supply.name, supply.rated_a, "A"),)
    return Finding(
        "warning",
        "parts-no-supply",
        supply.name,
        value=supply.rated_a,
        unit="A",
        remedies=remedies,
        detail={"volts": supply.volts},
    )
