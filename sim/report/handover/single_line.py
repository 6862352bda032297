"""The single-line wiring diagram: supply, fuse, wire, junction and run, a row a wire.

One line stands for a pair of + and −; fuses and cuts sit in +. Symbols are those in common use
after IEC 60617: source, converter, fuse, connection. A diagram longer than a page is parted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from layouts.ratings import rating_text
from sim.report.handover import svg
from sim.report.handover.facts import Handover, SupplyLoad, WireLoad
from sim.report.handover.tree import Branch, branches, unsupplied
from sim.report.lengths import laid_text
from sim.report.text import percent

WIDTH, ROW, TOP = 1000.0, 40.0, 26.0
#: Where things stand across: the bus of a supply, where a wire's words begin, the runs.
_BUS, _WORDS, _RUNS = 196.0, 430.0, 742.0
_COLUMNS = (0.0, 38.0, 180.0, 236.0)  # number, size and length, amperes, drop; from _WORDS on
_FUSE_W, _FUSE_H = 26.0, 10.0
_STEP, _STUB, _FUSED = 46.0, 58.0, 48.0
#: So many rows fit a page together.
MOST_ROWS = 24
_LEAST_ROWS = 3
TYPE, SMALL = 12.0, 10.5


@dataclass(frozen=True)
class WiringFigure:
    """One part of the diagram."""

    svg: Markup
    said: str


def single_line(facts: Handover) -> tuple[WiringFigure, ...]:
    """The diagram of every supply, in parts that fit a page; then what hangs on none."""
    made = []
    for number, supply in enumerate(facts.supplies):
        rows = branches(facts.house, supply.name)
        for part, some in enumerate(_parted(rows)):
            made.append(_figure(facts, number, supply, rows, some, part))
    loose = unsupplied(facts.house)
    if loose:
        rows = tuple(Branch(n, 0, -1, facts.house.wires[n].end) for n in loose)
        made += [
            _figure(facts, -1, None, rows, some, part) for part, some in enumerate(_parted(rows))
        ]
    return tuple(made)


def _parted(rows: tuple[Branch, ...]) -> Iterator[range]:
    """Rows that go on one page: parted where a wire leaves the supply, if any does there."""
    first = 0
    while len(rows) - first > MOST_ROWS:
        stop = first + MOST_ROWS
        at = max((n for n in range(first + 1, stop + 1) if not rows[n].depth), default=stop)
        yield range(first, at)
        first = at
    yield range(first, len(rows))


def _figure(
    facts: Handover,
    number: int,
    supply: SupplyLoad | None,
    rows: tuple[Branch, ...],
    some: range,
    part: int,
) -> WiringFigure:
    ink = svg.supply_ink(number)
    count = max(len(some), _LEAST_ROWS)
    height = TOP + count * ROW + 6
    parts = _heads()
    parts += _source(supply, number, height) if supply else []
    begin, joint = _across(facts, rows)
    y_of = {n: TOP + (k + 0.62) * ROW for k, n in enumerate(some)}
    parts += _buses(rows, some, y_of, joint, ink)
    for n in some:
        from_run = rows[n].parent >= 0 and rows[n].parent not in joint
        across = begin[n], joint.get(n)
        parts += _row(facts.wires[rows[n].wire], rows[n], y_of[n], ink, across, facts, from_run)
    parts += _runs(facts, rows, some, y_of, ink)
    name = f"supply S{number + 1} {supply.name}" if supply else "wires that hang on no supply"
    said = f"{name}{', continued' if part else ''}: {len(some)} wires"
    return WiringFigure(svg.drawing(WIDTH, height, f"Single-line diagram of {said}", parts), said)


def _heads() -> list[Markup]:
    """Names of the columns of words."""
    names = ("wire", "size and length", "peak", "drop")
    heads = [
        svg.text(_WORDS + x, 14, name, SMALL, ink="soft")
        for x, name in zip(_COLUMNS, names, strict=True)
    ]
    return [
        *heads,
        svg.text(_RUNS, 14, "leads to", SMALL, ink="soft"),
        svg.text(_BUS + 14, 14, "fuse", SMALL, ink="soft"),
    ]


def _source(supply: SupplyLoad, number: int, height: float) -> list[Markup]:
    """Mains, the GFCI or RCD, and the converter with its figures."""
    y = TOP + 0.62 * ROW
    ink = svg.supply_ink(number)
    parts = [
        svg.line([(22, y), (128, y)], 1.4),
        svg.circle(12, y, 10),
        svg.line(
            [(6, y + 1), (8.5, y - 3), (11, y - 2), (13, y + 2), (15.5, y + 3), (18, y - 1)], 1.3
        ),
        svg.rect(40, y - 11, 64, 22),
        svg.text(72, y + 4, "GFCI/RCD", 10.5, anchor="middle"),
        # A converter: a box parted from corner to corner, ~ on one side and = on the other.
        svg.rect(128, y - 20, 44, 40, ink=ink, width=2.2),
        svg.line([(128, y + 20), (172, y - 20)], 1.2, ink=ink),
        svg.line([(133, y - 10), (136, y - 14), (139, y - 11), (142, y - 8), (145, y - 12)], 1.3),
        svg.line([(152, y + 9), (167, y + 9)], 1.3),
        svg.line([(152, y + 13), (167, y + 13)], 1.3, dash="4 2"),
        svg.line([(172, y), (_BUS, y)], 2.2, ink=ink),
    ]
    words = [
        (f"S{number + 1} {supply.name}", True),
        (f"{supply.volts:g} V, {rating_text(supply.volts, supply.rated_a)}", False),
        (f"peak {supply.peak_a:.2f} A, {percent(supply.peak_a / supply.rated_a)}", False),
    ]
    for k, (said, bold) in enumerate(words):
        shown = svg.fitted(said, TYPE, 172, bold=bold)
        parts.append(svg.text(2, y + 36 + k * 15, shown, TYPE, bold=bold))
    return parts


def _across(facts: Handover, rows: tuple[Branch, ...]) -> tuple[dict[int, float], dict[int, float]]:
    """Where each row's wire begins and, of one that leads to no run, where its joint is."""
    begin: dict[int, float] = {}
    joint: dict[int, float] = {}
    deepest = max((row.depth for row in rows), default=0)
    room = _WORDS - _BUS - _STUB - 30
    step = min(_STEP, max((room - _FUSED) / max(deepest, 1), 2.0))
    for n, row in enumerate(rows):
        begin[n] = _BUS if row.parent < 0 else joint.get(row.parent, _BUS + step)
        fused = facts.house.wires[row.wire].fuse_a is not None
        if row.end.kind != "run":
            joint[n] = min(begin[n] + (_FUSED if fused else step), _WORDS - 30)
    return begin, joint


