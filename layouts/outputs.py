"""From output entries to records, and the address of every pixel on its controller.

A chain fills universes of 512 slots from its first address on; a pixel never straddles two, so a
universe holds 170 pixels of three channels or 128 of four. Addresses and universes count from 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from layouts.records import Output, Run
from layouts.refusals import Refusals

if TYPE_CHECKING:
    from layouts.schema import OutputEntry

SLOTS = 512
MAX_UNIVERSE = 63999


def build_outputs(
    entries: list[OutputEntry], runs: tuple[Run, ...], run_names: set[str], refusals: Refusals
) -> tuple[Output, ...]:
    """The outputs in file order; unknown runs, a run twice and overlaps are refused."""
    by_name = {run.name: run for run in runs}
    chained: dict[str, str] = {}
    taken: list[tuple[int, int, str]] = []
    outputs = []
    for index, entry in enumerate(entries):
        path = ("outputs", index)
        for place, name in enumerate(entry.chain):
            if name not in run_names:
                refusals.unknown((*path, "chain", place), "run", name, run_names)
            elif name in chained:
                what = f"run '{name}' is already on output '{chained[name]}'"
                refusals.add((*path, "chain", place), what, "chain every run once")
            chained.setdefault(name, entry.name)
        if entry.address is not None and entry.universe is None:
            refusals.add((*path, "address"), "an address without a universe", "add 'universe'")
        output = Output(entry.name, tuple(entry.chain), entry.universe, entry.address, entry.fps)
        outputs.append(output)
        if entry.universe is None or any(name not in by_name for name in entry.chain):
            continue
        slots = first_slots(output, by_name)
        begin, end = slots[0][0], slots[-1][1]
        if end > MAX_UNIVERSE * SLOTS:
            what = f"output '{entry.name}' needs universes above {MAX_UNIVERSE}"
            refusals.add((*path, "universe"), what, "start lower")
        for other_begin, other_end, other in taken:
            if begin < other_end and other_begin < end:
                last = (end - 1) // SLOTS + 1
                what = f"output '{entry.name}' overlaps the addresses of output '{other}'"
                do = f"it fills up to universe {last}; start where the other ends"
                refusals.add((*path, "universe"), what, do)
                break
        taken.append((begin, end, entry.name))
    return tuple(outputs)


def first_slots(output: Output, runs: Mapping[str, Run]) -> list[tuple[int, int]]:
    """For every pixel of the chain its first slot and the one after its last.

    Slots count from 0 at universe 1, address 1, through all universes.
    """
    at = (output.universe or 1) * SLOTS - SLOTS + (output.address or 1) - 1
    slots = []
    for name in output.chain:
        run = runs[name]
        width = len(run.kind.channels)
        for _ in range(run.count):
            if at % SLOTS + width > SLOTS:
                at += SLOTS - at % SLOTS
            slots.append((at, at + width))
            at += width
    return slots
