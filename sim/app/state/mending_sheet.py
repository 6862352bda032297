"""What stands on the sheet, line by line: what can be broken, what is, what comes of it. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from layouts import House
from sim.app.state.actions import Action, ToggleOverlay
from sim.app.state.mending import UNITS, broken_now, sheet_of
from sim.app.state.mending_offers import groups_of
from sim.app.state.mending_record import (
    BeginTyped,
    BreakIt,
    MendAll,
    MendIt,
    OpenSheet,
    SaveFaults,
    TypedValue,
)
from sim.app.state.record import State
from sim.app.state.touch_record import OpenThing, Thing
from sim.report.cautions import MENDING, WIRING
from sim.report.text import amps
from sim.report.wording.faults import fault_label
from sim.report.wording.sentences import sentence

if TYPE_CHECKING:
    from sim.report.fault import FaultReport

LineForm = Literal["head", "text", "quiet", "strong", "cells", "cause", "warn", "caution", "table"]
TITLES = {"break": "Break", "broken": "Broken now", "seen": "What do you see?"}


@dataclass(frozen=True)
class SheetCell:
    """Something that can be pressed."""

    text: str
    action: Action
    on: bool = False
    rgb: tuple[int, int, int] | None = None
    wide: bool = False  # takes the line for itself, its words to the left
    takes_away: bool = False  # with a cross at its right
    typed: str | None = None  # what is being typed in its place
    share: float | None = None  # 0..1 drawn beneath it


@dataclass(frozen=True)
class SheetLine:
    """One line; `value` stands at its right."""

    form: LineForm
    text: str = ""
    value: str = ""
    cells: tuple[SheetCell, ...] = ()
    share: float = 0.0


def lines_of(state: State, told: FaultReport | None = None) -> tuple[SheetLine, ...]:
    """All lines of the page that is seen; `told` is the broken house of the frame on show."""
    page = sheet_of(state)
    house = state.mending.house
    if page is None or house is None:
        return ()
    if page == "seen":
        from sim.app.state.sighted_sheet import seen_lines

        return tuple(seen_lines(state, house))
    made = _breaking(state, house) if page == "break" else _broken(state, house, told)
    return (*made, *cautions())


def cells_of(state: State) -> tuple[SheetCell, ...]:
    """All that can be pressed, in order."""
    return tuple(cell for line in lines_of(state) for cell in line.cells)


def cautions() -> Iterator[SheetLine]:
    """What stands wherever something is broken or mended; the first stands at the foot always."""
    yield SheetLine("head", "Cautions")
    for text in (*MENDING[1:], *WIRING):
        yield SheetLine("caution", text)


def typed_cell(state: State, what: TypedValue, value: str) -> SheetCell:
    """A value that can be typed."""
    held = state.mending.typing
    mine = held is not None and held.what == what
    return SheetCell(value, BeginTyped(what), typed=held.text if held and mine else None)


def wrong_lines(state: State, what: TypedValue) -> Iterator[SheetLine]:
    """Why what is typed cannot be taken."""
    held = state.mending.typing
    if held is not None and held.what == what and held.wrong:
        yield SheetLine("warn", held.wrong)


# --- what can be broken ---


def _breaking(state: State, house: House) -> Iterator[SheetLine]:
    thing, on = state.touch.card, state.mending
    if thing is None:
        yield SheetLine("text", "Click the run, wire or supply that is to break, or press T.")
        if "wires" not in state.overlays:
            yield SheetLine("cells", cells=(SheetCell("Show wires", ToggleOverlay("wires")),))
        yield from _count(state)
        return
    pixel = state.selection if state.selection is not None else state.touch.pixel
    yield SheetLine("strong", _where(house, thing, pixel))
    if thing.form == "run" and pixel is not None and thing.index < len(house.runs):
        run = house.runs[thing.index]
        steps = [(f"‹ {word}", by) for word, by in (("10", -10), ("1", -1))]
        steps += [(f"{word} ›", by) for word, by in (("1", 1), ("10", 10))]
        cells = tuple(
            SheetCell(text, OpenThing(thing, min(max(pixel + by, run.first),
                                                 run.first + run.count - 1)))
            for text, by in steps
        )  # fmt: skip
        yield SheetLine("cells", "pixel", cells=cells)
    for group in groups_of(house, thing, pixel, on):
        yield SheetLine("head", group.title)
        cells = tuple(
            SheetCell(offer.label, BreakIt(offer.fault), offer.fault in on.faults,
                      offer.fault.colour)
            for offer in group.offers
        )  # fmt: skip
        if group.value is None:
            yield SheetLine("cells", cells=cells)
            continue
        value = _value(state, house, thing, group.value)
        yield SheetLine("cells", "of", cells=(typed_cell(state, group.value, value), *cells))
        yield from wrong_lines(state, group.value)
    yield from _count(state)


def _where(house: House, thing: Thing, pixel: int | None) -> str:
    if thing.form != "run" or pixel is None:
        return thing.spoken
    run = house.runs[house.pixels.run[min(pixel, len(house.pixels) - 1)]]
    return f"pixel {pixel - run.first} of {run.name}"


def _value(state: State, house: House, thing: Thing, what: TypedValue) -> str:
    on = state.mending
    if what == "sag":
        return f"{house.supplies[thing.index].volts * on.sag_share:.3g} V"
    ohm = on.joint_ohm if what == "joint" else on.short_ohm
    return f"{ohm:.3g} {UNITS[what][0]}"


def _count(state: State) -> Iterator[SheetLine]:
    """The ways to the other pages."""
    number = len(state.mending.faults)
    cells = [SheetCell("What do you see?", OpenSheet("seen"))]
    if number:
        cells.insert(0, SheetCell(f"Broken now: {number}", OpenSheet("broken")))
        cells.append(SheetCell("Mend all", MendAll()))
    yield SheetLine("head", "Other pages")
    yield SheetLine("cells", cells=tuple(cells))


# --- what is broken ---


def _broken(state: State, house: House, told: FaultReport | None) -> Iterator[SheetLine]:
    yield SheetLine("quiet", "A trial: the house file stays as it is. A click mends.")
    faults = state.mending.faults
    if not faults:
        yield SheetLine("text", "Nothing is broken.")
    for fault in faults:
        cell = SheetCell(fault_label(fault, house), MendIt(fault), wide=True, takes_away=True)
        yield SheetLine("cells", cells=(cell,))
    cells = [SheetCell("Break something", OpenSheet("break"))]
    if not faults:
        cells.append(SheetCell("What do you see?", OpenSheet("seen")))
    else:
        cells += [SheetCell("Mend all", MendAll()), SheetCell("Save as a file", SaveFaults())]
    yield SheetLine("cells", cells=tuple(cells))
    if told is None or not broken_now(state):
        return
    yield SheetLine("head", "Seen from the street")
    yield from _looks(told)
    if told.frame.opened:
        yield SheetLine("head", "Fuses that open")
        for wire in told.frame.opened:
            of = house.wires[wire]
            yield SheetLine("warn", f"{of.label}, {of.fuse_a:g} A")
    if house.supplies:
        yield SheetLine("head", "Supplies now", "sound → broken")
        sound_a, now_a = told.sound.supply_a[0], told.frame.solution.supply_a[0]
        for index, supply in enumerate(house.supplies):
            pair = f"{amps(float(sound_a[index]))} → {amps(float(now_a[index]))}"
            yield SheetLine("table", supply.name, pair)
    runs = list(_least_volts(told))
    if runs:
        yield SheetLine("head", "Least volts of runs", "sound → broken")
    yield from runs
    if told.findings:
        yield SheetLine("head", "Findings")
    for found in told.findings:
        form: LineForm = "warn" if found.level in ("danger", "warning") else "text"
        yield SheetLine(form, sentence(found))


def _least_volts(told: FaultReport) -> Iterator[SheetLine]:
    """Of the runs in which they are others than in the sound house."""
    for run in told.house.runs:
        sound_v = float(told.sound.solution.volts[0, run.pixels].min())
        now_v = float(told.frame.volts[0, run.pixels].min())
        if abs(sound_v - now_v) >= 0.005:
            yield SheetLine("table", run.name, f"{sound_v:.2f} V → {now_v:.2f} V")


def _looks(told: FaultReport) -> Iterator[SheetLine]:
    from sim.upkeep.pixel_names import stretches

    total = int(told.should.sum())
    any_told = False
    for what, chosen in (
        ("dark", told.dark), ("flickers", told.flickers), ("another light", told.other),
    ):  # fmt: skip
        if chosen.any():
            any_told = True
            where = ", ".join(stretches(told.house, np.asarray(chosen))[:6])
            yield SheetLine("text", f"{what}: {int(chosen.sum())} of {total}: {where}")
    if not any_told:
        yield SheetLine("quiet", "Nothing differs from the sound house.")
