"""Which node of the circuit a meter is held to."""

from __future__ import annotations

from layouts.records import House
from sim.circuit.topology import Topology


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
