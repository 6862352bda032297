"""What `patch` tells: where every pixel is addressed, and how often it can be renewed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from layouts import house_findings
from layouts.errors import shown
from layouts.finding import Finding
from layouts.records import House, Run
from sim.data.patch import HousePatch, Refresh, refreshes

from .blocks import Block, Cautions, Findings, Row, Table, Title, columns, note, row, section, spans
from .cautions import WIRING
from .csv_cells import csv_line
from .text import count, number
from .wording import finding_json

COLUMNS = (
    "run",
    "position",
    "output",
    "universe",
    "slot",
    "x_m",
    "y_m",
    "spare",
    "order",
    "missing",
)
#: Of a house file, those that concern its data line.
_CODES = ("refresh-rate", "data-hop", "run-without-output", "addresses-overlap")
_STRADDLING = (
    "A pixel does not straddle two universes: a full one holds {full}, and the slots left over "
    "stay 0. Universes and slots count from 1."
)
_FULL = {
    4: "170 pixels of three channels or 128 of four",
    5: "170 pixels of three channels, 128 of four or 102 of five",
}


def patch_rows(patch: HousePatch) -> Iterator[dict[str, Any]]:
    """One row a pixel, in data order of every run. Fields are stable; later versions only add."""
    house = patch.house
    for run in house.runs:
        for position in range(run.count):
            at = run.first + position
            output, universe = int(patch.output[at]), int(patch.universe[at])
            yield {
                "run": run.name,
                "position": position,
                "output": house.outputs[output].name if output >= 0 else None,
                "universe": universe or None,
                "slot": int(patch.slot[at]) or None,
                "x_m": float(house.pixels.xy_m[at, 0]),
                "y_m": float(house.pixels.xy_m[at, 1]),
                "spare": bool(house.pixels.spare[at]),
                "order": run.kind.order,
                "missing": position in run.missing,
            }


def patch_findings(house: House) -> tuple[Finding, ...]:
    """What `check` finds of outputs and addresses."""
    return tuple(each for each in house_findings(house) if each.code in _CODES)


def as_json(patch: HousePatch) -> dict[str, Any]:
    """Everything as plain data. Fields are stable; later versions only add."""
    return {
        "house": patch.house.name,
        "straddling": False,
        "universes": [
            {"universe": number, "slots": slots}
            for number, slots in zip(patch.universes, patch.counts, strict=True)
        ],
        "outputs": [refresh_json(each) for each in refreshes(patch.house)],
        "unaddressed": patch.unaddressed,
        "pixels": list(patch_rows(patch)),
        "findings": [finding_json(each) for each in patch_findings(patch.house)],
    }


def refresh_json(each: Refresh) -> dict[str, Any]:
    """The refresh rate of one output as every report has it."""
    return {
        "output": each.output,
        "pixels": each.pixels,
        "bits": each.bits,
        "reset_us": each.reset_us,
        "frame_ms": each.frame_ms,
        "refresh_hz": each.most_hz,
        "asked_hz": each.asked_hz,
    }


def csv_lines(patch: HousePatch) -> Iterator[str]:
    """One line a pixel, after a line of names."""
    yield csv_line(COLUMNS)
    for each in patch_rows(patch):
        yield csv_line(int(v) if isinstance(v, bool) else v for v in each.values())


def refresh_table(house: House, asked_hz: float | None = None) -> Table:
    """How often each output can renew its pixels; `asked_hz` where the house does not say."""
    rows = []
    for each in refreshes(house):
        asked = each.asked_hz if each.asked_hz is not None else asked_hz
        late = asked is not None and asked > each.most_hz * (1 + 1e-9)
        rows.append(
            row(
                shown(each.output),
                count(each.pixels),
                count(each.bits),
                f"{each.frame_ms:.2f} ms",
                (f"{number(each.most_hz)} Hz", "warn" if late else ""),
                "" if asked is None else f"{asked:g} Hz",
            )
        )
    heads = ("output", ">pixels", ">bits", ">a frame takes", ">at most", ">asked")
    return Table(columns(*heads), tuple(rows))


def patch_blocks(patch: HousePatch) -> Iterator[Block]:
    """The patch as a person reads it: a line a piece of a run within one universe."""
    house = patch.house
    pixels = house.present
    used = f"{count(pixels)} pixels, {count(len(patch.universes))} universes"
    yield Title(spans(("Patch of " + shown(house.name), "strong"), ("  " + used, "quiet")))
    yield section(
        "Addresses", _pieces(patch), note(_STRADDLING.format(full=_FULL[len(patch.house.channels)]))
    )
    if house.outputs:
        rule = "Bits at the kind's clock, one after another, and the longest reset."
        yield section("Refresh", refresh_table(house), note(rule))
    yield section("Findings", Findings(patch_findings(house)))
    yield section("Cautions", Cautions(WIRING))


def _pieces(patch: HousePatch) -> Table:
    house, rows = patch.house, []
    for run in house.runs:
        begun = run.first
        for at in range(run.first, run.first + run.count):
            ends = at + 1 == run.first + run.count
            there = at - run.first not in run.missing
            alike = not ends and patch.universe[at + 1] == patch.universe[at]
            if alike and there == (at + 1 - run.first not in run.missing):
                continue
            if not there:
                rows.append(_gap(run, begun - run.first, at - run.first))
                begun = at + 1
                continue
            output, universe = int(patch.output[begun]), int(patch.universe[begun])
            first = int(patch.slot[begun])
            last = int(patch.slot[at]) + len(run.kind.order) - 1
            rows.append(
                row(
                    shown(house.outputs[output].name) if output >= 0 else ("none", "warn"),
                    shown(run.name),
                    f"{begun - run.first}–{at - run.first}",
                    run.kind.order,
                    str(universe) if universe else "none",
                    f"{first}–{last}" if universe else "",
                )
            )
            begun = at + 1
    heads = ("output", "run", ">pixels", "order", ">universe", ">slots")
    return Table(columns(*heads), tuple(rows))


def _gap(run: Run, first: int, last: int) -> Row:
    """A row for positions without a pixel."""
    return row("", shown(run.name), f"{first}–{last}", ("cut out", "quiet"), "", "")
