"""Everything that can break in a house, one cause a place: what is tried on the sightings.

A cause is made of faults, so that what it does is what the faults do in the model. Of a bad joint
and of a sagging supply how bad it is is not known: some values stand for all, as causes of their
own that share a weight. What changes little from place to place is tried at some places only, and
each stands for those around it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from layouts.faults import Fault
from layouts.records import House, Run

from .priors import Priors

#: [Ω] of bad joints of a wire, of a run, [share] of a supply's volts, that stand for all.
WIRE_OHM = (0.1, 0.2, 0.4, 0.8, 1.6, 3.0)
JOINT_OHM, SAG = (0.15, 0.5, 2.0), (0.95, 0.9, 0.85, 0.8, 0.7, 0.6)
#: [Ω] of a short: metal on metal, and through dirt and water; no source.
SHORT_OHM = (0.02, 0.06, 0.2)
#: Every how manyth place is tried.
JOINT_STEP, SHORT_STEP = 4, 8


@dataclass(frozen=True)
class Breakage:
    """One thing that may be broken, or two; of a run, for positions `first` to `last`."""

    kind: str  # as in the weights of the priors
    faults: tuple[Fault, ...]
    weight: float
    first: int = 0
    last: int = 0  # the last one itself
    output: int = -1  # index into House.outputs
    parts: tuple[Breakage, ...] = ()  # of two at once
    fine: bool = False  # one of many degrees of badness, at its very place

    @property
    def singles(self) -> tuple[Breakage, ...]:
        """The causes it is made of: itself, or the two."""
        return self.parts or (self,)

    @staticmethod
    def both(one: Breakage, other: Breakage) -> Breakage:
        """Two things broken at once."""
        weight = one.weight * other.weight
        return Breakage("two", one.faults + other.faults, weight, parts=(one, other))


def causes(house: House, priors: Priors) -> tuple[Breakage, ...]:
    """Every single cause of `house`."""
    weight = priors.weights
    chained = {name: output for output in house.outputs for name in output.chain}
    firsts = {output.chain[0]: index for index, output in enumerate(house.outputs) if output.chain}
    found: list[Breakage] = []
    for run in house.runs:
        # A run on no output is taken to have one of its own.
        begins = run.name in firsts or run.name not in chained
        found += _of_run(house, run, begins, firsts.get(run.name, -1), weight)
    for index, wire in enumerate(house.wires):
        for conductor in ("plus", "minus"):
            fault = Fault("open", wire=index, conductor=conductor)  # type: ignore[arg-type]
            found.append(Breakage("open-wire", (fault,), weight["open-wire"] / 2))
        for ohm in WIRE_OHM:
            share = weight["joint-wire"] / len(WIRE_OHM)
            found.append(Breakage("joint-wire", (Fault("joint", wire=index, ohm=ohm),), share))
        if wire.fuse_a is not None:
            found.append(Breakage("blown", (Fault("blown", wire=index),), weight["blown"]))
        if wire.end.kind != "supply" or wire.start.kind != "supply":
            for ohm in SHORT_OHM:
                fault = Fault("short", wire=index, ohm=ohm)
                share = weight["short-wire"] / len(SHORT_OHM)
                found.append(Breakage("short-wire", (fault,), share))
    for supply in house.supplies:
        found.append(Breakage("off", (Fault("off", supply=supply.name),), weight["off"]))
        hiccup = Fault("hiccup", supply=supply.name)
        found.append(Breakage("hiccup", (hiccup,), weight["hiccup"]))
        for share in SAG:
            fault = Fault("sag", supply=supply.name, volts=supply.volts * share)
            found.append(Breakage("sag", (fault,), weight["sag"] / len(SAG)))
    return tuple(found)


def _of_run(
    house: House, run: Run, begins: bool, output: int, weight: Mapping[str, float]
) -> Iterator[Breakage]:
    there = [position for position in range(run.count) if position not in run.missing]
    head = there[0]
    for n in there:
        first = begins and n == head
        for kind in ("dead", "dark", "stuck", "garbage"):
            colour = (255, 255, 255) if kind == "stuck" else None
            fault = Fault(kind, run.name, n, colour=colour)  # type: ignore[arg-type]
            how = weight["dead-first"] if kind == "dead" and first else weight[kind]
            yield Breakage(kind, (fault,), how, n, n)
        cut = Fault("open", run.name, n, "data")
        name = "open-data-joint" if n == head else "open-data"
        yield Breakage(name, (cut,), weight[name], n, n)
        if first and output >= 0:
            yield Breakage("output", (cut,), weight["output"], n, n, output)
            garbled = Fault("garbage", run.name, n)
            yield Breakage("common-minus", (garbled,), weight["common-minus"], n, n, output)
    wired = {
        end.pad
        for wire in house.wires
        for end in (wire.start, wire.end)
        if end.kind == "run" and end.name == run.name
    }
    breaks = [n for n in range(1, run.count) if n not in run.cuts]
    ends = [n for n, pad in ((0, 0), (run.count, run.count + 1)) if pad in wired]
    for n in sorted([*breaks, *run.cuts]) + ends:
        # Where the + is cut, the − alone is left to break.
        for conductor in ("minus",) if n in run.cuts else ("plus", "minus"):
            fault = Fault("open", run.name, n, conductor)  # type: ignore[arg-type]
            yield Breakage("open", (fault,), weight["open"], n, n)
    for n in [*breaks[::JOINT_STEP], *ends]:
        last = n if n in ends else min(n + JOINT_STEP - 1, run.count - 1)
        for ohm in JOINT_OHM:
            share = weight["joint"] * (last - n + 1) / len(JOINT_OHM)
            yield Breakage("joint", (Fault("joint", run.name, n, ohm=ohm),), share, n, last)
    for n in range(0, run.count, SHORT_STEP):
        last = min(n + SHORT_STEP - 1, run.count - 1)
        for ohm in SHORT_OHM:
            share = weight["short"] * (last - n + 1) / len(SHORT_OHM)
            at = (n + last) // 2
            yield Breakage("short", (Fault("short", run.name, at, ohm=ohm),), share, n, last)
