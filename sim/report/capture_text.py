"""The report of a recorded show in blocks."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from layouts.errors import shown
from sim.data.recorded import Recorded

from .blocks import (
    Block,
    Cautions,
    Findings,
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
from .capture import CaptureReport
from .cautions import FLASHING, WIRING
from .limits_told import limit_told
from .patch import refresh_table
from .power_text import run_table, supply_table, wire_blocks
from .text import amps, ceiling_percent, clock, count, number

_UNTESTED = "A recorded show is not tested for flashing here; `check` tests schemes."
_SKIPPED = {
    "other-traffic": "other traffic",
    "other-link": "links of a kind not read",
    "fragment": "fragments, which are not put together",
}


def capture_blocks(report: CaptureReport) -> Iterator[Block]:
    """The whole report, part by part."""
    yield _title(report)
    if report.supplies:
        yield section("Supplies", supply_table(report.supplies, report.when_s))
    yield section("Worst instant", _worst(report))
    yield section("Runs", run_table(report.runs, report.when_s))
    if report.wires:
        units = report.house.units
        yield section("Wires", *wire_blocks(report.wires, report.shorts, units))
    yield section("Levels and energy", *_energy(report))
    yield section("Packets", *_packets(report))
    yield section("Refresh", refresh_table(report.house))
    yield section("Findings", Findings(report.findings))
    yield section("Cautions", note(_UNTESTED), Cautions((*WIRING, *FLASHING)))


def _title(report: CaptureReport) -> Title:
    rate = "" if report.fps is None else f" at {report.fps:.3g} fps on average"
    length = f"{count(report.frames)} frames, {clock(report.seconds)}{rate}"
    name = shown(Path(report.file).name)
    return Title(spans((name, "strong"), f" on {shown(report.house.name)}\n", (length, "quiet")))


def _worst(report: CaptureReport) -> Words:
    worst = report.worst_frame
    shares = report.loads.run_a[worst]
    order = shares.argsort()[::-1]
    by_run = ", ".join(f"{report.runs[r].run.name} {amps(float(shares[r]))}" for r in order)
    when = clock(report.when_s(worst))
    return words((amps(float(shares.sum())), "strong"), f" at {when}: {by_run}")


def _energy(report: CaptureReport) -> Iterator[Words]:
    ceiling, energy = report.ceiling, report.energy
    if ceiling is None:
        yield words("Nothing feeds this house, so there is no limit that levels could keep to.")
    elif not ceiling.limit:
        yield words("Ceiling: the levels as recorded exceed no limit.")
    else:
        yield words(
            (f"Ceiling {ceiling_percent(ceiling.brightness)} of the levels recorded", "strong"),
            f": above it {limit_told(ceiling)} is exceeded.",
        )
    wall = energy.wall_w_mean
    from_wall = "not known" if wall is None else f"{number(wall)} W"
    yield words(
        f"Mean {number(energy.dc_w_mean)} W from the supplies, {from_wall} from the wall; "
        f"nameplate {amps(report.nameplate_a)}, mean {amps(report.mean_a)}."
    )


def _packets(report: CaptureReport) -> Iterator[Block]:
    told = report.recorded
    rows = tuple(
        row(
            str(universe),
            count(told.packets.get(universe, 0)),
            _rate(told, universe, report.seconds),
            ", ".join(
                f"{shown(each.name) or 'without a name'} ({each.address}, {each.priority})"
                for each in told.sources
                if universe in each.universes
            ),
        )
        for universe in report.patch.universes
    )
    yield Table(columns(">universe", ">packets", ">a second", "sources (address, priority)"), rows)
    counts = told.receiver.counts
    parts = [f"{count(n)} {outcome.replace('-', ' ')}" for outcome, n in sorted(counts.items())]
    parts += [f"{count(n)} {_SKIPPED[why]}" for why, n in sorted(told.skipped.items())]
    yield note(f"{count(told.end.packets)} packets read: {', '.join(parts)}")
    yield note(
        "A frame ends before a universe is set again, or at a pause of 5 ms; it has the time of "
        "its first packet. Levels of a source that is gone are held, as pixels do."
    )


def _rate(told: Recorded, universe: int, seconds: float) -> str:
    return f"{told.packets.get(universe, 0) / seconds:.3g}" if seconds else ""
