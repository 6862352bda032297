"""From the house to the network that is solved.

A house has two conductors. Every wire, rail and pad has a + and a −; a fuse and a cut interrupt +
alone, − goes through. A pixel draws from + of its place and gives to − of it, and so does a short
of so many ohms (`Values.shunt_s`). `sim.circuit.forms`
says in which unknowns that is written: v = V₊ − V₋ of every node, and u = V₊ + V₋ of the few
where the conductors of a ring differ. Everywhere else the two fold into one network of loop
resistances, without approximation.

The work is parted by how often it has to be done. `topology`: what touches what, and in which
order it is eliminated; once for a wiring. `values`: what each conductor conducts; a fuse, a
temperature, a broken joint change only those (`with_values`). The factors of the values are kept
for all frames.

The content of the network, ½ΣgΔV² of both conductors and Σ∫i dv of the pixels less what the
sources push, is strictly convex in (v, u): it is a sum of squares of linear functions of them and
of the pixels' content, which is convex where their currents never fall with v. Then there is one
answer, and `sim.circuit.kernel` finds it whatever the values are. Step-down regulators draw less
the more they are fed: `sim.circuit.falling` finds the highest answer there is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from layouts.records import House

from .forms import Form
from .law import Law, law, without_pixels
from .pattern import Pattern
from .reach import reach
from .summed import summed
from .together import Reach, groups
from .topology import Topology, topology
from .values import Values, values

if TYPE_CHECKING:
    from .law_table import LawTable

#: [S] between + and − of what nothing else holds; nothing flows through it.
_PIN_S = 1.0
#: So many ways of being interrupted are remembered for one wiring.
_REACHES = 64


@dataclass(frozen=True, eq=False)
class Component:
    """A connected network ready to be solved: 1/D (M,) and L (Z,) of it without pixels."""

    pattern: Pattern
    inverse: np.ndarray
    entry: np.ndarray


@dataclass(frozen=True, eq=False)
class Network:
    """A house as a circuit: M free nodes (the N pixels first), S fixed ones, E edges."""

    house: House
    law: Law
    topology: Topology
    values: Values
    reach: Reach
    form: Form

    @property
    def pixels(self) -> int:
        """N."""
        return self.topology.pixels

    @property
    def free(self) -> int:
        """M."""
        return self.topology.free

    @property
    def nodes(self) -> int:
        """Free and fixed nodes together."""
        return self.topology.nodes

    @property
    def edge(self) -> np.ndarray:
        """(E, 2) node numbers."""
        return self.topology.edge

    @property
    def edge_s(self) -> np.ndarray:
        """(E,) [S] of the loop, + and − one after the other."""
        return self.values.loop_s

    @property
    def fixed_v(self) -> np.ndarray:
        """(S,) [V] of nodes M..M+S-1, one a supply."""
        return self.values.source_v

    @property
    def first_source_edge(self) -> int:
        """From here on, edges are the resistances inside the supplies."""
        return self.topology.first_source

    @cached_property
    def wire_edge(self) -> np.ndarray:
        """(W,) the edge of each wire; they run from wire.start to wire.end."""
        return np.arange(self.topology.first_wire, self.topology.first_source)

    @cached_property
    def feed_v(self) -> np.ndarray:
        """(N,) [V] of the supply that reaches each pixel; its kind's own where none does.

        Where several supplies are joined, which is a finding, the highest voltage counts.
        """
        nominal = np.array([run.kind.supply_v for run in self.house.runs])[self.house.pixels.run]
        if not len(self.fixed_v):
            return nominal
        highest = np.where(self.reach.fed, self.fixed_v[:, None], -np.inf).max(axis=0)
        return np.where(self.reach.live, highest, nominal)

    @cached_property
    def feeds(self) -> np.ndarray:
        """(S, R) bool: the supply reaches some of the run."""
        first = [run.first for run in self.house.runs]
        return np.logical_or.reduceat(self.reach.fed, first, axis=1)

    @cached_property
    def live_law(self) -> Law:
        """The pixel law where pixels without supply draw nothing."""
        return self.law if self.reach.whole else without_pixels(self.law, ~self.reach.live)

    @property
    def law_table(self) -> LawTable:
        """The same as the compiled core reads it."""
        return self.live_law.table

    @cached_property
    def currents(self) -> Currents:
        """How amperes follow from v and u."""
        return _currents(self)

    @cached_property
    def parts(self) -> tuple[Component, ...]:
        """Its separate parts as the compiled core reads them, factored."""
        return _parts(self)

    def place(self, node: int) -> str:
        """In words, where a free node is."""
        if node >= self.pixels:
            return self.topology.beside[node - self.pixels]
        run = self.house.runs[self.house.pixels.run[node]]
        return f"pixel {node - run.first} of run {run.name}"


def build(house: House) -> Network:
    """The network of `house`."""
    wiring = topology(house)
    return network(wiring, values(wiring, house), house)


def network(
    wiring: Topology, numbers: Values, house: House, pixel_law: Law | None = None
) -> Network:
    """The network of `house`, whose wiring is known, with these numbers.

    `pixel_law` is that of the house unless given.
    """
    # Cheap to find again, but not for each of a thousand changes that interrupt nothing new.
    plus, minus = numbers.plus_s > 0, numbers.minus_s > 0
    shorted = None if numbers.shunt_s is None else np.flatnonzero(numbers.shunt_s)
    key = np.packbits(np.concatenate([plus, minus])).tobytes()
    if shorted is not None:
        key += shorted.tobytes()
    found = wiring.reaches.get(key)
    if found is None:
        if len(wiring.reaches) >= _REACHES:
            wiring.reaches.clear()
        found = wiring.reaches[key] = reach(wiring, plus, minus, shorted)
    form = wiring.form(numbers.plus_s != numbers.minus_s)
    return Network(house, pixel_law or law(house), wiring, numbers, found, form)


def with_values(
    net: Network,
    *,
    plus_s: np.ndarray | None = None,
    minus_s: np.ndarray | None = None,
    edge_s: np.ndarray | None = None,
    source_v: np.ndarray | None = None,
    shunt_s: np.ndarray | None = None,
    pixel_law: Law | None = None,
) -> Network:
    """The same wiring with other numbers, without its analysis being done again.

    `plus_s`, `minus_s` (E,) [S] of each conductor, 0 where it is interrupted; or `edge_s` (E,) [S]
    of the loop of two equal ones. `source_v` (S,) [V]. `shunt_s` (M,) [S] between + and − of a
    place, as a short has it. `pixel_law` where some pixels draw otherwise.
    """
    if edge_s is not None:
        plus_s = minus_s = 2 * edge_s
    now = net.values
    numbers = Values(
        now.plus_s if plus_s is None else plus_s,
        now.minus_s if minus_s is None else minus_s,
        now.source_v if source_v is None else source_v,
        now.shunt_s if shunt_s is None else shunt_s,
    )
    return network(net.topology, numbers, net.house, pixel_law or net.law)


@dataclass(frozen=True, eq=False)
class Currents:
    """Of each edge from a to b, with Δv = v_a − v_b and Δu = u_first − u_second of `edge_u`:

    I₊ = plus_v·Δv + plus_u·Δu, from a to b
    I₋ = minus_v·Δv − minus_u·Δu, from b to a
    ΔV₋ = V₋a − V₋b = drop_u·Δu − drop_v·Δv
    """

    plus_v: np.ndarray  # (E,)
    plus_u: np.ndarray
    minus_v: np.ndarray
    minus_u: np.ndarray
    drop_v: np.ndarray
    drop_u: np.ndarray


def weights(net: Network) -> tuple[np.ndarray, np.ndarray]:
    """(E + K + C,) [S] in the order in which `Coefficients` counts; (D,) share of Δu by edge."""
    plus, minus, form = net.values.plus_s, net.values.minus_s, net.form
    if not form.dual.any():
        return net.values.loop_s, np.zeros(0)
    quarter = (plus + minus)[form.dual] / 4
    edge = net.values.loop_s.copy()
    edge[form.dual] = quarter
    with np.errstate(divide="ignore", invalid="ignore"):
        ohm = 1 / quarter
        whole = summed(form.chain, ohm, len(form.chain_u))
        share = np.nan_to_num(ohm / whole[form.chain])
    differ = (plus - minus)[form.cross] / 4
    return np.concatenate([edge, 1 / whole, differ]), share


def _currents(net: Network) -> Currents:
    plus, minus, form = net.values.plus_s, net.values.minus_s, net.form
    loop = net.values.loop_s
    plus_v, minus_v = loop.copy(), loop.copy()
    plus_u, minus_u, drop_u = np.zeros((3, len(loop)))
    both = plus + minus
    drop_v = plus / np.where(both > 0, both, 1.0)
    # A supply's resistance is taken to lie before its + terminal.
    drop_v[net.first_source_edge :] = 0.0
    if form.dual.any():
        _, share = weights(net)
        at = form.dual
        plus_v[at], minus_v[at], drop_v[at] = plus[at] / 2, minus[at] / 2, 0.5
        plus_u[at], minus_u[at] = plus_v[at] * share, minus_v[at] * share
        drop_u[at] = share / 2
    return Currents(plus_v, plus_u, minus_v, minus_u, drop_v, drop_u)


def patterns(net: Network, weight: np.ndarray, tie_s: np.ndarray) -> tuple[Pattern, ...]:
    """The separate parts as the compiled core reads them, without pixels.

    `weight` is that of `weights`; `tie_s` [S] ties every column (those of the form) to the ground.
    """
    form, put = net.form, net.form.coefficients
    diagonal = summed(put.diagonal, weight[put.diagonal_source], form.columns) + tie_s
    entry = summed(put.entry, put.entry_sign * weight[put.entry_source], put.entries)
    flow = put.push_sign * weight[put.push_source] * net.fixed_v[put.pushing]
    push = summed(put.pushed, flow, form.columns)
    made, first = [], 0
    for plan in form.parts:
        here = entry[first : first + len(plan.row)]
        first += len(plan.row)
        made.append(
            Pattern(
                *(plan.node, plan.column, plan.row, plan.product, plan.target),
                *(diagonal[plan.node], here, push[plan.node]),
            )
        )
    return tuple(made)


def _parts(net: Network) -> tuple[Component, ...]:
    from .alone import factored, is_small

    weight, _ = weights(net)
    made = []
    small = is_small(net.form.columns)
    for pattern in patterns(net, weight, ties(net, weight)):
        if small:
            inverse, factors = factored(pattern)
        else:
            from .alone_kernel import factor_alone

            inverse, factors = pattern.diagonal_s.copy(), pattern.entry_s.copy()
            factor_alone(pattern, inverse, factors)
        made.append(Component(pattern, inverse, factors))
    return tuple(made)


def ties(net: Network, weight: np.ndarray) -> np.ndarray:
    """(columns,) [S] that tie what nothing else holds, and what joins + to −, to the ground."""
    tie_s = np.zeros(net.form.columns)
    tie_s[net.reach.loose] += _PIN_S
    if net.values.shunt_s is not None:
        # A short takes from + of its place what it gives to −, as a pixel does: it acts on v alone.
        tie_s[: net.free] += net.values.shunt_s
    for column in _loose_u(net, weight):
        tie_s[column] += _PIN_S
    return tie_s


def _loose_u(net: Network, weight: np.ndarray) -> np.ndarray:
    """One column of each piece of u that nothing joins to where u is counted from."""
    form = net.form
    edges, chains = len(net.edge), len(form.chain_u)
    holds = weight[edges : edges + chains] > 0
    if holds.all():
        return np.zeros(0, dtype=np.int64)
    piece = groups(form.chain_u[holds], form.columns)
    loose, first = np.unique(piece[net.nodes :], return_index=True)
    return net.nodes + first[loose != piece[-1]]
