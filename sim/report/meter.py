"""What `meter` tells: what the readings come to, how sure that is, and what changes with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from layouts.finding import Finding
from layouts.records import House
from sim.circuit import energy, loads, supply_uses
from sim.circuit.build import build
from sim.plan.loadcase import full_codes
from sim.report.blocks import (
    Block,
    Cautions,
    Findings,
    Table,
    Title,
    columns,
    note,
    row,
    section,
    spans,
)  # fmt: skip
from sim.report.cautions import WIRING
from sim.report.text import amps, percent
from sim.report.wording import finding_json
from sim.upkeep.meter import MeterFit, calibrated, fit, meter_findings
from sim.upkeep.readings import Readings

#: A standard uncertainty times this covers 95 % of a normal distribution (JCGM 100, G.6.6).
COVER = 2


@dataclass(frozen=True)
class AtTheWall:
    """A house with every pixel dark, and with every channel full."""

    idle_w: float
    full_w: float
    full_a: tuple[float, ...]  # of each supply


@dataclass(frozen=True, eq=False)
class MeterReport:
    """Readings fitted, with the house before and after."""

    house: House  # with what was fitted
    readings: Readings
    fits: tuple[MeterFit, ...]
    before: AtTheWall
    after: AtTheWall
    findings: tuple[Finding, ...]

    @property
    def can_write(self) -> bool:
        """Whether every supply that was read has something to keep."""
        return all(each.can_write for each in self.fits)


def meter_report(house: House, readings: Readings) -> MeterReport:
    """Fit `readings` of `house`. Raises InputError for readings that cannot be."""
    fits = fit(readings, house)
    kept = [each for each in fits if each.can_write]
    made = calibrated(house, kept)
    return MeterReport(
        made, readings, fits, _at_the_wall(house), _at_the_wall(made), meter_findings(fits)
    )


def _at_the_wall(house: House) -> AtTheWall:
    network = build(house)
    full = loads(network, full_codes(house, 1.0))
    dark = loads(network, full_codes(house, 0.0))
    found = energy(network, full, dark)
    assert found.idle_wall_w is not None
    assert found.wall_w_mean is not None
    plates = tuple(use.peak_a for use in supply_uses(network, full))
    return AtTheWall(found.idle_wall_w, found.wall_w_mean, plates)


_WORDS = {
    "idle": "idle current, times the sheet's",
    "all": "current of all channels, times the sheet's",
    "curve_a": "the supply alone [W]",
    "curve_b": "W at the wall for each W out",
    "curve_c": "and for each W² out",
}


def meter_blocks(report: MeterReport) -> Iterator[Block]:
    """The whole report, part by part."""
    meter = report.readings.accuracy
    said = f"meter within ±{percent(meter.share)} and ±{meter.watts:g} W"
    yield Title(spans(("Readings", "strong"), f" of {report.house.name}\n", (said, "quiet")))
    for each in report.fits:
        yield section(f"Supply {each.supply.name}", *_fit(each))
    yield section("What changes", _changes(report))
    yield section("Findings", Findings(report.findings))
    yield section("Cautions", Cautions(WIRING))


def _fit(each: MeterFit) -> Iterator[Block]:
    rows = [
        row(
            _WORDS.get(name, f"current of {name}, times the sheet's"),
            f"{value:.4f}" if name == "curve_c" else f"{value:.3f}",
            f"± {COVER * each.uncertainty[name]:.2g}",
        )
        for name, value in each.found.items()
    ]
    if rows:
        yield Table(columns("found", ">", ">95 %"), tuple(rows))
    yield Table(
        columns("lit", ">read", ">by the sheets", ">as fitted", ">off"),
        tuple(
            row(
                fitted.reading.said,
                f"{fitted.reading.watts:.1f} W",
                f"{fitted.sheet_w:.1f} W",
                f"{fitted.fitted_w:.1f} W",
                f"{fitted.residual_w:+.2f} W",
            )
            for fitted in each.rows
        ),
    )
    assumed = [word for name, word in (("curve_a", "no-load watts"), ("curve_b", "efficiency"))
               if name not in each.found]  # fmt: skip
    if assumed:
        yield note(
            f"the supply's {' and '.join(assumed)} as the house file says, and as uncertain as"
            " such supplies are; the wall alone cannot tell them from the pixels' currents"
        )

    if any(value < 1 for name, value in each.found.items() if not name.startswith("curve")):
        yield note(
            "meters that nobody checked mostly show too little; where this comes out below the"
            " sheets, supplies, wires and fuses are still best chosen by the sheets"
        )


def _changes(report: MeterReport) -> Table:
    before, after = report.before, report.after
    rows = [
        row("wall, all dark", f"{before.idle_w:.1f} W", f"{after.idle_w:.1f} W"),
        row("wall, every channel full", f"{before.full_w:.0f} W", f"{after.full_w:.0f} W"),
    ]
    for supply, was, now in zip(report.house.supplies, before.full_a, after.full_a, strict=True):
        rows.append(row(f"{supply.name}, every channel full", amps(was), amps(now)))
    return Table(columns("", ">before", ">after"), tuple(rows))


def as_json(report: MeterReport) -> dict[str, Any]:
    """The report as plain data. Fields are stable; later versions only add."""
    return {
        "house": report.house.name,
        "meter": vars(report.readings.accuracy),
        "supplies": [
            {
                "name": each.supply.name,
                "runs": [run.name for run in each.runs],
                "found": {
                    name: {"value": value, "uncertainty": each.uncertainty[name]}
                    for name, value in each.found.items()
                },
                "law_holds": each.law_holds,
                "spare": each.spare,
                "deviation_w": each.deviation_w,
                "missing": each.missing,
                "readings": [
                    {
                        "lit": fitted.reading.said,
                        "watts": fitted.reading.watts,
                        "sheet_w": fitted.sheet_w,
                        "fitted_w": fitted.fitted_w,
                        "residual_w": fitted.residual_w,
                    }
                    for fitted in each.rows
                ],
            }
            for each in report.fits
        ],
        "before": vars(report.before),
        "after": vars(report.after),
        "can_write": report.can_write,
        "findings": [finding_json(each) for each in report.findings],
    }
