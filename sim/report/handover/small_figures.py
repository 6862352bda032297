"""Smaller drawings: the data lines from output to output, and the year as a calendar."""

from __future__ import annotations

import calendar
from typing import TYPE_CHECKING

from markupsafe import Markup

from sim.report.handover import svg
from sim.report.handover.facts import Handover
from sim.report.handover.patch import RunPatch
from sim.report.season_data import scheme_name
from sim.report.season_swatch import swatch

if TYPE_CHECKING:
    from sim.season.plan import YearPlan
    from sim.season.records import Evening

WIDTH = 1000.0
TYPE, SMALL = 12.0, 10.5
_BOX_H, _GAP, _FIRST, _ROW = 38.0, 34.0, 104.0, 62.0
#: Outputs in one drawing, and rows of boxes that fit a page.
_MOST_ROWS = 14


def data_lines(facts: Handover) -> tuple[Markup, ...]:
    """Outputs and their chains in the order of data, in drawings that fit a page."""
    by_name = {patch.run: patch for patch in facts.patches}
    pages: list[Markup] = []
    parts: list[Markup] = []
    y = 4.0
    for output in facts.house.outputs:
        rows = _wrapped([by_name[name] for name in output.chain])
        if parts and y + len(rows) * _ROW > _MOST_ROWS * _ROW:
            pages.append(_data_drawing(facts, y, parts))
            parts, y = [], 4.0
        parts += _output(output.name, output.universe, y)
        for number, boxes in enumerate(rows):
            parts += _chain_row(boxes, y, number > 0)
            y += _ROW
    if parts:
        pages.append(_data_drawing(facts, y, parts))
    return tuple(pages)


def slots_text(patch: RunPatch) -> str:
    """From which universe and slot to which; with no universe, the pixels on the chain."""
    if not patch.first[0]:
        return f"pixels {patch.first_pixel + 1}–{patch.first_pixel + patch.pixels}"
    (u, s), (v, t) = patch.first, patch.last
    return f"{u}.{s} – {v}.{t}"


def _data_drawing(facts: Handover, height: float, parts: list[Markup]) -> Markup:
    said = f"Data lines of {facts.house.name}: each output and its runs in the order of data"
    return svg.drawing(WIDTH, height, said, parts)


def _box_width(patch: RunPatch) -> float:
    words = (svg.width_of(_name(patch), TYPE, bold=True), svg.width_of(_below(patch), SMALL))
    return max(*words, 60.0) + 18


def _name(patch: RunPatch) -> str:
    return svg.fitted(patch.run, TYPE, 240, bold=True)


def _below(patch: RunPatch) -> str:
    return f"{patch.pixels} px, {slots_text(patch)}"


def _wrapped(chain: list[RunPatch]) -> list[list[tuple[RunPatch, float, float]]]:
    """Boxes (run, x, width) in rows as wide as the drawing."""
    rows: list[list[tuple[RunPatch, float, float]]] = [[]]
    x = _FIRST + _GAP
    for patch in chain:
        wide = _box_width(patch)
        if rows[-1] and x + wide > WIDTH - 4:
            rows.append([])
            x = _FIRST + _GAP
        rows[-1].append((patch, x, wide))
        x += wide + _GAP
    return rows


def _output(name: str, universe: int | None, y: float) -> list[Markup]:
    below = f"from universe {universe}" if universe else "no universe"
    said = svg.fitted(f"output {name}", TYPE, _FIRST - 12, bold=True)
    return [
        svg.rect(2, y, _FIRST, _BOX_H, width=1.8),
        svg.text(2 + _FIRST / 2, y + 16, said, TYPE, bold=True, anchor="middle"),
        svg.text(2 + _FIRST / 2, y + 30, below, SMALL, ink="soft", anchor="middle"),
    ]


