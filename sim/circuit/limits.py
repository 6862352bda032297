"""What supplies, wires, fuses and pixels may bear, and what is found where they bear more.

One table of limits serves the findings and the ceiling: at the ceiling nothing below is found
that is more than a note.

    supply-overload, supply-load, supply-backfed     more than its rating, than 80 % of it; pushed
    wire-overload, wire-load                         more than the wire, than 80 % of it
    fuse-overload, fuse-load                         more than the fuse, than 75 % of it
    pixel-voltage, colour-lost, voltage-drop         too few volts at a pixel
    above-class-2                                    a supply stronger than NEC Class 2
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from layouts import fuses
from layouts.finding import Finding, Level, Remedy
from layouts.records import Supply

from .build import Network
from .loading import RunUse, SupplyUse, WireUse
from .loads import Loads

#: Share of its rating that a supply may give for hours: NEC 210.20(A), 125 % of continuous load.
SUPPLY_LOAD = 0.8
#: The same of what its fuse table lets a wire carry: 125 % of continuous load counts for wires
#: too (NEC 210.19(A), from memory), so 18 and 16 AWG carry 5.6 and 8 A for hours.
WIRE_LOAD = 0.8
#: Voltage lost on the way: a note, a warning. Common practice, no source.
DROP_NOTE, DROP_WARNING = 0.05, 0.10
#: [A] of current pushed back into a supply that is more than rounding.
_BACKFED_A = 1e-3
#: A dimming factor below this is lost colour and not rounding.
_FULL = 1 - 1e-9


def utilisation(network: Network, loads: Loads) -> np.ndarray:
    """(T, S + S + W + R) how far each goes towards its limit; above 1: past it.

    Supplies, supplies that are pushed (0, or infinite: no brightness cures it), wires, runs.
    """
    house = network.house
    supply_a = np.array([SUPPLY_LOAD * supply.rated_a for supply in house.supplies])
    share = fuses().continuous_load
    wire_a = np.array([WIRE_LOAD * wire.size.ampacity_a for wire in house.wires])
    fused = [np.inf if wire.fuse_a is None else share * wire.fuse_a for wire in house.wires]
    plus_a = np.minimum(wire_a, fused)
    feed_v = network.feed_v[[run.first for run in house.runs] + loads.run_pixel]
    least_v = np.maximum([run.kind.min_v for run in house.runs], (1 - DROP_WARNING) * feed_v)
    with np.errstate(divide="ignore", invalid="ignore"):
        runs = np.where(loads.run_v < least_v, np.inf, 0.0)
        inside = (feed_v - loads.run_v) / (feed_v - least_v)
        runs = np.where(feed_v > least_v, inside, runs)
    runs = np.where(loads.run_dim < _FULL, np.maximum(runs, 2 - loads.run_dim), runs)
    # A run that no supply reaches is a finding of its own, which no brightness cures.
    if len(network.fixed_v):
        runs = np.where(network.feeds.any(axis=0), runs, 0.0)
    pushed = np.where(loads.supply_a < -_BACKFED_A, np.inf, 0.0)
    wires = np.maximum(np.abs(loads.wire_a) / plus_a, np.abs(loads.wire_minus_a) / wire_a)
    return np.concatenate([loads.supply_a / supply_a, pushed, wires, runs], axis=1)


def limit_name(network: Network, column: int) -> str:
    """In words, whose limit a column of `utilisation` is."""
    house = network.house
    names = [f"{SUPPLY_LOAD:.0%} of supply {supply.name}" for supply in house.supplies]
    names += [f"current pushed into supply {supply.name}" for supply in house.supplies]
    names += [
        f"wire {wire.label}" if wire.fuse_a is None else f"the fuse or size of wire {wire.label}"
        for wire in house.wires
    ]
    names += [f"the voltage along run {run.name}" for run in house.runs]
    return names[column]


def load_findings(
    supplies: Sequence[SupplyUse],
    wires: Sequence[WireUse],
    runs: Sequence[RunUse],
    least_supply_a: np.ndarray,
) -> tuple[Finding, ...]:
    """What a scheme asks beyond the limits; `least_supply_a` (S,) [A] of each supply."""
    found = [finding for use in supplies for finding in _supply(use)]
    for use, least_a in zip(supplies, least_supply_a, strict=True):
        if least_a < -_BACKFED_A:
            text = (
                f"another supply pushes {-least_a:.1f} A into supply {use.supply.name}; cut the + "
                "between them"
            )
            found.append(Finding("danger", "supply-backfed", use.supply.name, text))
    found += [finding for wire in wires for finding in _wire(wire)]
    found += [finding for run in runs for finding in _run(run)]
    found += _drops(runs)
    return tuple(found)


def _supply(use: SupplyUse) -> Iterator[Finding]:
    rated_a, name = use.supply.rated_a, use.supply.name
    if use.peak_a > rated_a:
        text = (
            f"supply {name} would have to give {use.peak_a:.1f} A and is rated {rated_a:g} A; "
            "lower the brightness, take a larger supply, or feed some runs from another"
        )
        yield Finding("danger", "supply-overload", name, text)
    elif use.peak_a > SUPPLY_LOAD * rated_a:
        text = (
            f"supply {name} gives {use.peak_a:.1f} A, {use.load:.0%} of its {rated_a:g} A; for "
            f"hours on end stay below {SUPPLY_LOAD:.0%}: lower the brightness or take a larger one"
        )
        yield Finding("warning", "supply-load", name, text)


def _wire(use: WireUse) -> Iterator[Finding]:
    wire, peak_a, most_a = use.wire, use.peak_a, use.most_a
    limit_a = wire.size.ampacity_a
    remedies = (Remedy("thicker-wire", wire.label), Remedy("add-feed", wire.end.name))
    if most_a > limit_a:
        text = (
            f"this wire of {wire.size.name} carries {most_a:.1f} A and may carry "
            f"{limit_a:g} A; take a thicker wire or add a feed"
        )
        yield Finding("danger", "wire-overload", wire.label, text, most_a, limit_a, "A", remedies)
    elif most_a > WIRE_LOAD * limit_a:
        text = _wire_load_text(use, WIRE_LOAD * limit_a)
        yield Finding(
            "warning", "wire-load", wire.label, text, most_a, WIRE_LOAD * limit_a, "A", remedies
        )
    if wire.fuse_a is None:
        return
    share = fuses().continuous_load
    if peak_a > wire.fuse_a:
        text = (
            f"{peak_a:.1f} A flow through a fuse of {wire.fuse_a:g} A, which will open; lower the "
            "brightness, add a feed, or use a thicker wire with a larger fuse"
        )
        yield Finding("danger", "fuse-overload", wire.label, text)
    elif peak_a > share * wire.fuse_a:
        text = (
            f"the fuse of {wire.fuse_a:g} A carries {peak_a:.1f} A, {peak_a / wire.fuse_a:.0%} of "
            f"its rating; above {share:.0%} it ages and may open: lower the brightness, add a "
            "feed, or use a larger fuse if the wire allows it"
        )
        yield Finding("warning", "fuse-load", wire.label, text)


def _wire_load_text(use: WireUse, limit_a: float) -> str:
    return (
        f"this wire of {use.wire.size.name} carries {use.most_a:.1f} A; it may be fused for "
        f"{use.wire.size.ampacity_a:g} A, and for hours on end should carry at most "
        f"{WIRE_LOAD:.0%} of that, {limit_a:g} A: take a thicker wire or add a feed"
    )


def _run(use: RunUse) -> Iterator[Finding]:
    run = use.run
    if not use.reached:
        return
    where = f"pixel {use.min_v_pixel} of run {run.name}"
    cure = "add a feed near it, use thicker wire, or lower the brightness"
    if use.min_v < run.kind.min_v:
        text = (
            f"{where} gets {use.min_v:.2f} V, below the {run.kind.min_v:g} V its logic needs, and "
            f"may show wrong colours; {cure}"
        )
        yield Finding("warning", "pixel-voltage", run.name, text)
    if use.min_dim < _FULL:
        text = (
            f"{where} gets {use.min_v:.2f} V, too little for full colour: its weakest channel "
            f"keeps {use.min_dim:.0%}; {cure}"
        )
        yield Finding("warning", "colour-lost", run.name, text)


def _drops(runs: Sequence[RunUse]) -> Iterator[Finding]:
    """Runs that lose much of their voltage on the way: one finding a level."""
    bands: tuple[tuple[Level, float, float], ...] = (
        ("warning", np.inf, DROP_WARNING),
        ("note", DROP_WARNING, DROP_NOTE),
    )
    for level, most, least in bands:
        found = sorted((use for use in runs if least < use.drop <= most), key=lambda use: -use.drop)
        if not found:
            continue
        worst = found[0]
        text = (
            f"{worst.drop:.1%} of the supply's {worst.feed_v:g} V are lost on the way to pixel "
            f"{worst.min_v_pixel} of run {worst.run.name}, more than {least:.0%}; add a feed near "
            "it, use thicker wire, or lower the brightness"
        )
        names = ", ".join(use.run.name for use in found)
        yield Finding(level, "voltage-drop", names, text)


def class_2_w(volts: float) -> float | None:
    """[W] of the largest Class 2 source of a DC voltage; None above 30 V.

    NEC chapter 9, table 11(B): 0-20 V 5·V VA, 20-30 V 100 VA (from memory).
    """
    if volts <= 20:
        return 5 * volts
    return 100.0 if volts <= 30 else None


def class_2_findings(supplies: Sequence[Supply]) -> tuple[Finding, ...]:
    """Supplies above NEC Class 2, code `above-class-2`."""
    over = []
    for supply in supplies:
        limit_w = class_2_w(supply.volts)
        if limit_w is None or supply.volts * supply.rated_a > limit_w:
            over.append(supply)
    if not over:
        return ()
    names = ", ".join(supply.name for supply in over)
    text = (
        f"{names}: stronger than a Class 2 source (NEC table 11(B): 25 W at 5 V, 60 W at 12 V), so "
        "its wires can start a fire; fuse every feed at the supply, or take several Class 2 ones"
    )
    return (Finding("note", "above-class-2", names, text),)
