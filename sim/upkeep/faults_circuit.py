"""What faults change of a circuit: conductances, sources, shorts, and who draws.

The wiring is analysed once for the rig; every fault is other numbers on it (`with_values`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from layouts.errors import EvenfallError
from layouts.faults import Fault
from layouts.records import House, Run
from sim.circuit import Network, network, topology, values, with_values, without_pixels

#: [Ω] of a short that has no resistance at all.
_LEAST_OHM = 1e-4
#: [Ω] put behind an ideal supply that is off, so that it can be taken away.
_BEHIND_OHM = 1e-3


def circuit_with(net: Network, faults: Iterable[Fault]) -> Network:
    """The circuit with the faults that change it; the same object where none does.

    EvenfallError where a fault names a place that has no conductor.
    """
    faults = tuple(faults)
    gone = {fault.supply for fault in faults if fault.kind in ("off", "hiccup")}
    ideal = {s.name for s in net.house.supplies if s.name in gone and s.source_ohm == 0}
    if ideal:
        net = _behind_resistors(net, ideal)
    plus_s, minus_s = net.values.plus_s.copy(), net.values.minus_s.copy()
    source_v = net.values.source_v.copy()
    shunt_s = np.zeros(net.free)
    dead = np.zeros(net.pixels, dtype=bool)
    changed = bool(ideal)
    for fault in faults:
        if fault.kind == "dead":
            dead[_run(net.house, fault).first + (fault.position or 0)] = True
        elif fault.kind == "blown":
            plus_s[net.wire_edge[fault.wire]] = 0.0
        elif fault.kind == "off":
            edges = source_edges(net, str(fault.supply))
            plus_s[edges] = minus_s[edges] = 0.0
        elif fault.kind == "sag":
            source_v[_supply(net.house, str(fault.supply))] = fault.volts
        elif fault.kind == "short":
            shunt_s[short_node(net, fault)] += 1 / short_ohm(fault)
        elif fault.kind in ("open", "joint") and fault.conductor != "data":
            edge = edge_of(net, fault)
            for of, name in ((plus_s, "plus"), (minus_s, "minus")):
                if fault.conductor in (None, name):
                    of[edge] = _worse(of[edge], fault)
        else:
            continue
        changed = True
    if not changed:
        return net
    return with_values(
        net,
        plus_s=plus_s,
        minus_s=minus_s,
        source_v=source_v,
        shunt_s=shunt_s if shunt_s.any() else None,
        pixel_law=without_pixels(net.law, dead) if dead.any() else None,
    )


def without_supplies(net: Network, names: Iterable[str]) -> Network:
    """The circuit while these supplies give nothing; each has a resistance inside."""
    plus_s, minus_s = net.values.plus_s.copy(), net.values.minus_s.copy()
    for name in names:
        edges = source_edges(net, name)
        plus_s[edges] = minus_s[edges] = 0.0
    return with_values(net, plus_s=plus_s, minus_s=minus_s)


def source_edges(net: Network, supply: str) -> np.ndarray:
    """The edges inside a supply; none where no wire leads from it."""
    at = np.flatnonzero(net.topology.source_of == _supply(net.house, supply))
    return at + net.first_source_edge


def supply_edges(net: Network, supply: str) -> list[int]:
    """The edges through which all of a supply's current goes: inside it, or at an ideal one."""
    inside = source_edges(net, supply)
    if len(inside):
        return inside.tolist()
    node = net.free + _supply(net.house, supply)
    return np.flatnonzero((net.edge == node).any(axis=1)).tolist()


def _behind_resistors(net: Network, ideal: set[str]) -> Network:
    """The same circuit with a resistance inside the supplies `ideal`."""
    supplies = (
        replace(each, source_ohm=_BEHIND_OHM) if each.name in ideal else each
        for each in net.house.supplies
    )
    house = replace(net.house, supplies=tuple(supplies))
    wiring = topology(house)
    return network(wiring, values(wiring, house), house, net.law)


def _worse(siemens: float, fault: Fault) -> float:
    """A conductance with the fault in it."""
    if fault.kind == "open" or siemens == 0.0:
        return 0.0
    return 1 / (1 / siemens + (fault.ohm or 0.0))


def edge_of(net: Network, fault: Fault) -> int:
    """The edge whose conductor a fault is in."""
    if fault.wire is not None:
        return int(net.wire_edge[fault.wire])
    run, position = _run(net.house, fault), fault.position or 0
    if 0 < position < run.count:
        # Every run before it has one rail less than pixels.
        return run.first - net.house.runs.index(run) + position - 1
    pixel = run.first if position == 0 else run.first + run.count - 1
    wiring = net.topology
    index = net.house.runs.index(run)
    for number, pad_run in enumerate(wiring.pad_run.tolist()):
        edge = wiring.first_pad + number
        name = wiring.beside[int(wiring.edge[edge].max()) - wiring.pixels]
        end = name.startswith("the end")
        if pad_run == index and pixel in wiring.edge[edge] and end == (position > 0):
            return edge
    which = "start" if position == 0 else "end"
    raise EvenfallError(f"no wire is on the {which} of run {run.name}, so nothing flows there")


def short_ohm(fault: Fault) -> float:
    """[Ω] of a short."""
    return max(fault.ohm or 0.0, _LEAST_OHM)


def short_node(net: Network, fault: Fault) -> int:
    """The node at which + and − touch: a pixel, or the end of a wire that is no supply."""
    if fault.wire is None:
        return _run(net.house, fault).first + (fault.position or 0)
    a, b = net.edge[net.wire_edge[fault.wire]].tolist()
    for node in (b, a):
        if node < net.free:
            return int(node)
    label = net.house.wires[fault.wire].label
    raise EvenfallError(f"both ends of wire {label} are terminals of supplies; short a run instead")


def _run(house: House, fault: Fault) -> Run:
    return house.run(str(fault.run))


def _supply(house: House, name: str) -> int:
    return [supply.name for supply in house.supplies].index(name)


def opened_fuse(net: Network, wire: int) -> Network:
    """The circuit with the fuse of that wire open."""
    plus_s = net.values.plus_s.copy()
    plus_s[net.wire_edge[wire]] = 0.0
    return with_values(net, plus_s=plus_s)
