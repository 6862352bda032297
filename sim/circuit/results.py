"""What a solve gives, and the two balances every solve can be asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sim.kernels import asleep, plainly

from . import law as pixel_law
from .build import Network
from .together import breadth_first, groups

#: So many ways of − being interrupted are remembered for one wiring.
_TREES = 64
#: Up to so many sums along a tree the compiler would take longer to load.
_FEW = 20_000


@dataclass(frozen=True, eq=False)
class Solution:
    """Volts and amperes of T frames: N pixels, S supplies, W wires, M + S nodes."""

    network: Network
    state: np.ndarray  # (T, columns of the form) [V] v of pixels, other nodes, sources; then u
    amps: np.ndarray  # (T, N) [A] drawn by each pixel

    def at(self, frame: int) -> Solution:
        """One frame of it, without the axis T."""
        return Solution(self.network, self.state[frame], self.amps[frame])

    @property
    def node_v(self) -> np.ndarray:
        """(T, M + S) [V] between + and − of every node, pixels first, supplies' sources last."""
        return self.state[..., : self.network.nodes]

    @property
    def volts(self) -> np.ndarray:
        """(T, N) [V] at each pixel, + over −; 0 where no supply reaches."""
        v = self.state[..., : self.network.pixels]
        reach = self.network.reach
        return v if reach.whole or not self._supplied else np.where(reach.live, v, 0.0)

    @cached_property
    def minus_v(self) -> np.ndarray:
        """(T, N) [V] of the − of each pixel over that of the first supply it is joined to."""
        return self.node_minus_v[..., : self.network.pixels]

    @cached_property
    def node_minus_v(self) -> np.ndarray:
        """(T, M + S) [V] the same of every node; of a source, that of its terminals."""
        if not self._supplied:
            return np.zeros(self.node_v.shape)
        return minus_v(self.network, self.state)

    @cached_property
    def dim(self) -> np.ndarray:
        """(T, N, C) the factor by which the voltage dims each channel; see `law.dim`."""
        return pixel_law.dim(self.network.law, self.volts)

    @cached_property
    def wire_a(self) -> np.ndarray:
        """(T, W) [A] in the + of each wire, positive from its start to its end."""
        return self.edge_a(self.network.wire_edge)

    @cached_property
    def wire_minus_a(self) -> np.ndarray:
        """(T, W) [A] in the − of each wire, positive from its end back to its start."""
        return self.edge_minus_a(self.network.wire_edge)

    @cached_property
    def supply_a(self) -> np.ndarray:
        """(T, S) [A] out of each supply."""
        at, sign = supply_edges(self.network)
        return self.edge_a(at) @ sign

    @property
    def shunt_a(self) -> np.ndarray:
        """(T, M) [A] from + to − of every free node through a short."""
        shunt_s = self.network.values.shunt_s
        v = self.state[..., : self.network.free]
        return np.zeros_like(v) if shunt_s is None else v * shunt_s

    def edge_a(self, edges: np.ndarray | slice = slice(None)) -> np.ndarray:
        """(T, E) [A] in the + of each edge, positive from its first node to its second.

        Nothing flows in a house without supplies, whose pixels are taken to have their voltage.
        """
        how = self.network.currents
        return self._edge_a(edges, how.plus_v, how.plus_u)

    def edge_minus_a(self, edges: np.ndarray | slice = slice(None)) -> np.ndarray:
        """(T, E) [A] in the − of each edge, positive from its second node back to its first."""
        how = self.network.currents
        return self._edge_a(edges, how.minus_v, -how.minus_u)

    def _edge_a(self, edges: np.ndarray | slice, by_v: np.ndarray, by_u: np.ndarray) -> np.ndarray:
        if not self._supplied:
            return np.zeros((*self.state.shape[:-1], len(self.network.edge[edges])))
        return edge_amps(self.network, self.state, edges, by_v, by_u)

    @property
    def _supplied(self) -> bool:
        return len(self.network.fixed_v) > 0


