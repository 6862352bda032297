"""Volts and amperes of every pixel for a batch of frames."""

from __future__ import annotations

import numpy as np

from layouts.errors import EvenfallError

from .build import Network
from .law import demand_a, draw_a
from .results import Solution


def solve(network: Network, codes: np.ndarray) -> Solution:
    """Every voltage and current while `codes` (T, N, 4) uint8 are shown.

    A house without supplies has its nominal voltage everywhere. EvenfallError naming the run
    where the solve does not converge.
    """
    if not len(network.fixed_v):
        volts = np.broadcast_to(network.feed_v, codes.shape[:2])
        return Solution(network, volts, draw_a(network.law, demand_a(network.law, codes), volts))
    from .kernel import solve_block

    plan, law = network.plan, network.law
    node_v = np.empty((len(codes), network.nodes))
    node_v[:, network.free :] = network.fixed_v
    amps = np.empty((len(codes), network.pixels))
    frame, position = solve_block(
        np.ascontiguousarray(codes, dtype=np.uint8),
        node_v,
        amps,
        plan.node,
        plan.part,
        network.push_a[plan.node],
        plan.column,
        plan.row,
        plan.product,
        plan.target,
        plan.entry_s,
        plan.diagonal_s,
        *network.factors,
        law.kind,
        law.idle_a,
        law.min_v,
        law.full_v,
        law.amps / 255,
        law.vf_v,
        law.headroom_v,
        law.series,
    )
    if frame >= 0:
        raise EvenfallError(
            f"the circuit of {_whereabouts(network, int(plan.node[position]))} does not converge "
            f"in frame {frame}; please report the house file"
        )
    return Solution(network, node_v, amps)


def solve_constant(network: Network, amps: np.ndarray) -> Solution:
    """The network while each pixel draws a constant current, whatever its voltage.

    amps (T, N) [A]. This is the nameplate question: what would the wires carry if no voltage
    were lost?
    """
    if not len(network.fixed_v):
        return Solution(network, np.broadcast_to(network.feed_v, amps.shape), amps)
    from .kernel import substitute

    plan = network.plan
    push = np.repeat(network.push_a[:, None], len(amps), axis=1)
    push[: network.pixels] -= amps.T
    x = push[plan.node]
    diagonal, entry = (np.repeat(part[:, None], len(amps), axis=1) for part in network.factors)
    substitute(0, network.free, plan.column, plan.row, diagonal, entry, x)
    node_v = np.empty((len(amps), network.nodes))
    node_v[:, plan.node] = x.T
    node_v[:, network.free :] = network.fixed_v
    return Solution(network, node_v, amps)


def _whereabouts(network: Network, node: int) -> str:
    """In words, where a node is."""
    if node < network.pixels:
        return f"run '{network.house.runs[network.house.pixels.run[node]].name}'"
    return "a junction or pad"
