"""What supplies, wires, fuses and pixels may bear, and what is found where they bear more.

One table of limits serves the findings and the ceiling: at the ceiling nothing below is found
that is more than a note.

    supply-overload, supply-load, supply-backfed     more than its rating, than 80 % of it; pushed
    wire-overload, wire-load                         more than the wire, than 80 % of it
    fuse-overload, fuse-load                         more than the fuse, than 75 % of it
    pixel-voltage, colour-lost, voltage-drop         too few volts at a pixel
    voltage-collapse                                 too few for its step-down regulator
    above-class-2                                    a supply stronger than NEC Class 2
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from layouts.catalogue import fuses, limits
from layouts.finding import Finding, Level, Remedy
from layouts.records import Supply, Wire

from .build import Network
from .loading import RunUse, SupplyUse, WireUse
from .loads import Loads

#: [A] of current pushed back into a supply that is more than rounding.
BACKFED_A = 1e-3
#: A dimming factor below this is lost colour and not rounding.
_FULL = 1 - 1e-9


def utilisation(network: Network, loads: Loads, fed_v: np.ndarray | None = None) -> np.ndarray:
    """(T, S + S + W + R) how far each goes towards its limit; above 1: past it.

    Supplies, supplies that are pushed (0, or infinite: no brightness cures it), wires, runs.
    `fed_v` (T, R) [V] of the supply behind each run, where it is not what the house file says.
    """
    house = network.house
    supply_a = np.array([limits().supply_load * supply.rated_a for supply in house.supplies])
    share = limits().fuse_load
    wire_a = np.array([limits().wire_load * wire.size.ampacity_a for wire in house.wires])
    fused = [np.inf if wire.fuse_a is None else share * wire.fuse_a for wire in house.wires]
    plus_a = np.minimum(wire_a, fused)
    feed_v = network.feed_v[[run.first for run in house.runs] + loads.run_pixel]
    if fed_v is not None:
        feed_v = fed_v
    least_v = np.maximum(
        [run.kind.min_v for run in house.runs], (1 - limits().drop_warning) * feed_v
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        runs = np.where(loads.run_v < least_v, np.inf, 0.0)
        inside = (feed_v - loads.run_v) / (feed_v - least_v)
        runs = np.where(feed_v > least_v, inside, runs)
    runs = np.where(loads.run_dim < _FULL, np.maximum(runs, 2 - loads.run_dim), runs)
    # A run that no supply reaches is a finding of its own, which no brightness cures.
    if len(network.fixed_v):
        runs = np.where(network.feeds.any(axis=0), runs, 0.0)
    pushed = np.where(loads.supply_a < -BACKFED_A, np.inf, 0.0)
    wires = np.maximum(np.abs(loads.wire_a) / plus_a, np.abs(loads.wire_minus_a) / wire_a)
    return np.concatenate([loads.supply_a / supply_a, pushed, wires, runs], axis=1)


def limit_name(network: Network, column: int) -> str:
    """In words, whose limit a column of `utilisation` is."""
    house = network.house
    names = [f"{limits().supply_load:.0%} of supply {supply.name}" for supply in house.supplies]
    names += [f"current pushed into supply {supply.name}" for supply in house.supplies]
    names += [
        f"wire {wire.label}" if wire.fuse_a is None else f"the fuse or size of wire {wire.label}"
        for wire in house.wires
    ]
    names += [f"the voltage along run {run.name}" for run in house.runs]
    return names[column]


def limit_bound(network: Network, loads: Loads, frame: int, column: int) -> str:
    """In words, how much whose limit a column of `utilisation` is may bear, as that frame binds."""
    house, held_to = network.house, limits()
    supplies, wires = len(house.supplies), len(house.wires)
    if column < supplies:
        return f"{held_to.supply_load * house.supplies[column].rated_a:.3g} A"
    if column < 2 * supplies:
        return ""
    if column < 2 * supplies + wires:
        return _wire_bound(house.wires[column - 2 * supplies], loads, frame, column - 2 * supplies)
    number = column - 2 * supplies - wires
    run = house.runs[number]
    feed_v = float(network.feed_v[run.first + int(loads.run_pixel[frame, number])])
    least_v = (1 - held_to.drop_warning) * feed_v
    volts, dim = float(loads.run_v[frame, number]), float(loads.run_dim[frame, number])
    if dim < _FULL and volts >= max(least_v, run.kind.min_v):
        return f"at {volts:.2f} V its colours are no longer full"
    if run.kind.min_v > least_v:
        return f"its pixels need {run.kind.min_v:g} V"
    return f"at most {100 * held_to.drop_warning:.0f} % of {feed_v:g} V may be lost"


def _wire_bound(wire: Wire, loads: Loads, frame: int, number: int) -> str:
    """Of the fuse and the size of a wire the one that binds."""
    held_to, carries_a = limits(), wire.size.ampacity_a
    hours_a = held_to.wire_load * carries_a
    fused_a = np.inf if wire.fuse_a is None else held_to.fuse_load * wire.fuse_a
    plus_a, minus_a = abs(loads.wire_a[frame, number]), abs(loads.wire_minus_a[frame, number])
    if fused_a < hours_a and plus_a / fused_a >= minus_a / hours_a:
        return f"{100 * held_to.fuse_load:.0f} % of its {wire.fuse_a:g} A fuse, {fused_a:.3g} A"
    return f"{100 * held_to.wire_load:.0f} % of its {carries_a:g} A, {hours_a:.3g} A"


def load_findings(
    supplies: Sequence[SupplyUse],
    wires: Sequence[WireUse],
    runs: Sequence[RunUse],
    least_supply_a: np.ndarray,
) -> tuple[Finding, ...]:
    """What a scheme asks beyond the limits; `least_supply_a` (S,) [A] of each supply."""
    found = [finding for use in supplies for finding in _supply(use)]
    for use, least_a in zip(supplies, least_supply_a, strict=True):
        if least_a < -BACKFED_A:
            found.append(
                Finding(
                    "danger",
                    "supply-backfed",
                    use.supply.name,
                    value=-float(least_a),
                    limit=0.0,
                    unit="A",
                    remedies=(Remedy("separate-plus", use.supply.name),),
                )
            )
    found += [finding for wire in wires for finding in _wire(wire)]
    found += [finding for run in runs for finding in _run(run)]
    found += _drops(runs)
    return tuple(found)


def _supply(use: SupplyUse) -> Iterator[Finding]:
    rated_a, name, share = use.supply.rated_a, use.supply.name, limits().supply_load
    remedies = (
        Remedy("lower-brightness"),
        Remedy("larger-supply", name, use.peak_a / share, "A"),
    )
    if use.peak_a > rated_a:
        surplus_a = use.peak_a - share * rated_a
        yield Finding(
            "danger",
            "supply-overload",
            name,
            value=use.peak_a,
            limit=rated_a,
            unit="A",
            remedies=(*remedies, Remedy("feed-from-another", name, surplus_a, "A")),
        )
    elif use.peak_a > share * rated_a:
        yield Finding(
            "warning",
            "supply-load",
            name,
            value=use.peak_a,
            limit=share * rated_a,
            unit="A",
            remedies=remedies,
            detail={"rated_a": rated_a, "load": use.load, "share": share},
        )


def _wire(use: WireUse) -> Iterator[Finding]:
    wire, peak_a, most_a = use.wire, use.peak_a, use.most_a
    limit_a = wire.size.ampacity_a
    hours_a = limits().wire_load * limit_a
    cures = (Remedy("thicker-wire", wire.label, most_a, "A"), Remedy("add-feed", wire.end.text))
    if most_a > limit_a:
        yield Finding(
            "danger",
            "wire-overload",
            wire.label,
            value=most_a,
            limit=limit_a,
            unit="A",
            remedies=cures,
            detail={"size": wire.size.name},
        )
    elif most_a > hours_a:
        yield Finding(
            "warning",
            "wire-load",
            wire.label,
            value=most_a,
            limit=hours_a,
            unit="A",
            remedies=cures,
            detail={"size": wire.size.name, "fused_a": limit_a, "share": limits().wire_load},
        )
    if wire.fuse_a is None:
        return
    share = limits().fuse_load
    remedies = (
        Remedy("lower-brightness"),
        Remedy("add-feed", wire.end.text),
        *_larger_fuse(use),
    )
    if peak_a > wire.fuse_a:
        yield Finding(
            "danger",
            "fuse-overload",
            wire.label,
            value=peak_a,
            limit=wire.fuse_a,
            unit="A",
            remedies=remedies,
        )
    elif peak_a > share * wire.fuse_a:
        yield Finding(
            "warning",
            "fuse-load",
            wire.label,
            value=peak_a,
            limit=share * wire.fuse_a,
            unit="A",
            remedies=remedies,
            detail={"fuse_a": wire.fuse_a, "share": share},
        )


def _larger_fuse(use: WireUse) -> Iterator[Remedy]:
    """The next fuse that carries the peak for ever, and a wire for it where this one is thinner."""
    rating_a = fuses().rating_for(use.peak_a)
    if rating_a is None:
        return
    if rating_a > use.wire.size.ampacity_a:
        yield Remedy("thicker-wire", use.wire.label, rating_a, "A")
    yield Remedy("larger-fuse", use.wire.label, rating_a, "A")


def _run(use: RunUse) -> Iterator[Finding]:
    if not use.reached:
        return
    run, remedies = use.run, _nearer(use)
    if use.min_v < run.kind.min_v:
        yield Finding(
            "warning",
            "pixel-voltage",
            run.name,
            value=use.min_v,
            limit=run.kind.min_v,
            unit="V",
            remedies=remedies,
            detail={"pixel": use.min_v_pixel},
        )
    made = run.kind.regulator
    if made is not None and made.efficiency is not None:
        least_v = made.gives_v + made.dropout_v
        if use.min_v < least_v:
            yield Finding(
                "danger",
                "voltage-collapse",
                run.name,
                value=use.min_v,
                limit=least_v,
                unit="V",
                remedies=remedies,
                detail={"pixel": use.min_v_pixel},
            )
    if use.min_dim < _FULL:
        yield Finding(
            "warning",
            "colour-lost",
            run.name,
            value=use.min_dim,
            limit=1.0,
            remedies=remedies,
            detail={"pixel": use.min_v_pixel, "volts": use.min_v},
        )


def _nearer(use: RunUse) -> tuple[Remedy, ...]:
    """What brings more volts to the pixel that gets least."""
    return (
        Remedy("add-feed", f"{use.run.name}[{use.min_v_pixel}]"),
        Remedy("thicker-wire", use.run.name),
        Remedy("lower-brightness"),
    )


def _drops(runs: Sequence[RunUse]) -> Iterator[Finding]:
    """Runs that lose much of their voltage on the way: one finding a level."""
    held_to = limits()
    bands: tuple[tuple[Level, float, float], ...] = (
        ("warning", np.inf, held_to.drop_warning),
        ("note", held_to.drop_warning, held_to.drop_note),
    )
    for level, most, least in bands:
        found = sorted((use for use in runs if least < use.drop <= most), key=lambda use: -use.drop)
        if not found:
            continue
        worst, names = found[0], tuple(use.run.name for use in found)
        feeds = tuple(remedy for use in found for remedy in _nearer(use)[:1])
        yield Finding(
            level,
            "voltage-drop",
            ", ".join(names),
            value=worst.drop,
            limit=least,
            remedies=(*feeds, *_nearer(worst)[1:]),
            elements=names,
            detail={"run": worst.run.name, "pixel": worst.min_v_pixel, "feed_v": worst.feed_v},
        )


def class_2_findings(supplies: Sequence[Supply]) -> tuple[Finding, ...]:
    """Supplies above NEC Class 2, code `above-class-2`: one finding, told of the strongest."""
    over = []
    for supply in supplies:
        limit_w = limits().class_2_w(supply.volts)
        if limit_w is None or supply.volts * supply.rated_a > limit_w:
            over.append(supply)
    if not over:
        return ()
    names = tuple(supply.name for supply in over)
    strongest = max(over, key=lambda supply: supply.volts * supply.rated_a)
    fused = (Remedy("add-fuse", name) for name in names)
    smaller = (
        Remedy("split-supply", each.name, limits().class_2_w(each.volts), "W") for each in over
    )
    return (
        Finding(
            "note",
            "above-class-2",
            ", ".join(names),
            value=strongest.volts * strongest.rated_a,
            limit=limits().class_2_w(strongest.volts),
            unit="W",
            remedies=(*fused, *smaller),
            elements=names,
        ),
    )