def edge_amps(
    network: Network,
    state: np.ndarray,
    edges: np.ndarray | slice,
    by_v: np.ndarray,
    by_u: np.ndarray,
    place: np.ndarray | None = None,
) -> np.ndarray:
    """(T, E) [A] of some edges by the coefficients of `build.Currents`, (all edges,).

    `state` (T, columns) is that of a `Solution`; or some of its columns, then `place` (columns,)
    says where each is.
    """

    def columns(ends: np.ndarray) -> np.ndarray:
        return ends if place is None else place[ends]

    a, b = columns(network.edge[edges].T)
    amps = (state[..., a] - state[..., b]) * by_v[edges]
    if network.form.dual.any():
        a, b = columns(network.form.edge_u[edges].T)
        amps += (state[..., a] - state[..., b]) * by_u[edges]
    return amps


def supply_edges(network: Network) -> tuple[np.ndarray, np.ndarray]:
    """(E′,) the edges that end at supplies, and (E′, S) 1 where one leaves a supply, −1 back."""
    at = np.flatnonzero((network.edge >= network.free).any(axis=1))
    source = network.free + np.arange(len(network.fixed_v))
    leaves = (network.edge[at, 0, None] == source).astype(float)
    return at, leaves - (network.edge[at, 1, None] == source)


def minus_v(network: Network, state: np.ndarray) -> np.ndarray:
    """(T, M + S) [V] of every node's −; 0 at the first supply of what hangs together by −.

    Where no supply does, at its first node; where + still joins it to another supply's, by that.
    """
    parent, order, edge, sign = _tree_of(network)
    how = network.currents
    a, b = network.edge[edge].T
    ua, ub = network.form.edge_u[edge].T
    across = state[..., a] - state[..., b]
    drop = (state[..., ua] - state[..., ub]) * how.drop_u[edge] - across * how.drop_v[edge]
    from .joined_kernel import sum_down

    # Nodes first: rows are taken whole.
    step = np.ascontiguousarray(np.moveaxis(-sign * drop, -1, 0)).reshape(len(order), -1)
    out = np.zeros((network.nodes, step.shape[1]))
    with plainly(asleep() and step.size <= _FEW):
        sum_down(parent, order, step, out)
    whole = np.moveaxis(out.reshape(network.nodes, *state.shape[:-1]), 0, -1)
    return _held_by_plus(network, state, whole, order)


def _held_by_plus(
    network: Network, state: np.ndarray, minus: np.ndarray, order: np.ndarray
) -> np.ndarray:
    """V− of supplies whose − hang together no more, but whose + do: + is one there.

    `order` are the nodes reached from another by −.
    """
    nodes, first = network.nodes, network.free
    roots = np.setdiff1d(np.arange(first, nodes), order)
    if len(roots) < 2:
        return minus
    plus_s, minus_s = network.values.plus_s, network.values.minus_s
    label = groups(network.edge[minus_s > 0], nodes)
    a, b = network.edge.T
    live = network.reach.node[a] & network.reach.node[b]
    at = np.flatnonzero((plus_s > 0) & (minus_s == 0) & (label[a] != label[b]) & live)
    how, (ua, ub) = network.currents, network.form.edge_u[at].T
    amps = (state[..., a[at]] - state[..., b[at]]) * how.plus_v[at]
    amps += (state[..., ua] - state[..., ub]) * how.plus_u[at]
    out, settled = minus.copy(), set()
    for root in label[roots].tolist():
        settled.add(root)
        links = list(range(len(at)))
        while links:
            ready = [
                k for k in links if (label[a[at[k]]] in settled) != (label[b[at[k]]] in settled)
            ]
            if not ready:
                break
            k = ready[0]
            links.remove(k)
            drop = amps[..., k] / plus_s[at[k]]
            near, far = a[at[k]], b[at[k]]
            if label[far] in settled:
                near, far, drop = far, near, -drop
            shift = out[..., near] + state[..., near] - drop - out[..., far] - state[..., far]
            out[..., label == label[far]] += shift[..., None]
            settled.add(int(label[far]))
    return out


