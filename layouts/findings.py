"""What is questionable in a house file itself; nothing here needs a solve.

Codes are stable; `sim.report.wording` says of each what is the matter and what to change.

    supplies-joined, supply-voltage, fuse-too-big, unfused-feed     wiring that can do harm
    wire-behind-big-fuse, fuse-not-made                             fuses that do not fit
    supply-unused, no-supplies                                      power that leads nowhere
    refresh-rate, data-hop, run-without-output, addresses-overlap   data
    strip-pitch, standoff-far, outside-drawing, figures-borrowed    placing, and figures
    run-on-edge                                                     placing: see eave_findings
    photo-fit, photo-distance                                       see photo_findings
    supply-above-max, trim-above-max, lit-without-data, levels-unused   see part_findings
    track-pitch, bar-pitch                                          see track_findings
    calibration-other-kind                                          measured: see calibration
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from layouts.addresses import frame_time_s, overlaps
from layouts.calibration import calibration_findings
from layouts.data_gaps import DataGap, data_gaps
from layouts.eave_findings import eave_findings
from layouts.finding import Finding, Remedy, by_urgency
from layouts.fuse_findings import fuse_findings
from layouts.part_findings import part_findings
from layouts.photo_findings import photo_findings
from layouts.power_paths import supplies_joined, supply_mismatches, unused_supplies
from layouts.provenance import stated
from layouts.records import House, Output, Run, Supply
from layouts.track_findings import track_findings

#: How much a strip's pitch may differ from its kind's before it cannot be what was bought.
PITCH_SLACK = 0.02
#: Nothing is mounted further [m] from its wall, eaves included; common practice, no source.
FAR_STANDOFF_M = 2.0


#: A run of so few pixels at the start of a chain, fed with up to so many volts less than its kind
#: wants, is taken for spare pixels behind a diode: 0.7 V of silicon, two of them at most.
_SPARES, _MOST_DIODE_V = 2, 1.4


def house_findings(house: House) -> tuple[Finding, ...]:
    """Every finding of the house's own, most urgent first."""
    found = [
        *_power(house),
        *fuse_findings(house),
        *_data(house),
        *_placing(house),
        *eave_findings(house),
        *photo_findings(house),
        *part_findings(house),
        *track_findings(house),
        *_figures(house),
        *calibration_findings(house),
    ]
    return by_urgency([_in_units(each, house) for each in found])


def _in_units(found: Finding, house: House) -> Finding:
    """A length is told in the units of the house."""
    if found.unit != "m":
        return found
    return replace(found, detail={**found.detail, "units": house.units})


def _power(house: House) -> Iterator[Finding]:
    if not house.supplies:
        yield Finding("note", "no-supplies", house.name, remedies=(Remedy("add-supply"),))
    for supplies in supplies_joined(house):
        names = tuple(supply.name for supply in supplies)
        yield Finding(
            "danger",
            "supplies-joined",
            ", ".join(names),
            remedies=tuple(Remedy("separate-plus", name) for name in names[1:]),
            elements=names,
            detail={"unequal": len({supply.volts for supply in supplies}) > 1},
        )
    for supply, run in supply_mismatches(house):
        if _behind_a_diode(house, supply, run):
            yield Finding(
                "note",
                "supply-behind-diode",
                run.name,
                value=supply.volts,
                limit=run.kind.min_v,
                unit="V",
                detail={"supply": supply.name, "nominal_v": run.kind.supply_v},
            )
            continue
        yield Finding(
            "danger",
            "supply-voltage",
            run.name,
            value=supply.volts,
            limit=run.kind.supply_v,
            unit="V",
            remedies=(
                Remedy("change-supply", supply.name, run.kind.supply_v, "V"),
                Remedy("change-kind", run.name, supply.volts, "V"),
            ),
            detail={"supply": supply.name, "kind": run.kind.name},
        )
    for supply in unused_supplies(house):
        remedies = (Remedy("add-wire", supply.name), Remedy("remove-supply", supply.name))
        yield Finding("note", "supply-unused", supply.name, remedies=remedies)


def _behind_a_diode(house: House, supply: Supply, run: Run) -> bool:
    """Whether a run is a spare pixel or two at the start of a chain, fed through a diode."""
    first = any(output.chain[0] == run.name for output in house.outputs)
    lost_v = run.kind.supply_v - supply.volts
    return (
        first
        and run.present <= _SPARES
        and 0 < lost_v <= _MOST_DIODE_V
        and supply.volts >= run.kind.min_v
    )


