"""The power report as a person reads it: loads, wires, volts, energy, findings, cautions."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from layouts.catalogue import limits
from sim.frame import Frame, Rig
from sim.scan import Scan

from .cautions import WIRING
from .power import PowerReport
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

#: How long an evening is taken to be [h]; `season` counts the real ones.
EVENING_H = 5

#: Cells of a load bar.
LEAST_BAR, MOST_BAR = 10, 40


def power_screen(report: PowerReport, width: int) -> Iterator[RenderableType]:
    """The whole report, part by part, for a terminal of `width` cells."""
    watched, wide = report.scan, width >= 100
    yield _title(report)
    if watched.supplies:
        yield heading("Supplies")
        yield indent(_supplies(report, width), *_causes(report))
    yield heading("Worst instant")
    yield indent(_worst(report))
    if report.at is not None:
        yield heading(f"At {clock(float(report.at.time_s))}")
        yield indent(_instant(watched.rig, report.at))
    yield heading("Runs")
    yield indent(_runs(report, wide))
    if watched.wires:
        yield heading("Wires")
        yield indent(*_wires(report, wide))
    yield heading("Brightness and energy")
    yield indent(*_energy(report))
    yield heading("Findings")
    yield indent(findings_block(report.findings))
    yield heading("Cautions")
    yield indent(cautions_block(WIRING))


def _title(report: PowerReport) -> Text:
    watched = report.scan
    length = f"{count(watched.frames)} frames, {clock(watched.seconds)} at {watched.fps:g} fps"
    looked = f"{length}, {_seen(watched)}" if watched.frames > 1 else "one frame: it stands still"
    return Text.assemble(
        (watched.show.scheme.name, "bold"),
        f" on {watched.rig.house.name}\n",
        (f"{looked}; brightness {percent(watched.brightness)}", QUIET),
    )


def _seen(watched: Scan) -> str:
    """How much of the scheme the seconds watched are."""
    period_s = watched.show.period_s
    if period_s is None:
        return "of a scheme that never repeats"
    if watched.whole_period:
        return "one whole period"
    return f"of a period of {clock(period_s)}"


def _supplies(report: PowerReport, width: int) -> RenderableType:
    uses = report.scan.supplies
    full = max(1.0, *(use.load for use in uses))
    heads = ("supply", ">rating", "|load", ">", ">peak", ">at", ">mean", ">nameplate")
    rows = [
        (
            use.supply.name,
            f"{use.supply.volts:g} V {use.supply.rated_a:g} A",
            "",
            percent(use.load),
            amps(use.peak_a),
            clock(report.time_s(use.peak_frame)),
            amps(use.mean_a),
            amps(use.nameplate_a),
        )
        for use in uses
    ]
    columns = zip(heads, *rows, strict=True)
    taken = sum(max(len(cell) for cell in column) + 2 for column in columns)
    bar_width = min(max(width - taken, LEAST_BAR), MOST_BAR)
    made = table(*heads)
    for use, row in zip(uses, rows, strict=True):
        made.add_row(*row[:2], load_bar(use.load, full, bar_width), *row[3:])
    return made


def _causes(report: PowerReport) -> Iterator[RenderableType]:
    watched = report.scan
    for use, cause in zip(watched.supplies, report.causes, strict=True):
        layer = watched.show.layers[cause.layer].layer
        share = cause.run_a / use.peak_a if use.peak_a else 0
        yield Text(
            f"{use.supply.name} peaks because of layer {cause.layer + 1} ({layer.effect}), "
            f"{percent(share)} of it in {cause.run}",
            style=QUIET,
        )


def _worst(report: PowerReport) -> RenderableType:
    loads, worst = report.scan.loads, report.worst_frame
    shares = loads.run_a[worst]
    order = shares.argsort()[::-1]
    by_run = ", ".join(f"{report.scan.runs[r].run.name} {amps(float(shares[r]))}" for r in order)
    return Text.assemble(
        (amps(float(shares.sum())), "bold"),
        f" at {clock(report.time_s(worst))}: {by_run}",
    )


def _instant(rig: Rig, at: Frame) -> RenderableType:
    made = table("", ">draws", ">least volts", ">at pixel")
    for supply, current_a in zip(rig.house.supplies, at.supply_a, strict=True):
        made.add_row(f"supply {supply.name}", amps(float(current_a)))
    for run in rig.house.runs:
        volts = at.volts[run.pixels]
        least = int(volts.argmin())
        drawn_a = float(at.amps[run.pixels].sum())
        made.add_row(f"run {run.name}", amps(drawn_a), f"{volts[least]:.2f} V", str(least))
    return made


def _runs(report: PowerReport, wide: bool) -> RenderableType:
    columns = ["run", ">pixels", "|kind", ">peak", ">least volts", ">drop", ">pixel", ">at"]
    made = table(*(columns if wide else [c for c in columns if c != "|kind"]))
    held_to = limits()
    for use in report.scan.runs:
        over, near = use.drop > held_to.drop_warning, use.drop > held_to.drop_note
        style = "red" if over else "yellow" if near else ""
        row: list[str | Text] = [
            use.run.name,
            count(use.run.count),
            use.run.kind.name,
            amps(use.peak_a),
            f"{use.min_v:.2f} of {use.feed_v:g} V",
            Text(percent(use.drop), style=style),
            str(use.min_v_pixel),
            clock(report.time_s(use.min_v_frame)),
        ]
        if not wide:
            del row[2]
        made.add_row(*row)
    return made


def _wires(report: PowerReport, wide: bool) -> Iterator[RenderableType]:
    made = table("from → to", "|wire", ">peak", ">carries", ">fuse", ">far short", ">drop")
    for use, short in zip(report.scan.wires, report.scan.shorts, strict=True):
        wire = use.wire
        made.add_row(
            wire.label,
            f"{wire.size.name}, {number(wire.length_m)} m" if wide else wire.size.name,
            amps(use.peak_a),
            f"{wire.size.ampacity_a:g} A",
            "none" if wire.fuse_a is None else f"{wire.fuse_a:g} A",
            "" if short is None else amps(short.amps),
            f"{use.drop_v:.2f} V",
        )
    yield made
    yield Text(
        "far short: what comes through the fuse when + and − touch at the worst point it feeds, "
        "by resistance alone; a supply that limits itself gives less. It must reach twice the "
        "fuse rating to open it soon",
        style=QUIET,
    )


def _energy(report: PowerReport) -> Iterator[RenderableType]:
    ceiling, energy = report.ceiling, report.scan.energy
    if ceiling is None:
        yield from _unfed(report)
        return
    if not ceiling.limit:
        yield Text("Ceiling 100 %: nothing exceeds its limit at full brightness.")
    else:
        over = " The scheme is above it." if report.scan.brightness > ceiling.brightness else ""
        yield Text.assemble(
            (f"Ceiling {percent(ceiling.brightness)}", "bold"),
            ": the highest brightness at which nothing exceeds its limit; "
            f"{ceiling.limit} comes first.{over}",
        )
    yield _nameplate(report)
    yield Text(
        f"Mean {number(energy.dc_w_mean)} W from the supplies, {_watts(energy.wall_w_mean)} "
        f"from the wall; {number(energy.copper_w_mean)} W of it warms copper. "
        f"Dark but switched on: {_watts(energy.idle_wall_w)} from the wall."
    )
    day_kwh = energy.day_kwh(EVENING_H)
    year = "" if day_kwh is None else f"{number(day_kwh * 365)} kWh a year"
    yield Text(f"Lit {EVENING_H} hours every evening and never switched off: {year}.")


def _watts(watts: float | None) -> str:
    return "not known" if watts is None else f"{number(watts)} W"


def _nameplate(report: PowerReport) -> RenderableType:
    return Text(
        f"Nameplate {amps(report.nameplate_a)}: every channel of every pixel full, at full "
        "voltage; no scheme draws more."
    )


def _unfed(report: PowerReport) -> Iterator[RenderableType]:
    """What is known of a house that nothing feeds: what its pixels take, and what that needs."""
    yield Text("Nothing feeds this house, so there is no limit that a brightness could keep to.")
    for need in report.scan.needs:
        yield Text(
            f"At {need.volts:g} V its pixels draw {amps(need.peak_a)} at the peak, at "
            f"{clock(report.time_s(need.peak_frame))}: that needs a supply of at least "
            f"{amps(need.supply_a)} ({number(need.supply_w)} W), which then gives "
            f"{percent(limits().supply_load)} of its rating for hours."
        )
    yield _nameplate(report)
    energy = report.scan.energy
    yield Text(
        f"Mean {number(energy.dc_w_mean)} W in the pixels, {number(energy.idle_dc_w)} W while "
        "dark. What the wall gives depends on the supply and is not known."
    )
