"""The wires of a plan as they lie on the net: from which box to which place of which run."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layouts import length_text
from layouts.catalogue import limits
from layouts.records import House, Run

from .fed import Proposal
from .routing import CableNet
from .wired import point


@dataclass(frozen=True)
class Laid:
    """A feed of its own, or a trunk to its last tap."""

    box: int  # number of its box in the net
    run: int  # number of the run that it leads to
    along_m: float  # where on that
    wire: int  # number of its size in the market
    label: str


def laid(house: House, made: Proposal, net: CableNet) -> Iterator[Laid]:
    """All wires of a proposal that come from a box."""
    for fed in made.fed:
        line = fed.line
        tapped = {pad for trunk in fed.plan.trunks for pad in trunk.pads}
        supply = {feed.pad: feed.supply for feed in fed.plan.feeds}
        wires = [(f.pad, f.wire) for f in fed.plan.feeds if f.pad not in tapped]
        wires += [(trunk.pads[-1], trunk.wire) for trunk in fed.plan.trunks]
        for pad, wire in wires:
            place = made.market.supplies[supply[pad]].place
            index = int(line.node[pad])
            number = int(house.pixels.run[index])
            along_m = _along_m(house, house.runs[number], line.pixel[pad], index)
            label = f"{place} → {point(house, line, pad)}"
            yield Laid(net.boxes.index(place), number, along_m, wire, label)


def free_remarks(house: House, made: Proposal, net: CableNet) -> tuple[str, ...]:
    """A remark on wires of which much lies along no run and no route, where nothing may hold it;
    () where there is none."""
    free = [(net.free_m(w.box, w.run, w.along_m), w.label) for w in laid(house, made, net)]
    far = sorted((each for each in free if each[0] > limits().free_cable_m), reverse=True)
    if not far:
        return ()
    rest = len(far) - 1
    alike = f", and {rest} other wire{' is' if rest == 1 else 's are'} alike" if rest else ""
    (most_m, label), told = far[0], "along no run and no route"
    return (
        f"{length_text(round(most_m, 1), house.units)} of {label} lie straight, {told}{alike}: see"
        " that something holds it there; say under 'routes' what way cable can take, and wires are"
        " as long as that",
    )


def _along_m(house: House, run: Run, pixel: bool, index: int) -> float:
    """[m] along its run of a pad: beside a pixel, or at the end that is nearer."""
    if pixel:
        return float(house.pixels.along_m[index])
    return 0.0 if index == run.first and run.count > 1 else run.length_m