def _data(house: House) -> Iterator[Finding]:
    runs = {run.name: run for run in house.runs}
    for output in house.outputs:
        yield from _refresh(output, runs)
        for gap in data_gaps(house, output):
            yield from _hop(output, gap)
        for name in output.chain:
            yield from _wide_pitch(output, runs[name])
    chained = {name for output in house.outputs for name in output.chain}
    if house.outputs:
        for run in house.runs:
            if run.name not in chained:
                remedies = (Remedy("add-to-chain", run.name),)
                yield Finding("warning", "run-without-output", run.name, remedies=remedies)
    for overlap in overlaps(house.outputs, runs):
        output = house.outputs[overlap.index]
        yield Finding(
            "warning",
            "addresses-overlap",
            output.name,
            remedies=(Remedy("move-addresses", output.name),),
            detail={"other": overlap.other, "last_universe": overlap.last_universe},
        )


def _refresh(output: Output, runs: dict[str, Run]) -> Iterator[Finding]:
    chain = [runs[name] for name in output.chain]
    seconds = frame_time_s(chain)
    if output.fps is not None and output.fps * seconds > 1:
        yield Finding(
            "warning",
            "refresh-rate",
            output.name,
            value=1 / seconds,
            limit=output.fps,
            unit="frames/s",
            remedies=(
                Remedy("split-chain", output.name),
                Remedy("lower-fps", output.name, 1 / seconds, "frames/s"),
            ),
            detail={"pixels": sum(run.present for run in chain), "frame_ms": seconds * 1000},
        )


def _hop(output: Output, gap: DataGap) -> Iterator[Finding]:
    run, after, hop_m = gap.before, gap.after, gap.straight_m
    limit_m = run.kind.data_hop_m
    if limit_m is not None and hop_m > limit_m:
        yield Finding(
            "warning",
            "data-hop",
            output.name,
            value=hop_m,
            limit=limit_m,
            unit="m",
            remedies=(
                Remedy("reorder-chain", output.name),
                Remedy("turn-run", after.name),
                Remedy("add-repeater", f"{run.name}.end"),
            ),
            detail={"run": run.name, "after": after.name, "kind": run.kind.name},
        )


def _wide_pitch(output: Output, run: Run) -> Iterator[Finding]:
    limit_m = run.kind.data_hop_m
    if limit_m is not None and run.pitch_m > limit_m:
        yield Finding(
            "warning",
            "data-hop",
            output.name,
            value=run.pitch_m,
            limit=limit_m,
            unit="m",
            remedies=(Remedy("add-pixels", run.name), Remedy("add-repeater", run.name)),
            detail={"run": run.name, "kind": run.kind.name},
        )


def _placing(house: House) -> Iterator[Finding]:
    width_m, height_m = house.drawing.size_m
    for run in house.runs:
        yield from _pitch(run)
        if run.standoff_m > FAR_STANDOFF_M:
            yield Finding(
                "warning",
                "standoff-far",
                run.name,
                value=run.standoff_m,
                limit=FAR_STANDOFF_M,
                unit="m",
                remedies=(Remedy("change-standoff", run.name),),
            )
        xy_m = house.pixels.xy_m[run.pixels]
        out = np.any((xy_m < 0) | (xy_m > (width_m, height_m)), axis=1)
        if out.any():
            yield Finding(
                "warning",
                "outside-drawing",
                run.name,
                value=int(out.sum()),
                limit=0,
                unit="pixels",
                remedies=(Remedy("larger-drawing"), Remedy("move-run", run.name)),
            )


def _pitch(run: Run) -> Iterator[Finding]:
    """Pixels that cannot be as far apart as their kind is made."""
    ratio = run.pitch_m / run.kind.pitch_m
    too_wide = ratio > 1 + PITCH_SLACK
    too_tight = run.kind.mount == "strip" and ratio < 1 - PITCH_SLACK
    if too_wide or too_tight:
        yield Finding(
            "warning",
            "strip-pitch",
            run.name,
            value=run.count * run.kind.pitch_m,
            limit=run.length_m,
            unit="m",
            remedies=(
                Remedy("change-count", run.name, round(run.length_m / run.kind.pitch_m), "pixels"),
                Remedy("change-pitch", run.name, run.pitch_m, "m"),
            ),
            detail={"pixels": run.count, "kind": run.kind.name},
        )


def _figures(house: House) -> Iterator[Finding]:
    for kind in {run.kind.name: run.kind for run in house.runs}.values():
        if any(row.tag == "borrowed" and row.field.endswith(".lm") for row in stated(kind)):
            remedies = (Remedy("measure", kind.name),)
            yield Finding("note", "figures-borrowed", kind.name, remedies=remedies)
