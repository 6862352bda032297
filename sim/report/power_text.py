"""The power report in blocks: loads, wires, volts, energy, findings, cautions."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from layouts import length_text
from layouts.catalogue import limits
from layouts.ratings import rating_text
from sim.circuit import RunUse, Short, SupplyUse, WireUse
from sim.frame import Frame, Rig
from sim.scan import Scan

from .blocks import (
    Block,
    Cautions,
    Column,
    Findings,
    Meter,
    Table,
    Title,
    Words,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from .cautions import WIRING
from .limits_told import against_ceiling, all_limits, first_limit
from .patch import refresh_table
from .power import PowerReport
from .spread import quick_section, spread_blocks
from .text import amps, brightness_percent, clock, count, number, percent, pixel_name

#: How long an evening is taken to be [h]; `season` counts the real ones.
EVENING_H = 5


def power_blocks(report: PowerReport, more: Iterable[Block] = ()) -> Iterator[Block]:
    """The whole report, part by part; `more` stands before its findings."""
    watched = report.scan
    yield _title(report)
    if watched.supplies:
        yield section("Supplies", supply_table(watched.supplies, report.time_s), *_causes(report))
    yield section("Worst instant", _worst(report))
    if report.at is not None:
        yield section(f"At {clock(float(report.at.time_s))}", _instant(watched.rig, report.at))
    yield section("Runs", run_table(watched.runs, report.time_s))
    if watched.wires:
        units = watched.rig.house.units
        yield section("Wires", *wire_blocks(watched.wires, watched.shorts, units))
    if watched.rig.house.outputs:
        yield section("Refresh", refresh_table(watched.rig.house, watched.fps))
    if any(output.logic_v is not None for output in watched.rig.house.outputs):
        yield section("Data", _data(report))
    yield section("Brightness and energy", *_energy(report))
    yield from _how_sure(report)
    yield from more
    yield section("Findings", Findings(report.findings))
    yield section("Cautions", Cautions(WIRING))


def _how_sure(report: PowerReport) -> Iterator[Block]:
    """The bands: of many draws where they were asked for."""
    if report.study is not None:
        yield from spread_blocks(report.study)
    elif report.quick is not None:
        yield quick_section(report.scan, report.quick, report.ceiling)
    else:
        yield section(
            "How sure",
            words("With parts a little off their sheets this wiring does not work: no band."),
        )


def _title(report: PowerReport) -> Title:
    watched = report.scan
    level, _ = _level_and_ceiling(report)
    length = f"{count(watched.frames)} frames, {clock(watched.seconds)} at {watched.fps:g} fps"
    looked = f"{length}, {_seen(watched)}" if watched.frames > 1 else "one frame: it stands still"
    return Title(
        spans(
            (watched.show.scheme.name, "strong"),
            f" on {watched.rig.house.name}\n",
            (f"{looked}; brightness {level}", "quiet"),
        )
    )


def _level_and_ceiling(report: PowerReport) -> tuple[str, str]:
    """The scheme's brightness and its ceiling, told so that both compare as they are."""
    level = report.scan.brightness
    if report.ceiling is None:
        return brightness_percent(level), ""
    return against_ceiling(level, report.ceiling)


def _seen(watched: Scan) -> str:
    """How much of the scheme the seconds watched are."""
    period_s = watched.show.period_s
    if period_s is None:
        return "of a scheme that never repeats"
    if watched.whole_period:
        return "one whole period"
    return f"of a period of {clock(period_s)}"


