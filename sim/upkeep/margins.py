"""Data margins along every chain: where they are least, and what is found where they are short.

Asked for while frames are shown; the dark house is looked at too, since a port's one is least above
what a pixel wants where that has most volts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from layouts.finding import Finding, Remedy
from layouts.records import House, Output
from sim.circuit import Network, Solution, solve

from .edges import most_series_ohm
from .levels import BEYOND_V, LOW_OUT_V, hop_levels
from .signal import Chains, chains

#: [m] that a single-ended lead bears without care, and at all; common practice, no source.
CAREFREE_M, LONGEST_M = 3.0, 10.0
#: [V] that a silicon diode keeps from a pixel fed through it.
DIODE_V = 0.7


@dataclass(frozen=True)
class LeastMargin:
    """The least of one margin on one output: into which pixel, and in which of the frames."""

    volts: float
    pixel: int  # index into House.pixels
    frame: int
    from_port: bool  # the hop from the controller


@dataclass(frozen=True)
class OutputMargins:
    """The least margins of one output; None where none is known."""

    output: Output
    high: LeastMargin | None
    low: LeastMargin | None
    over: LeastMargin | None  # until an input is lifted beyond its supply
    under: LeastMargin | None  # until one is pulled below its −


@dataclass(frozen=True, eq=False)
class Margins:
    """Of every output, while the frames of `solution` are shown."""

    house: House
    solution: Solution
    outputs: tuple[OutputMargins, ...]


def margins(network: Network, codes: np.ndarray | None = None) -> Margins:
    """The margins while `codes` (T, N, C) uint8 are shown; frame T is the dark house."""
    house = network.house
    if codes is None:
        codes = np.zeros((0, len(house.pixels), len(house.channels)), dtype=np.uint8)
    dark = np.zeros((1, *codes.shape[1:]), dtype=np.uint8)
    solution = solve(network, np.concatenate([codes, dark]))
    line = chains(house)
    hops = hop_levels(house, line, solution)
    runs = _runs(solution, line)
    found = tuple(
        OutputMargins(
            output,
            *(
                _least(np.where(runs, getattr(hops, name), np.nan), line, index)
                for name in ("high_v", "low_v", "over_v", "under_v")
            ),
        )
        for index, output in enumerate(house.outputs)
    )
    return Margins(house, solution, found)


def margin_findings(found: Margins) -> Iterator[Finding]:
    """What is short of a margin, output by output."""
    for each in found.outputs:
        for name in ("high", "low", "over", "under"):
            least = getattr(each, name)
            if least is not None and least.volts < 0:
                yield _short_of(found, each.output, name, least)


def lead_findings(house: House, output: Output) -> Iterator[Finding]:
    """What is wrong with the wire from the controller to the first pixel."""
    described = output.lead or output.series_ohm is not None or output.common_minus is not None
    if described and output.logic_v is None:
        yield Finding("note", "data-logic-unknown", output.name)
    if output.lead is None:
        return
    kind = house.run(output.chain[0]).kind
    length_m, ohm = output.lead.length_m, output.series_ohm or 0.0
    longest_m = min(kind.data_hop_m or LONGEST_M, LONGEST_M)
    told = {"units": house.units, "kind": kind.name, "ohm": ohm}
    if length_m > longest_m:
        yield Finding(
            "warning",
            "data-lead",
            output.name,
            value=length_m,
            limit=longest_m,
            unit="m",
            remedies=(
                Remedy("shorter-lead", output.name, longest_m, "m"),
                Remedy("repeater", output.name),
                Remedy("differential-pair", output.name),
            ),
            detail=told,
        )
    elif length_m > CAREFREE_M and ohm == 0:
        yield Finding(
            "note",
            "data-lead-bare",
            output.name,
            value=length_m,
            limit=CAREFREE_M,
            unit="m",
            remedies=(
                Remedy("series-resistor", output.name, 33.0, "Ω"),
                Remedy("shorter-lead", output.name, CAREFREE_M, "m"),
            ),
            detail=told,
        )
    most_ohm = most_series_ohm(length_m)
    if ohm > most_ohm:
        yield Finding(
            "warning",
            "data-edges",
            output.name,
            value=ohm,
            limit=most_ohm,
            unit="Ω",
            remedies=(
                Remedy("series-resistor", output.name, min(most_ohm, 100.0), "Ω"),
                Remedy("shorter-lead", output.name, length_m * most_ohm / ohm, "m"),
            ),
            detail={**told, "length_m": length_m},
        )


def _short_of(found: Margins, output: Output, name: str, least: LeastMargin) -> Finding:
    house, solution = found.house, found.solution
    run = house.runs[house.pixels.run[least.pixel]]
    position = least.pixel - run.first
    vdd = float(solution.volts[least.frame, least.pixel])
    minus = float(solution.minus_v[least.frame, least.pixel])
    at = f"{run.name}[{position}]"
    return Finding(
        "warning",
        f"data-{name}",
        output.name,
        value=least.volts,
        limit=0.0,
        unit="V",
        remedies=_remedies(name, output, at, least),
        elements=(at,),
        detail={
            "pixel": position,
            "run": run.name,
            "from_port": least.from_port,
            "vdd_v": vdd,
            "minus_v": minus,
            "logic_v": output.logic_v,
            "dark": least.frame == len(solution.state) - 1,
            "beyond_v": BEYOND_V,
            "low_out_v": LOW_OUT_V,
            "high_v": float(run.kind.data_high.volts(np.array(vdd))),
            "low_v": float(run.kind.data_low.volts(np.array(vdd))),
        },
    )


def _remedies(name: str, output: Output, at: str, least: LeastMargin) -> tuple[Remedy, ...]:
    heavier = Remedy("heavier-minus", at)
    if name == "high" and least.from_port:
        return (
            Remedy("buffer", output.name, 5.0, "V"),
            Remedy("spare-on-diode", at, DIODE_V, "V"),
        )
    if name == "high":
        return (Remedy("add-feed", at), heavier)
    common = (Remedy("common-minus", output.name),) if least.from_port else ()
    resistor = (Remedy("series-resistor", output.name, 100.0, "Ω"),) if least.from_port else ()
    if name == "low":
        return (heavier, *common)
    return (heavier, Remedy("add-feed", at), *resistor, *common)


def _runs(solution: Solution, line: Chains) -> np.ndarray:
    """(T, P) bool: the pixel and the one before it have any supply."""
    live = solution.network.reach.live[line.pixel]
    before = np.roll(live, 1) | line.first
    return np.broadcast_to(live & before, (len(solution.state), len(live)))


def _least(margin: np.ndarray, line: Chains, output: int) -> LeastMargin | None:
    """The least of a margin (T, P) on one output."""
    mine = np.flatnonzero(line.output == output)
    here = margin[:, mine]
    if not len(mine) or np.isnan(here).all():
        return None
    frame, place = np.unravel_index(int(np.nanargmin(here)), here.shape)
    p = int(mine[place])
    return LeastMargin(
        float(here[frame, place]), int(line.pixel[p]), int(frame), bool(line.first[p])
    )