def _buses(
    rows: tuple[Branch, ...],
    some: range,
    y_of: dict[int, float],
    joint: dict[int, float],
    ink: str,
) -> list[Markup]:
    """The upright lines: the supply's own, and one below every joint."""
    parts = []
    top = [n for n in some if rows[n].parent < 0]
    if top and ink != "soft":
        first = TOP + 0.62 * ROW
        parts.append(svg.line([(_BUS, first), (_BUS, max(y_of[top[-1]], first))], 2.2, ink=ink))
    for parent in dict.fromkeys(rows[n].parent for n in some if rows[n].parent in joint):
        x = joint[parent]
        last = max(y_of[n] for n in some if rows[n].parent == parent)
        begin = y_of.get(parent, TOP + 4)
        parts.append(svg.line([(x, begin), (x, last)], 2.2, ink=ink))
    open_ = [
        f"W{rows[p].wire + 1}"
        for p in joint
        if p not in y_of and any(rows[n].parent == p for n in some)
    ]
    if open_:
        said = svg.fitted(f"goes on from {', '.join(open_)}", SMALL, 172)
        parts.append(svg.text(2, TOP + 0.62 * ROW + 84, said, SMALL, ink="soft"))
    return parts


def _row(
    load: WireLoad,
    branch: Branch,
    y: float,
    ink: str,
    across: tuple[float, float | None],
    facts: Handover,
    from_run: bool,
) -> list[Markup]:
    """A wire: its line with the fuse, and its words above the line."""
    x, stop = across[0], _RUNS if across[1] is None else across[1]
    parts = [svg.line([(x, y), (stop, y)], 1.6, ink=ink)]
    if from_run:
        near = load.wire.start if branch.end is load.wire.end else load.wire.end
        said = svg.fitted(f"from {near.text or near.name}", SMALL, _WORDS - x - 62)
        parts.append(svg.circle(x, y, 3.6, ink=ink))
        parts.append(svg.text(x + (48 if load.wire.fuse_a else 8), y - 6, said, SMALL))
    if across[1] is not None:
        parts.append(svg.line([(stop, y), (_RUNS, y)], 0.8, ink="hair", dash="2 3"))
        parts.append(svg.circle(stop, y, 3.6, ink=ink, fill=ink))
    if load.wire.fuse_a is not None:
        at = x + 12
        parts.append(svg.rect(at, y - _FUSE_H / 2, _FUSE_W, _FUSE_H))
        parts.append(svg.line([(at, y), (at + _FUSE_W, y)], 1.2))
        said = f"{load.wire.fuse_a:g} A"
        parts.append(svg.text(at + _FUSE_W / 2, y - 8, said, SMALL, anchor="middle"))
    far = laid_text(load.wire.length_m, facts.house.units)
    words = (
        (f"W{load.number}", 36.0, True),
        (f"{load.wire.size.name}  {far}", 140.0, False),
        (f"{load.peak_a:.2f} A", 54.0, False),
        (f"{load.drop_v:.2f} V", 56.0, False),
    )
    for at, (said, most, bold) in zip(_COLUMNS, words, strict=True):
        shown = svg.fitted(said, TYPE, most, bold=bold)
        parts.append(svg.text(_WORDS + at, y - 6, shown, TYPE, bold=bold))
    return parts


