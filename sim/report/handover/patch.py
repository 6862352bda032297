"""Addresses for the document: one row a run, and the data wires from output to pixel."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.data_gaps import data_gaps
from layouts.records import CHANNELS, House, Output
from sim.data.patch import order_of, patch_of


@dataclass(frozen=True)
class RunPatch:
    """Where the pixels of a run are addressed; universes are 0 where the output has none."""

    run: str
    kind: str
    output: str  # "" where no output has it
    first_pixel: int  # on the chain, from 0; −1 for none
    pixels: int
    spares: int
    slots_each: int
    order: str
    first: tuple[int, int]  # universe and slot of the first channel of its first pixel
    last: tuple[int, int]  # and of the last channel of its last pixel


@dataclass(frozen=True)
class DataLead:
    """A data wire: from an output to its first run, or from run to run."""

    output: str
    start: str
    end: str
    length_m: float | None  # as written for a lead; of a gap see `layouts.data_gaps`, no slack
    wire: str  # "" where the file does not say
    hop_m: float | None  # that data crosses unaided, for the kind it comes from


def run_patches(house: House) -> tuple[RunPatch, ...]:
    """A row for every run, in the order of the file."""
    at = patch_of(house)
    rows = []
    for run in house.runs:
        a, b = run.ends
        output = int(at.output[a])
        order = order_of(run)
        last = (int(at.universe[b]), int(at.slot[b]) + len(order) - 1 if at.universe[b] else 0)
        rows.append(
            RunPatch(
                run.name,
                run.kind.name,
                house.outputs[output].name if output >= 0 else "",
                int(at.place[a]),
                run.present,
                run.spares,
                len(order),
                "".join(CHANNELS[each] for each in order).upper(),
                (int(at.universe[a]), int(at.slot[a])),
                last,
            )
        )
    return tuple(rows)


def data_leads(house: House) -> tuple[DataLead, ...]:
    """Every data wire, output after output along its chain."""
    return tuple(lead for output in house.outputs for lead in _chain(house, output))


def _chain(house: House, output: Output) -> list[DataLead]:
    lead = output.lead
    first = f"{output.chain[0]}.start"
    made = [
        DataLead(
            output.name,
            f"output {output.name}",
            first,
            lead.length_m if lead else None,
            lead.size.name if lead else "",
            None,
        )
    ]
    return made + [
        DataLead(
            output.name,
            f"{gap.before.name}.end",
            f"{gap.after.name}.start",
            gap.length_m,
            lead.size.name if lead else "",
            gap.before.kind.data_hop_m,
        )
        for gap in data_gaps(house, output)
    ]
