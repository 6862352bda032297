"""Fuses that open and supplies that give up, for many broken circuits at once.

The rules are those of `sim.upkeep.fault_limits`, fuse after fuse; a supply in hiccup is off most of
the time, and a slow meter shows the mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from layouts.catalogue import limits
from layouts.faults import HICCUP_S, Fault
from sim.circuit.changed import Change, Changeable, solve_changes
from sim.circuit.fuse_opening import OPENS
from sim.upkeep.fault_limits import MOST
from sim.upkeep.faults_circuit import supply_edges

#: [V] by which a pixel's voltage changes when a supply goes, so that it is seen to flicker.
_SEEN_V = 0.3


@dataclass(frozen=True, eq=False)
class Way:
    """R circuits once nothing more gives way: X columns, S supplies, W wires, N pixels."""

    changes: tuple[Change, ...]  # with the fuses that opened
    faults: tuple[Sequence[Fault], ...]
    node_v: np.ndarray  # (R, X) float32 [V] while every supply that can is on
    mean_v: np.ndarray  # (R, X) the mean over hiccups
    supply_a: np.ndarray  # (R, S) [A]
    source_v: np.ndarray  # (R, S) [V]
    share: np.ndarray  # (R, S) of the time that it is on
    opened: np.ndarray  # (R, W) bool
    unsteady: np.ndarray  # (R, N) bool: another light when a supply pauses

    def again(
        self,
        able: Changeable,
        codes: np.ndarray,
        changes: Sequence[Change],
        some: np.ndarray,
        *,
        anew: bool = False,
    ) -> Way:
        """The circuits `some` with other changes.

        Fuses that opened stay open and supplies that gave up stay so, unless `anew`.
        """
        fresh = gives_way(
            able,
            codes,
            [changes[r] for r in some],
            [self.faults[r] for r in some],
            None if anew else self.share[some],
        )
        every = list(self.changes)
        for r, change in zip(some.tolist(), fresh.changes, strict=True):
            every[r] = change
        made = {}
        for name in ("node_v", "mean_v", "supply_a", "source_v", "share", "opened", "unsteady"):
            whole = getattr(self, name).copy()
            whole[some] = getattr(fresh, name)
            if name == "opened" and not anew:
                whole[some] |= self.opened[some]
            made[name] = whole
        return replace(self, changes=tuple(every), **made)


def gives_way(
    able: Changeable,
    codes: np.ndarray,
    changes: Sequence[Change],
    faults: Sequence[Sequence[Fault]],
    gave_up: np.ndarray | None = None,
) -> Way:
    """The circuits of `changes` with fuses opened and supplies given up.

    `gave_up` (R, S) is the share of the time of supplies that gave up already, in `changes` with
    the voltage that is left of them.
    """
    net = able.net
    wires = net.house.wires
    now = list(changes)
    solved = solve_changes(able, codes, now)
    node_v, supply_a = solved.node_v, solved.supply_a.copy()
    source_v = np.tile(net.fixed_v.astype(float), (len(now), 1))
    for r, change in enumerate(now):
        for supply, volts in change.source_v:
            source_v[r, supply] = volts
    opened = np.zeros((len(now), len(wires)), dtype=bool)
    rated_a = np.array([np.inf if w.fuse_a is None else w.fuse_a for w in wires])
    most_a = np.array([supply.rated_a for supply in net.house.supplies])
    look = np.arange(len(now))
    for _ in range(len(wires)):
        if not len(wires) or not len(look):
            break
        flow = np.abs(_wire_a(able, node_v[look], [now[r] for r in look]))
        given = np.minimum(1.0, limits().supply_gives * most_a / np.maximum(supply_a[look], 1e-9))
        load = flow * _given_of_wire(able, given) / rated_a
        load[opened[look]] = 0.0
        worst = load.argmax(axis=1)
        blows = load[np.arange(len(look)), worst] >= OPENS
        look, worst = look[blows], worst[blows]
        if not len(look):
            break
        for r, wire in zip(look.tolist(), worst.tolist(), strict=True):
            opened[r, wire] = True
            now[r] = _with_open(able, now[r], int(net.wire_edge[wire]))
        fresh = solve_changes(able, codes, [now[r] for r in look])
        node_v[look], supply_a[look] = fresh.node_v, fresh.supply_a
    share = np.ones_like(source_v)
    for r, each in enumerate(faults):
        for fault in each:
            if fault.kind == "hiccup":
                names = [supply.name for supply in net.house.supplies]
                share[r, names.index(str(fault.supply))] = fault.on_share
    trips = supply_a > MOST * most_a
    share = np.where(trips & (share == 1), HICCUP_S[0] / sum(HICCUP_S), share)
    if gave_up is not None:
        trips &= gave_up == 1
        share = np.minimum(share, gave_up)
    tripped = np.flatnonzero(trips.any(axis=1))
    if len(tripped):
        given = np.minimum(1.0, MOST * most_a / np.maximum(supply_a[tripped], 1e-9))
        lowered = source_v[tripped] * np.where(trips[tripped], given, 1.0)
        source_v[tripped] = lowered
        for r, volts in zip(tripped.tolist(), lowered, strict=True):
            now[r] = replace(now[r], source_v=tuple(enumerate(volts.tolist())))
        fresh = solve_changes(able, codes, [now[r] for r in tripped])
        node_v[tripped], supply_a[tripped] = fresh.node_v, fresh.supply_a
    mean_v, unsteady = _means(able, codes, now, node_v, share)
    return Way(
        *(tuple(now), tuple(faults), node_v, mean_v, supply_a, source_v, share, opened, unsteady)
    )


def _means(
    able: Changeable, codes: np.ndarray, now: list[Change], node_v: np.ndarray, share: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """The mean volts and what flickers; pauses of several supplies are taken one at a time."""
    net = able.net
    unsteady = np.zeros((len(now), net.pixels), dtype=bool)
    pause = [(r, s) for r, s in np.argwhere(share < 1).tolist()]
    if not pause:
        return node_v, unsteady
    without = []
    for r, s in pause:
        change = now[r]
        for edge in supply_edges(net, net.house.supplies[s].name):
            change = _with_open(able, change, edge, both=True)
        without.append(change)
    paused = solve_changes(able, codes, without).node_v
    mean = node_v.copy()
    for (r, s), volts in zip(pause, paused, strict=True):
        mean[r] -= (1 - share[r, s]) * (node_v[r] - volts)
        moved = np.abs(node_v[r] - volts)[: net.pixels] > _SEEN_V
        unsteady[r] |= moved
    return mean, unsteady


def _with_open(able: Changeable, change: Change, edge: int, *, both: bool = False) -> Change:
    """The change with the + of that edge open, or both conductors."""
    now = {e: (plus, minus) for e, plus, minus in change.edges}
    minus = now.get(edge, (0.0, float(able.net.values.minus_s[edge])))[1]
    now[edge] = (0.0, 0.0 if both else minus)
    return replace(change, edges=tuple((e, *pair) for e, pair in now.items()))


def _wire_a(able: Changeable, node_v: np.ndarray, changes: Sequence[Change]) -> np.ndarray:
    """(R, W) [A] in the + of each wire."""
    net = able.net
    plus = np.tile(net.values.plus_s[net.wire_edge], (len(changes), 1))
    minus = np.tile(net.values.minus_s[net.wire_edge], (len(changes), 1))
    first = net.topology.first_wire
    for r, change in enumerate(changes):
        for edge, p, m in change.edges:
            if first <= edge < net.first_source_edge:
                plus[r, edge - first], minus[r, edge - first] = p, m
    a, b = net.edge[net.wire_edge].T
    across = node_v[:, a].astype(float) - node_v[:, b]
    ua, ub = net.form.edge_u[net.wire_edge].T
    dual = able.number_u[net.wire_edge] >= 0
    shift = np.where(dual, node_v[:, ua].astype(float) - node_v[:, ub], 0.0)
    loop = plus * minus / np.maximum(plus + minus, 1e-30)
    return np.where(dual, plus / 2 * (across + shift), loop * across)


def _given_of_wire(able: Changeable, given: np.ndarray) -> np.ndarray:
    """(R, W) the share that the supply a wire starts at gives; of others the least."""
    house = able.net.house
    names = [supply.name for supply in house.supplies]
    return np.stack(
        [
            given[:, names.index(wire.start.name)]
            if wire.start.kind == "supply"
            else given.min(axis=1)
            for wire in house.wires
        ],
        axis=1,
    )
