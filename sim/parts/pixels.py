"""Strip on reels and pixels on strings: how many, and where lengths are joined."""

from __future__ import annotations

import math

import numpy as np

from layouts.records import House, Kind, Run
from sim.parts.bridging import bridge_lines, bridges_of
from sim.parts.cutting import cut
from sim.parts.fillings import StockLength
from sim.parts.lines import (
    BillLine,
    BillSection,
    CutBar,
    CutList,
    Piece,
    sold_text,
    spare,
    unlisted,
)
from sim.parts.records import Parts, StripPart


def pixel_section(house: House, parts: Parts) -> BillSection:
    """What every kind of pixel of the house takes. Lengths are cut between pixels."""
    kinds: list[Kind] = []
    for run in house.runs:
        if run.kind not in kinds:  # by value: two may share a name
            kinds.append(run.kind)
    sections = [
        _kind_section(kind, [run for run in house.runs if run.kind == kind], parts)
        for kind in kinds
    ]
    joints = sum(section.joints for section in sections)
    bridges = [each for run in house.runs for each in bridges_of(run, parts)]
    lines = [line for section in sections for line in section.lines]
    lines += bridge_lines(bridges, parts)
    if joints:
        lines.append(
            BillLine(
                "strip joint",
                parts.strip_joint.part,
                joints,
                "piece",
                parts.strip_joint.price,
                "lengths of strip or string within a run",
            )
        )
    return BillSection(
        tuple(lines),
        tuple(each for section in sections for each in section.cuts),
        tuple(each for section in sections for each in section.findings),
        joints + 2 * len(bridges),
    )


def stretches(run: Run) -> tuple[int, ...]:
    """How many pixels follow one another without a gap, gap after gap."""
    there = np.concatenate([[False], run.has_pixel, [False]])
    edges = np.flatnonzero(there[1:] != there[:-1])
    return tuple((edges[1::2] - edges[::2]).tolist())


def on_one(kind: Kind, part: StripPart) -> int:
    """Pixels of one reel or string."""
    if part.nodes is not None:
        return part.nodes
    return max(1, math.floor((part.reel_m or 0.0) / kind.pitch_m + 1e-6))


def strip_part(kind: Kind, parts: Parts) -> StripPart:
    """What a kind comes on: as the parts file says, else as is usual."""
    usual = parts.any_strip if kind.mount == "strip" else parts.any_string
    own = parts.strips.get(kind.name)
    if own is None or (own.reel_m is None and own.nodes is None):
        return StripPart(own.part if own else "", usual.reel_m, usual.nodes, None)
    return own


def _kind_section(kind: Kind, runs: list[Run], parts: Parts) -> BillSection:
    part = strip_part(kind, parts)
    most = on_one(kind, part)
    name = part.part or kind.name
    pieces: list[Piece] = []
    counts: list[int] = []
    joints = 0
    for run in runs:
        lengths = [each for count in stretches(run) for each in _split(count, most)]
        joints += len(lengths) - len(stretches(run))
        counts += lengths
        pieces += [
            _piece(run.name, at, count, len(lengths), kind) for at, count in enumerate(lengths)
        ]
    total = sum(run.present for run in runs)
    extra = spare(total, parts.spares)
    for at, count in enumerate(_split(extra, most) if extra else []):
        counts.append(count)
        pieces.append(_piece("spare", at, count, 1, kind))
    found = cut(counts, [StockLength(most, 1.0)])
    reel_m = most * kind.pitch_m
    bars = tuple(
        CutBar(reel_m, tuple(pieces[number] for number in bar.pieces))
        for bar in sorted(found.bars, key=lambda bar: min(bar.pieces))
    )
    strip = kind.mount == "strip"
    item, unit = (
        ("strip", f"reel of {sold_text(part.reel_m or 0.0)}")
        if strip
        else ("string", f"string of {most}")
    )
    purpose = ", ".join(f"{run.name} {_much(run.present, kind)}" for run in runs)
    if extra:
        purpose += f"; {_much(extra, kind)} spare"
    words = _purpose_parts(runs, extra, kind) if strip else ()
    line = BillLine(item, name, len(bars), unit, part.price, purpose, words)
    notes = (unlisted("kind", kind.name),) if parts.file and kind.name not in parts.strips else ()
    cuts = CutList(item, name, 0.0, bars, round(found.bound), found.proven)
    return BillSection((line,), (cuts,), notes, joints)


def _split(count: int, most: int) -> list[int]:
    """Whole reels, then the rest: the fewest joints."""
    whole, rest = divmod(count, most)
    return [most] * whole + ([rest] if rest else [])


def _piece(name: str, at: int, count: int, of: int, kind: Kind) -> Piece:
    letter = chr(ord("a") + at % 26) if of > 1 else ""
    return Piece(f"{name} {letter}".strip(), count * kind.pitch_m)


def _purpose_parts(runs: list[Run], extra: int, kind: Kind) -> tuple[str | float, ...]:
    """What the strip of a kind is for, lengths [m] apart from words."""
    found: list[str | float] = []
    for run in runs:
        found += [f"{', ' if found else ''}{run.name} ", run.present * kind.pitch_m]
    if extra:
        found += ["; ", extra * kind.pitch_m, " spare"]
    return tuple(found)


def _much(count: int, kind: Kind) -> str:
    """`5.7 m` of strip, `40 pixels` of a string."""
    return f"{count * kind.pitch_m:.2f} m" if kind.mount == "strip" else f"{count} pixels"
