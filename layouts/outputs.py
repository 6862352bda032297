"""From output entries to records."""

from __future__ import annotations

from typing import TYPE_CHECKING

from layouts.addresses import MAX_UNIVERSE, SLOTS, first_slots, overlaps
from layouts.files.refusals import Refusals
from layouts.known import Known
from layouts.records import Lead, Output, Run

if TYPE_CHECKING:
    from layouts.schema import OutputEntry


def build_outputs(
    entries: list[OutputEntry],
    runs: tuple[Run, ...],
    known: Known,
    refusals: Refusals,
    *,
    may_overlap: bool = False,
) -> tuple[Output, ...]:
    """The outputs in file order; unknown runs and a run twice are refused.

    So are overlapping addresses, unless they `may_overlap`: then they are a finding.
    """
    supplies = refusals.names("supplies")
    run_names = refusals.names("runs")
    by_name = {run.name: run for run in runs}
    chained: dict[str, str] = {}
    outputs = []
    for index, entry in enumerate(entries):
        path = ("outputs", index)
        for place, name in enumerate(entry.chain):
            if name not in run_names:
                refusals.unknown_run((*path, "chain", place), name)
            elif name in chained:
                what = f"run '{name}' is already on output '{chained[name]}'"
                refusals.add((*path, "chain", place), what, "chain every run once")
            chained.setdefault(name, entry.name)
        if entry.address is not None and entry.universe is None:
            refusals.add((*path, "address"), "an address without a universe", "add 'universe'")
        if entry.common_minus is not None and entry.common_minus not in supplies:
            refusals.unknown((*path, "common_minus"), "supply", entry.common_minus, supplies)
        outputs.append(_output(entry, known))
    if not may_overlap and all(name in by_name for name in chained):
        _check_slots(outputs, by_name, refusals)
    return tuple(outputs)


def _output(entry: OutputEntry, known: Known) -> Output:
    return Output(
        name=entry.name,
        chain=tuple(entry.chain),
        universe=entry.universe,
        address=entry.address,
        fps=entry.fps,
        at=entry.at,
        lead=Lead(known.wire(entry.lead.wire), entry.lead.length) if entry.lead else None,
        logic_v=entry.logic_v,
        series_ohm=entry.series_ohm,
        common_minus=entry.common_minus,
    )


def _check_slots(outputs: list[Output], runs: dict[str, Run], refusals: Refusals) -> None:
    for index, output in enumerate(outputs):
        if output.universe is not None:
            last = int(first_slots(output, runs)[-1]) // SLOTS + 1
            if last > MAX_UNIVERSE:
                what = f"output '{output.name}' fills universes up to {last}"
                refusals.add(("outputs", index, "universe"), what, f"end by {MAX_UNIVERSE}")
    for each in overlaps(outputs, runs):
        what = f"output '{outputs[each.index].name}' overlaps the addresses of '{each.other}'"
        do = f"it fills up to universe {each.last_universe}; start where the other ends"
        refusals.add(("outputs", each.index, "universe"), what, do)