def _tree_of(network: Network) -> tuple[np.ndarray, ...]:
    """`_minus_tree`, found once for what of − conducts."""
    trees = network.topology.trees
    key = np.packbits(network.values.minus_s > 0).tobytes()
    if key not in trees:
        if len(trees) >= _TREES:
            trees.clear()
        trees[key] = _minus_tree(network)
    return trees[key]


def _minus_tree(network: Network) -> tuple[np.ndarray, ...]:
    """Nodes in an order in which each comes after the one it is reached from, by which edge.

    Also +1 where that edge leads from the one before to the node, −1 where back.
    """
    nodes = network.nodes
    at = np.flatnonzero(network.values.minus_s > 0)
    # A node before all others joins what does not hang together: the supplies first, in order.
    source = np.arange(network.free, nodes)
    label = groups(network.edge[at], nodes)
    first = np.concatenate([source, np.arange(network.free)])
    root = first[np.sort(np.unique(label[first], return_index=True)[1])]
    a, b = network.edge[at].T
    links = np.stack([np.r_[a, np.full(len(root), nodes)], np.r_[b, root]], axis=1)
    order, before = breadth_first(links, nodes + 1, nodes)
    order = order[1:]
    order = order[before[order] < nodes]
    parent = before[order]
    key = np.minimum(a, b) * nodes + np.maximum(a, b)
    ranked = np.argsort(key, kind="stable")
    wanted = np.minimum(order, parent) * nodes + np.maximum(order, parent)
    edge = at[ranked[np.searchsorted(key[ranked], wanted)]]
    return parent, order, edge, np.where(network.edge[edge, 0] == parent, 1.0, -1.0)


def kirchhoff_residual_a(solution: Solution) -> np.ndarray:
    """(T,) [A] the largest current that any free node fails to pass on, in + or in −.

    0 in an exact solve.
    """
    network = solution.network
    frames = len(solution.state)
    if not len(network.fixed_v):
        return np.zeros(frames)
    worst = np.zeros(frames)
    plus, minus = solution.edge_a().T, solution.edge_minus_a().T
    for sign, current in ((-1, plus), (1, -minus)):
        drawn = sign * solution.amps.T
        left = np.zeros((network.nodes, frames))
        left[: network.pixels] += drawn
        left[: network.free] += sign * solution.shunt_a.T
        np.subtract.at(left, network.edge[:, 0], current)
        np.add.at(left, network.edge[:, 1], current)
        worst = np.maximum(worst, np.abs(left[: network.free]).max(axis=0, initial=0.0))
    return worst


@dataclass(frozen=True, eq=False)
class Power:
    """Where the power of each frame goes, (T,) [W]: supply = pixels + copper + source + short."""

    supply_w: np.ndarray  # of the ideal sources
    pixels_w: np.ndarray
    copper_w: np.ndarray  # in wires and rails, both conductors
    source_w: np.ndarray  # inside the supplies, behind their terminals
    short_w: np.ndarray  # where + and − touch

    @property
    def imbalance_w(self) -> np.ndarray:
        """(T,) [W] what is left over; 0 in an exact solve."""
        return self.supply_w - self.pixels_w - self.copper_w - self.source_w - self.short_w


def power(solution: Solution) -> Power:
    """The power balance of a solution. Without supplies the pixels' own power is the supply's."""
    network = solution.network
    pixels_w = (solution.volts * solution.amps).sum(axis=1)
    if not len(network.fixed_v):
        nothing = np.zeros_like(pixels_w)
        return Power(pixels_w, pixels_w, nothing, nothing, nothing)
    loss = np.zeros((len(solution.state), len(network.edge)))
    for amps, siemens in (
        (solution.edge_a(), network.values.plus_s),
        (solution.edge_minus_a(), network.values.minus_s),
    ):
        loss += amps**2 / np.where(siemens > 0, siemens, 1.0)
    inside = np.arange(len(network.edge)) >= network.first_source_edge
    return Power(
        supply_w=(solution.supply_a * network.fixed_v).sum(axis=1),
        pixels_w=pixels_w,
        copper_w=loss[:, ~inside].sum(axis=1),
        source_w=loss[:, inside].sum(axis=1),
        short_w=(solution.shunt_a * solution.state[:, : network.free]).sum(axis=1),
    )
