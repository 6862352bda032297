"""What `fault` tells: the house with something broken, beside the sound one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from effects import Show
from layouts.faults import Fault
from layouts.finding import Finding
from layouts.records import House
from sim.circuit import Solution
from sim.frame import Frame, Rig, frame_of, on_wire
from sim.upkeep import BrokenFrame, broken, frame_of_broken
from sim.upkeep.broken_findings import broken_findings
from sim.upkeep.pixel_names import stretches

from .blocks import (
    Block,
    Cautions,
    Findings,
    Listed,
    Table,
    Title,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from .cautions import MENDING, WIRING
from .text import amps, clock, percent
from .wording import fault_label, finding_json

#: A pixel whose light differs by more than this share of what it should be is told.
_OTHER = 0.1


@dataclass(frozen=True, eq=False)
class FaultReport:
    """One instant of a scheme on a broken house, and on the sound one."""

    show: Show
    at_s: float
    sound: Frame  # T = 1
    frame: BrokenFrame  # T = 1
    findings: tuple[Finding, ...]

    @property
    def house(self) -> House:
        return self.frame.broken.rig.house

    @property
    def faults(self) -> tuple[Fault, ...]:
        return self.frame.broken.faults

    @property
    def should(self) -> np.ndarray:
        """(N,) bool: lit in the sound house."""
        return np.asarray(self.sound.light[0].max(axis=-1) > 0)

    @property
    def dark(self) -> np.ndarray:
        """(N,) bool: should be lit and is not."""
        return np.asarray(self.should & (self.frame.light[0].max(axis=-1) <= 0))

    @property
    def flickers(self) -> np.ndarray:
        """(N,) bool."""
        return np.asarray(self.frame.flickers[0])

    @property
    def other(self) -> np.ndarray:
        """(N,) bool: steady, but visibly another light than it should be."""
        sound, now = self.sound.light[0], self.frame.light[0]
        differs = np.abs(now - sound).max(axis=-1) > _OTHER * np.maximum(
            sound.max(axis=-1), now.max(axis=-1)
        )
        return np.asarray(differs & ~self.dark & ~self.flickers & (now.max(axis=-1) > 0))


def fault_report(
    rig: Rig, show: Show, faults: Sequence[Fault], *, at_s: float = 0.0, seed: int = 0
) -> FaultReport:
    """The scheme at `at_s` [s] on the house with these faults; `seed` is that of garbage."""
    codes = on_wire(rig, show, np.array([at_s]))
    number = round(at_s * show.fps)
    found = frame_of_broken(broken(rig, faults, seed=seed), codes, number=number)
    return FaultReport(show, at_s, frame_of(rig, codes), found, broken_findings(found))


def words_below(report: FaultReport) -> tuple[str, str]:
    """What stands below the sound house and below the broken one."""
    broken_parts = ", ".join(fault_label(fault, report.house) for fault in report.faults)
    return f"{report.show.scheme.name}, all sound", broken_parts or "nothing broken"


def fault_blocks(report: FaultReport) -> Iterator[Block]:
    """The report as a person reads it."""
    house = report.house
    yield Title(
        spans(
            (report.show.scheme.name, "strong"),
            f" on {house.name}, broken\n",
            (f"at {clock(report.at_s)}, fuses that open within seconds opened", "quiet"),
        )
    )
    labels = tuple(spans(fault_label(fault, house)) for fault in report.faults)
    yield section("Broken", Listed(labels) if labels else words("nothing"))
    yield section("Seen from the street", *_seen(report))
    if house.supplies:
        yield section("Supplies", _supplies(report))
    yield section("Runs", _runs(report))
    yield section("Findings", _found(report))
    yield section("Cautions", Cautions((*MENDING, *WIRING)))


def _seen(report: FaultReport) -> Iterator[Block]:
    total = int(report.should.sum())
    for what, chosen in (
        ("dark", report.dark),
        ("flickers", report.flickers),
        ("another light", report.other),
    ):
        if chosen.any():
            where = ", ".join(stretches(report.house, chosen))
            yield words((f"{what}: ", "strong"), f"{int(chosen.sum())} of {total}: {where}")
    if not (report.dark | report.flickers | report.other).any():
        yield note("nothing differs from the sound house")


def _found(report: FaultReport) -> Block:
    """The findings; where there are none and something is seen, that it is all there is."""
    seen = [
        f"{count} {'pixel' if count == 1 else 'pixels'} {one if count == 1 else many}"
        for chosen, one, many in (
            (report.dark, "is dark", "are dark"),
            (report.flickers, "flickers", "flicker"),
            (report.other, "has another light", "have another light"),
        )
        if (count := int(chosen.sum()))
    ]
    if report.findings or not seen:
        return Findings(report.findings)
    return words(f"{' and '.join(seen)}, as above; nothing else is found")


def _supplies(report: FaultReport) -> Table:
    rows = []
    for s, supply in enumerate(report.house.supplies):
        sound_a = float(report.sound.supply_a[0, s])
        now_a = float(report.frame.solution.supply_a[0, s])
        on = sum(state.share for state in report.frame.states if supply.name not in state.off)
        rows.append(
            row(supply.name, amps(sound_a), amps(now_a), percent(now_a / supply.rated_a),
                "" if on > 1 - 1e-9 else f"on {percent(on)} of the time")
        )  # fmt: skip
    return Table(columns("supply", ">sound", ">broken", ">of its rating", ""), tuple(rows))


def _runs(report: FaultReport) -> Table:
    rows = []
    for run in report.house.runs:
        cells = []
        for solution in (report.sound.solution, report.frame.solution):
            volts = solution.volts[0, run.pixels]
            least = int(volts.argmin())
            cells += [f"{volts[least]:.2f} V", str(least)]
        lit = int((report.frame.light[0, run.pixels].max(axis=-1) > 0).sum())
        rows.append(row(run.name, f"{lit} of {int(report.should[run.pixels].sum())}", *cells))
    heads = ("run", ">lit", ">least, sound", ">at", ">least, broken", ">at")
    return Table(columns(*heads), tuple(rows))


def as_json(report: FaultReport) -> dict[str, Any]:
    """The report as plain data. Fields are stable; later versions only add."""
    house, frame = report.house, report.frame
    sound, now = report.sound.solution, frame.solution
    return {
        "house": house.name,
        "scheme": report.show.scheme.name,
        "at_s": report.at_s,
        "faults": [
            {**_given(fault), "label": fault_label(fault, house)} for fault in report.faults
        ],
        "dark": stretches(house, report.dark),
        "flickers": stretches(house, report.flickers),
        "another_light": stretches(house, report.other),
        "dark_pixels": int(report.dark.sum()),
        "fuses_opened": [house.wires[w].label for w in frame.opened],
        "supplies": [
            {
                "name": supply.name,
                "sound_a": float(sound.supply_a[0, s]),
                "amps": float(now.supply_a[0, s]),
                "on_share": sum(st.share for st in frame.states if supply.name not in st.off),
                "trips": supply.name in frame.tripped,
            }
            for s, supply in enumerate(house.supplies)
        ],
        "wires": [
            {
                "wire": wire.label,
                "sound_a": float(sound.wire_a[0, w]),
                "amps": float(now.wire_a[0, w]),
                "minus_a": float(now.wire_minus_a[0, w]),
            }
            for w, wire in enumerate(house.wires)
        ],
        "runs": [
            {
                "name": run.name,
                "sound": _least(sound, run.pixels),
                "broken": _least(now, run.pixels),
                "volts": frame.volts[0, run.pixels],
            }
            for run in house.runs
        ],
        "findings": [finding_json(each) for each in report.findings],
    }


def _given(fault: Fault) -> dict[str, Any]:
    return {key: value for key, value in vars(fault).items() if value is not None}


def _least(solution: Solution, pixels: slice) -> dict[str, Any]:
    volts = solution.volts[0, pixels]
    return {"min_v": float(volts.min()), "pixel": int(volts.argmin())}
