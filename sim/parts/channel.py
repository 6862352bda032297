"""Channel, covers, end caps and clips: what the runs are mounted in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from layouts.records import House
from sim.parts.cutting import Bar, Cutting, cut
from sim.parts.fillings import StockLength
from sim.parts.legs import Leg
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
from sim.parts.meeting import legs_of
from sim.parts.records import Parts, ProfilePart

#: The step in which lengths are cut [m]; a piece is rounded up to it.
_STEP_M = 0.0005


def channel_section(house: House, parts: Parts) -> BillSection:
    """What every mounting channel of the house takes."""
    lines: list[BillLine] = []
    cuts: list[CutList] = []
    findings = []
    saw_cuts = 0
    legs = legs_of(house.runs)
    for name in dict.fromkeys(run.profile.name for run in house.runs):
        runs = [run for run in house.runs if run.profile.name == name]
        own = parts.profiles.get(name)
        if own is None and parts.file:
            findings.append(unlisted("profile", name))
        profile = own or parts.any_profile
        part = profile.part if own and profile.part else name
        purpose = listed(run.name for run in runs)
        if profile.bars:
            made = _cut_list(
                {run.name: legs[run.name] for run in runs}, profile, parts.kerf_m, part
            )
            cuts.append(made)
            saw_cuts += sum(_saw_cuts(bar) for bar in made.bars)
            lines += _bars(made, profile, part, purpose)
            caps = sum(leg.start_free + leg.end_free for run in runs for leg in legs[run.name])
            extra = spare(caps, parts.spares)
            lines.append(
                BillLine(
                    "end cap",
                    part,
                    caps + extra,
                    "piece",
                    profile.end_cap_price,
                    _with_spares(purpose, extra),
                )
            )
        if profile.clips_every_m:
            clips = sum(_clips(legs[run.name], profile) for run in runs)
            extra = spare(clips, parts.spares)
            lines.append(
                BillLine(
                    "clip",
                    part,
                    clips + extra,
                    "piece",
                    profile.clip_price,
                    _with_spares(purpose, extra),
                )
            )
    return BillSection(tuple(lines), tuple(cuts), tuple(findings), saw_cuts=saw_cuts)


def pieces_of(run: str, legs: tuple[Leg, ...], bar_m: float) -> Iterator[Piece]:
    """The pieces of channel of one run: whole bars, then the rest of each leg.

    Lengths are those of the run's own line; a wide channel is cut so that this line runs through
    its middle.
    """
    for number, leg in enumerate(legs, 1):
        count = max(1, math.ceil(leg.length_m / bar_m - 1e-9))
        for at in range(count):
            last = at == count - 1
            yield Piece(
                f"{run} {number}" + (f"{chr(ord('a') + at % 26)}" if count > 1 else ""),
                leg.length_m - at * bar_m if last else bar_m,
                leg.start_deg if at == 0 else 0.0,
                leg.end_deg if last else 0.0,
            )


def _cut_list(
    legs: Mapping[str, tuple[Leg, ...]], profile: ProfilePart, kerf_m: float, part: str
) -> CutList:
    longest_m = profile.bars[-1].length_m
    pieces = [piece for run, own in legs.items() for piece in pieces_of(run, own, longest_m)]
    priced = all(bar.price is not None for bar in profile.bars)
    stock = [
        StockLength(_steps(bar.length_m), (bar.price or 0.0) if priced else bar.length_m)
        for bar in profile.bars
    ]
    wanted = [min(_steps(piece.length_m), stock[-1].steps) for piece in pieces]
    found = cut(wanted, stock, _steps(kerf_m))
    bars = tuple(
        CutBar(profile.bars[bar.stock].length_m, tuple(pieces[number] for number in bar.pieces))
        for bar in _in_order(found)
    )
    each = stock[0].cost
    least = round(found.bound / each) if len(stock) == 1 and each > 0 else None
    return CutList("channel", part, kerf_m, bars, least, found.proven)


def _in_order(found: Cutting) -> list[Bar]:
    return sorted(found.bars, key=lambda bar: (min(bar.pieces), bar.stock))


def _steps(length_m: float) -> int:
    """Whole steps that hold the length."""
    return max(0, math.ceil(length_m / _STEP_M - 1e-6))


def _saw_cuts(bar: CutBar) -> int:
    """A piece is cut off at its end unless it is the bar's own; a mitred start is one more cut."""
    used_m = sum(piece.length_m for piece in bar.pieces)
    whole = len(bar.pieces) == 1 and bar.length_m - used_m < _STEP_M
    ends = 0 if whole and not bar.pieces[0].end_deg else len(bar.pieces)
    return ends + sum(piece.start_deg > 0 for piece in bar.pieces)


def _bars(made: CutList, profile: ProfilePart, part: str, purpose: str) -> Iterator[BillLine]:
    for stock in profile.bars:
        count = sum(bar.length_m == stock.length_m for bar in made.bars)
        if count:
            name = f"{part}, {sold_text(stock.length_m)}"
            yield BillLine("channel", name, count, "bar", stock.price, purpose)
            if profile.covered:
                yield BillLine("cover", name, count, "bar", profile.cover_price, purpose)


def _clips(legs: tuple[Leg, ...], profile: ProfilePart) -> int:
    """One at each end of a leg and no two further apart than the part says.

    Where there is no channel that ends at a corner, its two legs share the one there.
    """
    every_m = profile.clips_every_m or math.inf
    spans = sum(math.ceil(leg.length_m / every_m - 1e-9) for leg in legs)
    return spans + (len(legs) if profile.bars else 1)


def _with_spares(purpose: str, extra: int) -> str:
    return f"{purpose}; {extra} spare" if extra else purpose