def _chain_row(boxes: list[tuple[RunPatch, float, float]], y: float, goes_on: bool) -> list[Markup]:
    parts: list[Markup] = []
    middle = y + _BOX_H / 2
    begin = 2 + _FIRST
    if goes_on:
        parts += [
            svg.line(
                [(begin - 40, middle - 18), (begin - 40, middle), (begin, middle)], 1.2, dash="3 3"
            ),
        ]
    for patch, x, wide in boxes:
        parts.append(svg.line([(begin, middle), (x - 1, middle)], 1.6))
        head = [(x - 1, middle), (x - 10, middle - 4.5), (x - 10, middle + 4.5)]
        parts.append(svg.line(head, 1.0, fill="ink"))
        parts.append(svg.rect(x, y, wide, _BOX_H, fill="tint", round_=3))
        parts.append(svg.text(x + 9, y + 16, _name(patch), TYPE, bold=True))
        parts.append(svg.text(x + 9, y + 30, _below(patch), SMALL, ink="soft"))
        begin = x + wide
    return parts


_CELL_W, _CELL_H, _MONTH_W = 28.6, 21.0, 104.0


def year_figure(plan: YearPlan) -> Markup:
    """The year, a row a month and a cell a day, in the first two colours of its scheme."""
    colours = {name: swatch(scheme) for name, scheme in plan.season.schemes.items()}
    parts = [
        svg.text(_MONTH_W + (day - 0.5) * _CELL_W, 12, str(day), SMALL, ink="soft", anchor="middle")
        for day in range(1, 32)
    ]
    for month in range(1, 13):
        y = 18 + (month - 1) * _CELL_H
        parts.append(svg.text(0, y + 14, calendar.month_name[month], TYPE))
    for evening in plan.evenings:
        parts += _day(evening, colours)
    y = 18 + 12 * _CELL_H + 14
    parts += _legend(plan, colours, y)
    rows = _legend_rows(plan)
    said = f"Calendar of {plan.year}: which scheme is lit on which evening"
    return svg.drawing(WIDTH, y + 20 * rows + 2, said, parts)


def _day(evening: Evening, colours: dict[str, tuple[str, ...]]) -> list[Markup]:
    x = _MONTH_W + (evening.date.day - 1) * _CELL_W
    y = 18 + (evening.date.month - 1) * _CELL_H
    if not evening.lit or not evening.scheme:
        return [svg.rect(x + 1, y + 1, _CELL_W - 2, _CELL_H - 3, ink="hair", width=0.8)]
    own = colours[evening.scheme]
    if evening.why == "otherwise":
        return [
            svg.rect(x + 1, y + 1, _CELL_W - 2, _CELL_H - 3, ink="hair", fill="tint", width=0.8),
            svg.swatch(x + 3, y + _CELL_H - 7, _CELL_W - 6, 3.5, own[0]),
            svg.frame(x + 3, y + _CELL_H - 7, _CELL_W - 6, 3.5, ink="hair", width=0.5),
        ]
    half = (_CELL_W - 2) / len(own)
    patches = [svg.swatch(x + 1 + k * half, y + 1, half, _CELL_H - 3, c) for k, c in enumerate(own)]
    return [*patches, svg.frame(x + 1, y + 1, _CELL_W - 2, _CELL_H - 3)]


def _legend_items(plan: YearPlan) -> list[tuple[str, str, float, float]]:
    """(scheme, name, x, row) of each patch of the legend."""
    items: list[tuple[str, str, float, float]] = []
    x, row = 0.0, 0
    for name in plan.season.schemes:
        said = svg.fitted(scheme_name(plan, name), TYPE, 240)
        wide = 54 + svg.width_of(said, TYPE) + 24
        if x and x + wide > WIDTH:
            x, row = 0.0, row + 1
        items.append((name, said, x, row))
        x += wide
    return items


def _legend_rows(plan: YearPlan) -> float:
    return max((row for *_, row in _legend_items(plan)), default=0) + 1


def _legend(plan: YearPlan, colours: dict[str, tuple[str, ...]], y: float) -> list[Markup]:
    parts = []
    for name, said, x, row in _legend_items(plan):
        at = y + 20 * row
        half = 46 / len(colours[name])
        parts += [svg.swatch(x + k * half, at, half, 13, c) for k, c in enumerate(colours[name])]
        parts.append(svg.frame(x, at, 46, 13))
        parts.append(svg.text(x + 54, at + 11, said, TYPE))
    return parts