def supply_table(uses: Sequence[SupplyUse], time_s: Callable[[int], float]) -> Table:
    """What every supply gives; `time_s` tells when a frame is shown [s]."""
    full = max(1.0, *(use.load for use in uses))
    told = [rating_text(use.supply.volts, use.supply.rated_a) for use in uses]
    # A long rating takes two lines where there is little room, rather than the name before it.
    between = "\n" if any("W" in each for each in told) else " "
    heads = ("|load", ">", ">peak", ">at", ">mean", ">nameplate")
    wide = Column("rating", right=True, whole=True, when="wide")
    return Table(
        (Column("supply"), wide, replace(wide, when="narrow"), *columns(*heads)),
        tuple(
            row(
                use.supply.name,
                f"{use.supply.volts:g} V {rated}",
                f"{use.supply.volts:g} V{between}{rated}",
                Meter(use.load, full),
                percent(use.load),
                amps(use.peak_a),
                clock(time_s(use.peak_frame)),
                amps(use.mean_a),
                amps(use.nameplate_a),
            )
            for use, rated in zip(uses, told, strict=True)
        ),
    )


def _causes(report: PowerReport) -> Iterator[Words]:
    watched = report.scan
    for use, cause in zip(watched.supplies, report.causes, strict=True):
        if cause is None:
            yield note(f"{use.supply.name} gives nothing")
            continue
        layer = watched.show.layers[cause.layer].layer
        where = (
            f"{percent(cause.run_a / use.peak_a)} of it in {cause.run}"
            if cause.alone
            else f"most of it towards {cause.run}, which has other supplies too"
        )
        yield note(
            f"{use.supply.name} peaks because of layer {cause.layer + 1} ({layer.effect}), {where}"
        )


def _worst(report: PowerReport) -> Words:
    loads, worst = report.scan.loads, report.worst_frame
    shares = loads.run_a[worst]
    order = shares.argsort()[::-1]
    by_run = ", ".join(f"{report.scan.runs[r].run.name} {amps(float(shares[r]))}" for r in order)
    return words(
        (amps(float(shares.sum())), "strong"),
        f" at {clock(report.time_s(worst))}: {by_run}",
    )


def _instant(rig: Rig, at: Frame) -> Table:
    rows = [
        row(f"supply {supply.name}", amps(float(current_a)), "", "")
        for supply, current_a in zip(rig.house.supplies, at.supply_a, strict=True)
    ]
    for run in rig.house.runs:
        volts = at.volts[run.pixels]
        least = int(volts.argmin())
        drawn_a = float(at.amps[run.pixels].sum())
        rows.append(row(f"run {run.name}", amps(drawn_a), f"{volts[least]:.2f} V", str(least)))
    return Table(columns("", ">draws", ">least volts", ">at pixel"), tuple(rows))


def _data(report: PowerReport) -> Table:
    """The least margins on every output."""
    assert report.margins is not None
    house = report.margins.house
    rows = []
    for each in report.margins.outputs:
        told = (each.high, each.low, each.over, each.under)
        known = [least for least in told if least is not None]
        worst = min(known, key=lambda least: least.volts, default=None)
        where = "" if worst is None else pixel_name(house, worst.pixel)
        shown = ("–" if least is None else f"{least.volts:+.2f} V" for least in told)
        logic = "–" if each.output.logic_v is None else f"{each.output.logic_v:g} V"
        rows.append(row(each.output.name, logic, *shown, where))
    heads = ("output", ">logic", ">one read by", ">zero read by", ">input over", ">input under")
    return Table(columns(*heads, "least at"), tuple(rows))


def run_table(uses: Sequence[RunUse], time_s: Callable[[int], float]) -> Table:
    """What every run draws, and where its volts are least."""
    held_to = limits()
    rows = []
    for use in uses:
        over, near = use.drop > held_to.drop_warning, use.drop > held_to.drop_note
        rows.append(
            row(
                use.run.name,
                count(use.run.present),
                use.run.kind.name,
                amps(use.peak_a),
                f"{use.min_v:.2f} of {use.feed_v:g} V",
                (percent(use.drop), "bad" if over else "warn" if near else ""),
                str(use.min_v_pixel),
                clock(time_s(use.min_v_frame)),
            )
        )
    heads = ("run", ">pixels", "|kind", ">peak", ">least volts", ">drop", ">pixel", ">at")
    return Table(columns(*heads, kind="wide"), tuple(rows))


