"""What is questionable in a house file itself; nothing here needs a solve.

Codes are stable. Every text says what is the matter and what to change.

    supplies-joined, supply-voltage, fuse-too-big, unfused-feed     wiring that can do harm
    wire-behind-big-fuse, fuse-not-made                             fuses that do not fit
    supply-unused, no-supplies                                      power that leads nowhere
    refresh-rate, data-hop, run-without-output, addresses-overlap   data
    strip-pitch, standoff-far, outside-drawing, figures-borrowed    placing, and figures
    run-on-edge                                                     placing: see eave_findings
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from layouts.addresses import frame_time_s, overlaps
from layouts.eave_findings import eave_findings
from layouts.finding import Finding, by_urgency
from layouts.fuse_findings import fuse_findings
from layouts.power_paths import supplies_joined, supply_mismatches, unused_supplies
from layouts.provenance import stated
from layouts.records import House, Output, Run

#: How much a strip's pitch may differ from its kind's before it cannot be what was bought.
PITCH_SLACK = 0.02
#: Nothing is mounted further [m] from its wall, eaves included; common practice, no source.
FAR_STANDOFF_M = 2.0


def house_findings(house: House) -> tuple[Finding, ...]:
    """Every finding of the house's own, most urgent first."""
    found = [
        *_power(house),
        *fuse_findings(house),
        *_data(house),
        *_placing(house),
        *eave_findings(house),
        *_figures(house),
    ]
    return by_urgency(found)


def _power(house: House) -> Iterator[Finding]:
    if not house.supplies:
        text = "no supplies: every pixel is taken to get its nominal voltage; add supplies, wires"
        yield Finding("note", "no-supplies", house.name, text)
    for supplies in supplies_joined(house):
        names = ", ".join(supply.name for supply in supplies)
        unequal = len({supply.volts for supply in supplies}) > 1
        and_unequal = " and their voltages differ" if unequal else ""
        text = (
            f"the + of supplies {names} are joined{and_unequal}; cut the + between them and join"
            " only the −"
        )
        yield Finding("danger", "supplies-joined", names, text)
    for supply, run in supply_mismatches(house):
        text = (
            f"supply {supply.name} gives {supply.volts:g} V, {run.kind.name} pixels of run"
            f" {run.name} need {run.kind.supply_v:g} V; change the supply or the pixels"
        )
        yield Finding("danger", "supply-voltage", run.name, text)
    for supply in unused_supplies(house):
        text = f"no wire leads from supply {supply.name}; add one, or remove the supply"
        yield Finding("note", "supply-unused", supply.name, text)


def _data(house: House) -> Iterator[Finding]:
    runs = {run.name: run for run in house.runs}
    for output in house.outputs:
        yield from _refresh(output, runs)
        for name, after in itertools.pairwise(output.chain):
            yield from _hop(output, runs[name], runs[after], house)
        for name in output.chain:
            yield from _wide_pitch(output, runs[name])
    chained = {name for output in house.outputs for name in output.chain}
    if house.outputs:
        for run in house.runs:
            if run.name not in chained:
                text = f"run {run.name} is on no output and stays dark; add it to a chain"
                yield Finding("warning", "run-without-output", run.name, text)
    for overlap in overlaps(house.outputs, runs):
        output = house.outputs[overlap.index]
        text = (
            f"output {output.name} fills slots that {overlap.other} has already, up to universe"
            f" {overlap.last_universe}; move one"
        )
        yield Finding("warning", "addresses-overlap", output.name, text)


def _refresh(output: Output, runs: dict[str, Run]) -> Iterator[Finding]:
    chain = [runs[name] for name in output.chain]
    seconds = frame_time_s(chain)
    if output.fps is not None and output.fps * seconds > 1:
        pixels = sum(run.count for run in chain)
        text = (
            f"{pixels} pixels on output {output.name} take {seconds * 1000:.1f} ms a frame, at most"
            f" {1 / seconds:.1f} frames a second where {output.fps:g} are asked; split the chain"
            " or ask for fewer"
        )
        yield Finding("warning", "refresh-rate", output.name, text)


def _hop(output: Output, run: Run, after: Run, house: House) -> Iterator[Finding]:
    xy_m = house.pixels.xy_m
    hop_m = float(np.hypot(*(xy_m[after.first] - xy_m[run.first + run.count - 1])))
    limit_m = run.kind.data_hop_m
    if limit_m is not None and hop_m > limit_m:
        text = (
            f"data goes {hop_m:.1f} m from the end of {run.name} to {after.name}, {run.kind.name}"
            f" is stated for {limit_m:g} m; put the runs in another order, turn one round, or add"
            " a repeater"
        )
        yield Finding("warning", "data-hop", output.name, text)


def _wide_pitch(output: Output, run: Run) -> Iterator[Finding]:
    limit_m = run.kind.data_hop_m
    if limit_m is not None and run.pitch_m > limit_m:
        text = (
            f"the pixels of {run.name} are {run.pitch_m:.1f} m apart, {run.kind.name} is stated for"
            f" {limit_m:g} m of data line; add pixels or repeaters"
        )
        yield Finding("warning", "data-hop", output.name, text)


def _placing(house: House) -> Iterator[Finding]:
    width_m, height_m = house.drawing.size_m
    for run in house.runs:
        ratio = run.pitch_m / run.kind.pitch_m
        too_wide = ratio > 1 + PITCH_SLACK
        too_tight = run.kind.mount == "strip" and ratio < 1 - PITCH_SLACK
        if too_wide or too_tight:
            text = (
                f"{run.count} pixels of {run.kind.name} are {run.count * run.kind.pitch_m:.2f} m"
                f" long, the path of run {run.name} is {run.length_m:.2f} m; change the count"
                " or the kind's pitch"
            )
            yield Finding("warning", "strip-pitch", run.name, text)
        if run.standoff_m > FAR_STANDOFF_M:
            text = (
                f"run {run.name} stands off {run.standoff_m:g} m from the wall; check the unit of"
                " its standoff"
            )
            yield Finding("warning", "standoff-far", run.name, text)
        xy_m = house.pixels.xy_m[run.pixels]
        out = np.any((xy_m < 0) | (xy_m > (width_m, height_m)), axis=1)
        if out.any():
            text = (
                f"{int(out.sum())} pixels of run {run.name} lie outside the drawing and are not"
                " seen; make the drawing larger or move the path"
            )
            yield Finding("warning", "outside-drawing", run.name, text)


def _figures(house: House) -> Iterator[Finding]:
    for kind in {run.kind.name: run.kind for run in house.runs}.values():
        if any(row.tag == "borrowed" and row.field.endswith(".lm") for row in stated(kind)):
            text = (
                f"the light of {kind.name} is that of another kind, its own sheet was not seen;"
                " measure yours and give its lumens under 'kinds'"
            )
            yield Finding("note", "figures-borrowed", kind.name, text)
