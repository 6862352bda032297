"""Where a meter can be held, and which node of the circuit that is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from layouts.records import House
from sim.circuit.topology import Topology

from .causes import Breakage

#: So many places of runs are tried with a meter, besides where wires end.
_INNER = 24


def node_of(wiring: Topology, house: House, at: tuple[str, str, int] | None) -> int:
    """The node of the circuit that a meter is held to; KeyError for a place that is none."""
    assert at is not None
    kind, name, pad = at
    if kind == "run":
        run = house.run(name)
        if 1 <= pad <= run.count:
            return run.first + pad - 1
        words = f"the {'end' if pad else 'start'} of run {name}"
    elif kind == "junction":
        words = f"junction {name}"
    else:
        words = f"the terminals of supply {name}"
        if words not in wiring.beside:
            # An ideal supply's terminal is its source.
            return wiring.free + [supply.name for supply in house.supplies].index(name)
    return wiring.pixels + wiring.beside.index(words)


def points_of(
    house: House, causes: Sequence[Breakage], p: np.ndarray
) -> Iterator[tuple[str, str, tuple[str, str, int]]]:
    """Where a meter can be held: as written, what kind of place, and the point."""
    told = set()
    for wire in house.wires:
        for end in (wire.start, wire.end):
            point = (end.kind, end.name, end.pad if end.kind == "run" else 0)
            if point in told:
                continue
            told.add(point)
            kind = "feed" if end.kind == "run" else end.kind
            text = end.text
            if end.kind == "run":
                text = _pad_text(house, end.name, end.pad)
            yield text, kind, point
    for run in house.runs:
        for pad in (1, run.count):
            if ("run", run.name, pad) not in told:
                told.add(("run", run.name, pad))
                yield _pad_text(house, run.name, pad), "feed", ("run", run.name, pad)
    weight: dict[tuple[str, int], float] = {}
    for cause, share in zip(causes, p, strict=True):
        for fault in cause.faults:
            electrical = fault.kind in ("open", "joint", "short") and fault.conductor != "data"
            if fault.run is not None and electrical:
                for beside in (
                    (cause.first - 1, cause.last)
                    if not cause.parts
                    else ((fault.position or 0) - 1, fault.position or 0)
                ):
                    count = house.run(fault.run).count
                    key = (fault.run, min(max(beside, 0), count - 1))
                    weight[key] = weight.get(key, 0.0) + float(share)
    places = sorted(weight)
    if len(places) > _INNER:
        # Where the probability passes each of so many equal shares.
        summed = np.cumsum([weight[place] for place in places])
        at = np.searchsorted(summed, summed[-1] * (np.arange(_INNER) + 0.5) / _INNER)
        places = [places[k] for k in np.unique(at)]
    for name, position in places:
        point = ("run", name, position + 1)
        if point not in told:
            yield f"{name}[{position}]", "pixel", point


def _pad_text(house: House, name: str, pad: int) -> str:
    count = house.run(name).count
    if pad == 0:
        return f"{name}.start"
    return f"{name}.end" if pad == count + 1 else f"{name}[{pad - 1}]"