def _runs(
    facts: Handover, rows: tuple[Branch, ...], some: range, y_of: dict[int, float], ink: str
) -> list[Markup]:
    """What rows lead to: rows of one run that follow each other share its box."""
    parts: list[Markup] = []
    group: list[int] = []
    for n in [*some, -1]:
        end = rows[n].end if n >= 0 else None
        same = (
            group and end is not None and end.kind == "run" and rows[group[0]].end.name == end.name
        )
        if group and not same:
            parts += _box(facts, rows, group, y_of, ink)
            group = []
        if end is not None and end.kind == "run":
            group.append(n)
        elif end is not None:
            name = f"joint {end.name}" if end.kind == "junction" else f"supply {end.name}"
            shown = svg.fitted(name, TYPE, WIDTH - _RUNS - 4, bold=True)
            parts.append(svg.text(_RUNS + 4, y_of[n] + 4, shown, TYPE, bold=True))
    return parts


def _box(
    facts: Handover, rows: tuple[Branch, ...], group: list[int], y_of: dict[int, float], ink: str
) -> list[Markup]:
    top, bottom = y_of[group[0]] - 16, y_of[group[-1]] + 16
    run = facts.house.run(rows[group[0]].end.name)
    parts = [svg.rect(_RUNS, top, WIDTH - _RUNS - 2, bottom - top, ink=ink, fill="tint", round_=3)]
    for k, n in enumerate(group):
        pad = svg.fitted(rows[n].end.text or run.name, TYPE, 148, bold=True)
        parts.append(svg.text(_RUNS + 10, y_of[n] + 4, pad, TYPE, bold=True))
        if not k:
            said = svg.fitted(f"{run.present} px", SMALL, 88)
            parts.append(svg.text(WIDTH - 10, y_of[n] + 4, said, SMALL, ink="soft", anchor="end"))
    return parts