def wire_blocks(
    uses: Sequence[WireUse], shorts: Sequence[Short | None], units: str
) -> Iterator[Block]:
    """What every wire carries, and the worst far short behind its fuse."""
    rows = []
    for use, short in zip(uses, shorts, strict=True):
        wire = use.wire
        rows.append(
            row(
                wire.label,
                f"{wire.size.name}, {length_text(wire.length_m, units)}",
                wire.size.name,
                amps(use.peak_a),
                f"{wire.size.ampacity_a:g} A",
                "none" if wire.fuse_a is None else f"{wire.fuse_a:g} A",
                "" if short is None else amps(short.amps),
                f"{use.drop_v:.2f} V",
            )
        )
    sizes = (Column("wire", whole=True, when="wide"), Column("wire", whole=True, when="narrow"))
    rest = columns(">peak", ">carries", ">fuse", ">far short", ">drop")
    yield Table((Column("from → to"), *sizes, *rest), tuple(rows))
    yield note(
        "far short: what comes through the fuse when + and − touch at the worst point it feeds, "
        "by resistance alone; a supply that limits itself gives less. It must reach twice the "
        "fuse rating to open it soon"
    )


def _energy(report: PowerReport) -> Iterator[Words]:
    ceiling, energy = report.ceiling, report.scan.energy
    if ceiling is None:
        yield from _unfed(report)
        return
    if not ceiling.limit:
        yield words(
            f"Ceiling 100 %: nothing exceeds its limit at full brightness ({all_limits()})."
        )
    else:
        over = " The scheme is above it." if report.scan.brightness > ceiling.brightness else ""
        yield words(
            (f"Ceiling {_level_and_ceiling(report)[1]}", "strong"),
            ": the highest brightness at which nothing exceeds its limit; "
            f"{first_limit(ceiling)}.{over}",
        )
    yield _nameplate(report)
    yield words(
        f"Mean {number(energy.dc_w_mean)} W from the supplies, {_watts(energy.wall_w_mean)} "
        f"from the wall; {number(energy.copper_w_mean)} W of it warms copper. "
        f"Dark but switched on: {_watts(energy.idle_wall_w)} from the wall."
    )
    day_kwh = energy.day_kwh(EVENING_H)
    year = "" if day_kwh is None else f"{number(day_kwh * 365)} kWh a year"
    yield words(f"Lit {EVENING_H} hours every evening and never switched off: {year}.")


def _watts(watts: float | None) -> str:
    return "not known" if watts is None else f"{number(watts)} W"


def _nameplate(report: PowerReport) -> Words:
    plate = f"Nameplate {amps(report.nameplate_a)}: every channel of every pixel full, at full "
    law = report.scan.rig.network.law
    if law.falls or (law.most > 1).any():
        return words(
            plate + "voltage. Nodes with step-down regulators draw more below their nominal "
            "voltage, nodes with resistors above it."
        )
    return words(plate + "voltage; no scheme draws more.")


def _unfed(report: PowerReport) -> Iterator[Words]:
    """What is known of a house that nothing feeds: what its pixels take, and what that needs."""
    yield words("Nothing feeds this house, so there is no limit that a brightness could keep to.")
    for need in report.scan.needs:
        yield words(
            f"At {need.volts:g} V its pixels draw {amps(need.peak_a)} at the peak, at "
            f"{clock(report.time_s(need.peak_frame))}: that needs a supply of at least "
            f"{amps(need.supply_a)} ({number(need.supply_w)} W), which then gives "
            f"{percent(limits().supply_load)} of its rating for hours."
        )
    yield _nameplate(report)
    energy = report.scan.energy
    yield words(
        f"Mean {number(energy.dc_w_mean)} W in the pixels, {number(energy.idle_dc_w)} W while "
        "dark. What the wall gives depends on the supply and is not known."
    )
