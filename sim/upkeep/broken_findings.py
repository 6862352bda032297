"""What of a broken house its owner should know: what opens, gives up, gets hot, is overloaded."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from layouts.finding import Finding, Remedy, by_urgency
from sim.circuit import load_findings, run_uses, supply_uses, wire_uses
from sim.circuit.loads import loads_of

from .broken import BrokenFrame
from .faults_circuit import edge_of, short_node
from .margins import margin_findings, margins
from .signal import GARBAGE

#: [W] in one spot from which it is worth a warning; no source: a soldered joint has little to
#: carry heat away.
_HOT_W = 1.0


def broken_findings(frame: BrokenFrame) -> tuple[Finding, ...]:
    """Findings of the broken house in the frames shown, dangers first."""
    solution = frame.solution
    loads = loads_of(solution, frame.received)
    net = solution.network
    found = [*_opened(frame), *_tripped(frame), *_shorts(frame), *joint_heat(frame)]
    found += _misread(frame)
    if len(net.fixed_v):
        uses = (supply_uses(net, loads), wire_uses(net, loads), run_uses(net, loads))
        told = {(each.code, each.where) for each in found}
        overloads = load_findings(*uses, loads.supply_a.min(axis=0))
        tripped = {("supply-overload", name) for name in frame.tripped}
        found += [each for each in overloads if (each.code, each.where) not in told | tripped]
    return by_urgency(found)


def _opened(frame: BrokenFrame) -> Iterator[Finding]:
    wires = frame.solution.network.house.wires
    for index in frame.opened:
        wire = wires[index]
        yield Finding("danger", "fuse-opens", wire.label, limit=wire.fuse_a, unit="A")


def _misread(frame: BrokenFrame) -> Iterator[Finding]:
    """Levels on data lines that are not read: why what nobody broke shows garbage."""
    if not (frame.states[0].arrives == GARBAGE).any():
        return
    # The dark house is looked at too: what is lost once stays lost, though garbage draws more.
    yield from margin_findings(margins(frame.solution.network, frame.received))


def _tripped(frame: BrokenFrame) -> Iterator[Finding]:
    for supply in frame.solution.network.house.supplies:
        if supply.name in frame.tripped:
            yield Finding("danger", "supply-trips", supply.name, limit=supply.rated_a, unit="A")


def _shorts(frame: BrokenFrame) -> Iterator[Finding]:
    net = frame.solution.network
    shares = np.array([state.share for state in frame.states])
    for fault in frame.broken.faults:
        if fault.kind != "short":
            continue
        node = short_node(net, fault)
        volts = np.stack([state.solution.node_v[:, node] for state in frame.states])
        amps = np.stack([state.solution.shunt_a[:, node] for state in frame.states])
        heat_w = float((shares[:, None] * volts * amps).sum(axis=0).max())
        if heat_w >= _HOT_W:
            yield Finding(
                "danger",
                "short-hot",
                net.place(node),
                value=heat_w,
                limit=_HOT_W,
                unit="W",
                remedies=(Remedy("unplug"),),
                detail={"amps": float(amps.max())},
            )


def joint_heat(frame: BrokenFrame) -> Iterator[Finding]:
    """Bad joints that get hot. One of both conductors has its ohms twice, each with its current."""
    solution = frame.solution
    for fault in frame.broken.faults:
        if fault.kind != "joint":
            continue
        edge = np.array([edge_of(solution.network, fault)])
        through = {
            "plus": np.abs(solution.edge_a(edge)[:, 0]),
            "minus": np.abs(solution.edge_minus_a(edge)[:, 0]),
        }
        mine = [name for name in through if fault.conductor in (None, name)]
        ohm = fault.ohm or 0.0
        worst = int(np.argmax(sum(through[name] ** 2 for name in mine)))
        amps = {name: float(through[name][worst]) for name in mine}
        heat_w = ohm * sum(each**2 for each in amps.values())
        if heat_w >= _HOT_W:
            wires = solution.network.house.wires
            where = wires[fault.wire].label if fault.wire is not None else ""
            yield Finding(
                "warning",
                "joint-hot",
                where or f"{fault.run}[{fault.position}]",
                value=heat_w,
                limit=_HOT_W,
                unit="W",
                remedies=(Remedy("new-joint", where or f"{fault.run}[{fault.position}]"),),
                detail={
                    "amps": max(amps.values()),
                    "ohm": ohm,
                    **{f"{name}_a": each for name, each in amps.items()},
                    **{f"{name}_w": ohm * each**2 for name, each in amps.items()},
                },
            )
