"""Many circuits that differ from one in a few places: a conductor broken here, a short there.

The topology is analysed once and lets every edge in a ring have unlike conductors. What is broken
keeps `OPEN_S`: then nothing ever hangs loose, and no reach has to be found anew. 10 nS leak 50 nA
at 5 V, which the idle current of one pixel swamps: behind an open, pixels are at less than 1 mV.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from layouts.addresses import addresses

from .build import Network, network, patterns, weights
from .changed_kernel import Changes, Stepping, solve_changed
from .forms import Form
from .law import demand_a
from .pattern import Pattern
from .values import Values

#: [S] of a conductor that is broken, and of what ties every unknown down.
OPEN_S, TIE_S = 1e-8, 1e-10


@dataclass(frozen=True)
class Change:
    """What differs. Conductors as (edge, plus [S], minus [S]); chains by place on them."""

    edges: tuple[tuple[int, float, float], ...] = ()
    shorts: tuple[tuple[int, float], ...] = ()  # (node, [S] between + and −)
    source_v: tuple[tuple[int, float], ...] = ()  # (supply, [V])
    dark: tuple[tuple[int, int, int], ...] = ()  # (chain, first place, one behind the last)


@dataclass(frozen=True, eq=False)
class Changeable:
    """A network ready for changes: E edges, S supplies, N pixels, X columns of its form."""

    net: Network
    weight: np.ndarray  # [S] of `build.weights`
    chain: np.ndarray  # (N,) output of each pixel; runs on none count on behind the outputs
    place: np.ndarray  # (N,) on it
    parts: tuple[Pattern, ...]
    part_of: np.ndarray  # (X,) −1: none
    position: np.ndarray  # (X,)
    first_entry: np.ndarray  # (parts + 1,)
    touches: dict[str, list[list[int]]] = field(repr=False)  # by source: where it stands
    number_u: np.ndarray = field(repr=False)  # (E,) which chain, −1
    number_c: np.ndarray = field(repr=False)  # (E,) which cross edge, −1
    at_source: np.ndarray = field(repr=False)  # edges at fixed nodes


def changeable(net: Network) -> Changeable:
    """`net` made ready; what is interrupted in it keeps `OPEN_S`."""
    now, wiring = net.values, net.topology
    held = Values(np.maximum(now.plus_s, OPEN_S), np.maximum(now.minus_s, OPEN_S), now.source_v)
    base = network(wiring, held, net.house, net.law)
    cross = wiring.ring >= 0
    form = Form.of(wiring.edge, wiring.free, wiring.nodes, wiring.ring, cross)
    base = Network(net.house, net.law, wiring, held, base.reach, form)
    put, edges = form.coefficients, len(wiring.edge)
    weight = weights(base)[0]
    parts = patterns(base, weight, np.full(form.columns, TIE_S))
    part_of, position = np.full(form.columns, -1), np.zeros(form.columns, dtype=np.int64)
    for number, pattern in enumerate(parts):
        part_of[pattern.node] = number
        position[pattern.node] = np.arange(len(pattern.node))
    number_u, number_c = np.full(edges, -1), np.full(edges, -1)
    number_u[form.dual] = edges + form.chain
    number_c[form.cross] = edges + len(form.chain_u) + np.arange(int(form.cross.sum()))
    chain, place = _chains(net)
    return Changeable(
        *(base, weight, chain, place, parts, part_of, position),
        first_entry=np.cumsum([0, *(len(pattern.row) for pattern in parts)]),
        touches={
            "diagonal": _by_source(put.diagonal_source, len(weight)),
            "entry": _by_source(put.entry_source, len(weight)),
            "push": _by_source(put.push_source, len(weight)),
        },
        number_u=number_u,
        number_c=number_c,
        at_source=np.flatnonzero((wiring.edge >= wiring.free).any(axis=1)),
    )


def _by_source(source: np.ndarray, count: int) -> list[list[int]]:
    order = np.argsort(source, kind="stable")
    cut = np.searchsorted(source[order], np.arange(1, count))
    return [part.tolist() for part in np.split(order, cut)]


def _chains(net: Network) -> tuple[np.ndarray, np.ndarray]:
    where = addresses(net.house)
    chain, place = where.output.copy(), where.place.copy()
    for index, run in enumerate(net.house.runs):
        own = np.arange(run.first, run.first + run.count)
        if (chain[own] < 0).all():
            chain[own], place[own] = len(net.house.outputs) + index, own - run.first
    return chain, place


@dataclass(frozen=True, eq=False)
class ChangedVolts:
    """F changes: v of the nodes, and what the supplies give."""

    node_v: np.ndarray  # (F, X) float32 [V]; the first M + S columns are nodes
    supply_a: np.ndarray  # (F, S) [A]
    failed: int  # that did not converge


def solve_changes(able: Changeable, codes: np.ndarray, changes: Sequence[Change]) -> ChangedVolts:
    """The circuit of each change while `codes` (N, C) are sent."""
    net, form = able.net, able.net.form
    count = len(changes)
    lists = [_Lists(count) for _ in able.parts]
    dark_parts = _parts_of_chains(able)
    more = [_changed_weights(able, change) for change in changes]
    for f, change in enumerate(changes):
        _add(able, change, more[f], f, lists, dark_parts)
    demand = demand_a(net.law, codes)
    stepping = Stepping(net.law.eased_v, net.law.regulator_a, net.law.falls)
    highest_v = [volts for change in changes for _, volts in change.source_v]
    top_v = max([*net.fixed_v.tolist(), *highest_v], default=0.0)
    out = np.empty((count, form.columns), dtype=np.float32)
    out[:, net.free : net.nodes] = net.fixed_v
    for f, change in enumerate(changes):
        for supply, volts in change.source_v:
            out[f, net.free + supply] = volts
    out[:, -1] = 0.0
    failed = 0
    for pattern, collected in zip(able.parts, lists, strict=True):
        start = np.where(pattern.node < net.nodes, net.fixed_v.mean() if len(net.fixed_v) else 0, 0)
        begin = np.empty((1, len(pattern.node)))
        none = _Lists(1).arrays([0])
        args = (pattern, net.law_table, stepping, demand, able.chain, able.place)
        top = np.where(pattern.node < net.nodes, top_v, 0.0)
        failed += solve_changed(*args, none, start.astype(float), top, begin)
        out[:, pattern.node] = begin[0]
        some = collected.used()
        if some:
            found = np.empty((len(some), len(pattern.node)))
            failed += solve_changed(*args, collected.arrays(some), begin[0], top, found)
            out[np.ix_(np.array(some), pattern.node)] = found
    return ChangedVolts(out, _supply_a(able, out, more), failed)


class _Lists:
    """What is added to one part, change by change."""

    def __init__(self, count: int):
        self.diagonal: list[list[tuple[int, float]]] = [[] for _ in range(count)]
        self.entry: list[list[tuple[int, float]]] = [[] for _ in range(count)]
        self.push: list[list[tuple[int, float]]] = [[] for _ in range(count)]
        self.dark: list[list[tuple[int, int, int]]] = [[] for _ in range(count)]

    def used(self) -> list[int]:
        every = zip(self.diagonal, self.entry, self.push, self.dark, strict=True)
        return [f for f, (d, e, p, k) in enumerate(every) if d or e or p or k]

    def arrays(self, some: Sequence[int]) -> Changes:
        made: list[np.ndarray] = []
        for lists in (self.diagonal, self.entry, self.push):
            chosen = [lists[f] for f in some]
            at = np.concatenate([[0], np.cumsum([len(each) for each in chosen])])
            flat = [pair for each in chosen for pair in each]
            where = np.array([pair[0] for pair in flat], dtype=np.int64)
            what = np.array([pair[1] for pair in flat], dtype=float)
            made += [at.astype(np.int64), where, what]
        chosen_dark = [self.dark[f] for f in some]
        at = np.concatenate([[0], np.cumsum([len(each) for each in chosen_dark])])
        flat_dark = [each for one in chosen_dark for each in one]
        dark = np.array(flat_dark, dtype=np.int64).reshape(-1, 3)
        return Changes(*(*made, at.astype(np.int64), dark))


def _parts_of_chains(able: Changeable) -> dict[int, set[int]]:
    pixels = able.net.pixels
    pairs = set(zip(able.chain.tolist(), able.part_of[:pixels].tolist(), strict=True))
    found: dict[int, set[int]] = {}
    for chain, part in pairs:
        found.setdefault(chain, set()).add(part)
    return found


def _add(
    able: Changeable,
    change: Change,
    changed: dict[int, float],
    f: int,
    lists: list[_Lists],
    dark_parts: dict[int, set[int]],
) -> None:
    """Put change number `f`, its weights `changed`, into the lists of the parts it touches."""
    put = able.net.form.coefficients
    source_v = dict(change.source_v)
    for source, more in changed.items():
        for j in able.touches["diagonal"][source]:
            column = int(put.diagonal[j])
            if able.part_of[column] >= 0:
                lists[able.part_of[column]].diagonal[f].append((int(able.position[column]), more))
        for j in able.touches["entry"][source]:
            number = int(put.entry[j])
            entry_part = int(np.searchsorted(able.first_entry, number, side="right")) - 1
            at = int(number - able.first_entry[entry_part])
            lists[entry_part].entry[f].append((at, float(put.entry_sign[j]) * more))
        for j in able.touches["push"][source]:
            column, supply = int(put.pushed[j]), int(put.pushing[j])
            volts = source_v.get(supply, float(able.net.fixed_v[supply]))
            flow = float(put.push_sign[j]) * more * volts
            lists[able.part_of[column]].push[f].append((int(able.position[column]), flow))
    for supply, volts in change.source_v:
        for j in np.flatnonzero(put.pushing == supply).tolist():
            column = int(put.pushed[j])
            by = volts - float(able.net.fixed_v[supply])
            flow = float(put.push_sign[j] * able.weight[put.push_source[j]]) * by
            lists[able.part_of[column]].push[f].append((int(able.position[column]), flow))
    for node, siemens in change.shorts:
        if able.part_of[node] >= 0:
            lists[able.part_of[node]].diagonal[f].append((int(able.position[node]), siemens))
    for chain, first, last in change.dark:
        for part in dark_parts.get(chain, ()):
            if part >= 0:
                lists[part].dark[f].append((chain, first, last))


def _changed_weights(able: Changeable, change: Change) -> dict[int, float]:
    """By source of the coefficients: [S] more."""
    now, found = able.net.values, {}
    for edge, plus, minus in change.edges:
        plus, minus = max(plus, OPEN_S), max(minus, OPEN_S)
        p, m = float(now.plus_s[edge]), float(now.minus_s[edge])
        if able.number_u[edge] >= 0:
            found[edge] = (plus + minus - p - m) / 4
            found[int(able.number_u[edge])] = found[edge]
            found[int(able.number_c[edge])] = (plus - minus - p + m) / 4
        else:
            found[edge] = plus * minus / (plus + minus) - p * m / (p + m)
    return found


def _supply_a(able: Changeable, out: np.ndarray, more: Sequence[dict[int, float]]) -> np.ndarray:
    """(F, S) [A] out of each source: the content falls so with its voltage."""
    net = able.net
    amps = np.zeros((len(more), len(net.fixed_v)))
    for edge in able.at_source.tolist():
        a, b = net.edge[edge]
        flow = _part(able, more, edge) * (out[:, a].astype(float) - out[:, b])
        if able.number_c[edge] >= 0:
            ua, ub = net.form.edge_u[edge]
            flow = flow + _part(able, more, int(able.number_c[edge])) * (
                out[:, ua].astype(float) - out[:, ub]
            )
        for node, sign in ((a, 1.0), (b, -1.0)):
            if node >= net.free:
                amps[:, node - net.free] += sign * flow
    return amps


def _part(able: Changeable, more: Sequence[dict[int, float]], source: int) -> np.ndarray:
    return able.weight[source] + np.array([each.get(source, 0.0) for each in more])
