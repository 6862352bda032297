"""The power report as a person reads it: loads, wires, volts, energy, findings, cautions."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from .cautions import WIRING
from .records import PowerReport, RunVolts, SupplyLoad, WireLoad
from .text import (
    QUIET,
    amps,
    cautions_block,
    clock,
    count,
    findings_block,
    heading,
    indent,
    load_bar,
    number,
    percent,
    table,
)

#: Drop in share of the supply that a run should stay under, and the one it must.
#: Common practice, no source: 10 % is accepted, careful people keep 5 %.
DROP_CAREFUL, DROP_MOST = 0.05, 0.10


def power_screen(report: PowerReport, width: int) -> Iterator[RenderableType]:
    """The whole report, part by part, for a terminal of `width` cells."""
    yield _title(report)
    if report.supplies:
        yield heading("Supplies")
        yield indent(_supplies(report.supplies, bar_width=14 if width < 100 else 30))
    if report.at:
        yield heading(f"At {clock(report.at.time_s)}")
        yield indent(_instant(report))
    yield heading("Runs")
    yield indent(_runs(report.runs, wide=width >= 100))
    if report.wires:
        yield heading("Wires")
        yield indent(*_wires(report.wires, wide=width >= 100))
    yield heading("Brightness and energy")
    yield indent(*_energy(report))
    yield heading("Findings")
    yield indent(findings_block(report.findings))
    yield heading("Cautions")
    yield indent(cautions_block(WIRING))


def _title(report: PowerReport) -> Text:
    seen = "one whole period" if report.whole_period else "not a whole period"
    return Text.assemble(
        (report.scheme, "bold"),
        f" on {report.house}\n",
        (
            f"{count(report.frames)} frames, {clock(report.seconds)} at {report.fps:g} fps "
            f"({seen}), brightness {percent(report.brightness)}",
            QUIET,
        ),
    )


def _supplies(supplies: tuple[SupplyLoad, ...], bar_width: int) -> RenderableType:
    full = max(1.0, *(supply.load for supply in supplies))
    made = table("supply", ">rating", "load", ">", ">peak", ">at", ">mean", ">nameplate")
    for supply in supplies:
        made.add_row(
            supply.name,
            f"{supply.volts:g} V {supply.rated_a:g} A",
            load_bar(supply.load, full, bar_width),
            percent(supply.load),
            amps(supply.peak_a),
            clock(supply.peak_time_s),
            amps(supply.mean_a),
            amps(supply.nameplate_a),
        )
    return made


def _instant(report: PowerReport) -> RenderableType:
    assert report.at is not None
    made = table("run", ">draws", ">least volts", ">at pixel")
    for name, run in report.at.runs.items():
        least = min(range(len(run.volts)), key=run.volts.__getitem__)
        made.add_row(name, amps(sum(run.amps)), f"{run.volts[least]:.2f} V", str(least))
    for name, current_a in report.at.supplies_a.items():
        made.add_row(Text(f"supply {name}", style="bold"), amps(current_a), "", "")
    return made


def _runs(runs: tuple[RunVolts, ...], wide: bool) -> RenderableType:
    columns = ["run", ">pixels", "kind", ">least volts", ">drop", ">pixel", ">at"]
    made = table(*(columns if wide else [c for c in columns if c != "kind"]))
    for run in runs:
        drop = 1 - run.min_v / run.nominal_v
        style = "red" if drop > DROP_MOST else "yellow" if drop > DROP_CAREFUL else ""
        row: list[str | Text] = [
            run.name,
            count(run.pixels),
            run.kind,
            f"{run.min_v:.2f} of {run.nominal_v:g} V",
            Text(percent(drop), style=style),
            str(run.min_v_pixel),
            clock(run.min_v_time_s),
        ]
        if not wide:
            del row[2]
        made.add_row(*row)
    return made


def _wires(wires: tuple[WireLoad, ...], wide: bool) -> Iterator[RenderableType]:
    columns = ["from → to", "wire", ">peak", ">carries", ">fuse", ">far short", ">drop"]
    made = table(*columns)
    for wire in wires:
        made.add_row(
            f"{wire.start} → {wire.end}",
            f"{wire.size}, {number(wire.length_m)} m" if wide else wire.size,
            amps(wire.peak_a),
            f"{wire.ampacity_a:g} A",
            "none" if wire.fuse_a is None else f"{wire.fuse_a:g} A",
            "" if wire.short_a is None else amps(wire.short_a),
            f"{wire.drop_v:.2f} V",
        )
    yield made
    yield Text(
        "far short: the current when + and − touch at the farthest point the fuse protects; "
        "it must reach twice the fuse rating to open it soon",
        style=QUIET,
    )


def _energy(report: PowerReport) -> Iterator[RenderableType]:
    ceiling, energy = report.brightness_ceiling, report.energy
    if ceiling >= 1:
        yield Text("Ceiling 100 %: nothing exceeds its limit at full brightness.")
    else:
        over = " The scheme is above it." if report.brightness > ceiling else ""
        yield Text.assemble(
            (f"Ceiling {percent(ceiling)}", "bold"),
            f": the highest brightness at which nothing exceeds its limit.{over}",
        )
    yield Text(
        f"Nameplate {amps(report.nameplate_a)}: every channel of every pixel full, at full voltage."
    )
    yield Text(
        f"Mean {number(energy.dc_w_mean)} W from the supplies, {number(energy.wall_w_mean)} W "
        f"from the wall; {number(energy.copper_w_mean)} W of it warms copper. "
        f"Dark but switched on: {number(energy.idle_wall_w)} W from the wall."
    )
