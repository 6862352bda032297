"""Volts and amperes of every pixel for a batch of frames."""

from __future__ import annotations

import numpy as np

from layouts.errors import EvenfallError

from . import law as pixel_law
from .build import Network
from .results import Solution

_ROUNDS = 200


def solve(network: Network, codes: np.ndarray) -> Solution:
    """Every voltage and current while `codes` (T, N, 4) uint8 are shown.

    A house without supplies has its nominal voltage everywhere. EvenfallError naming the run
    where the solve does not converge.
    """
    demand = pixel_law.demand_a(network.law, codes)
    frames = len(codes)
    if not len(network.fixed_v):
        nominal = np.array([kind.supply_v for kind in network.law.kinds])[network.law.kind]
        volts = np.broadcast_to(nominal, (frames, len(nominal)))
        return Solution(network, volts, pixel_law.draw_a(network.law, demand, volts))
    from scipy.sparse import diags_array
    from scipy.sparse.linalg import splu

    law, n, m = network.law, network.pixels, network.free
    size = network.nodes
    inner, push = _matrix(network)
    node_v = np.empty((frames, size))
    node_v[:, m:] = network.fixed_v
    for t in range(frames):
        i_full = np.zeros(m)
        i_full[:n] = demand[t].sum(axis=-1) + law.idle_a[law.kind]
        v = splu((inner + diags_array(i_full[:m] / 5)).tocsc()).solve(push)
        for _ in range(_ROUNDS):
            residual = inner @ v - push
            residual[:n] += pixel_law.draw_a(law, demand[t], v[:n])
            if np.abs(residual).max() < 1e-11:
                break
            step = 1e-7
            slope = np.zeros(m)
            slope[:n] = (
                pixel_law.draw_a(law, demand[t], v[:n] + step)
                - pixel_law.draw_a(law, demand[t], v[:n] - step)
            ) / (2 * step)
            delta = splu((inner + diags_array(slope)).tocsc()).solve(-residual)
            share = 1.0
            while share > 1e-6:
                trial = v + share * delta
                after = inner @ trial - push
                after[:n] += pixel_law.draw_a(law, demand[t], trial[:n])
                if delta @ after <= 1e-3 * abs(delta @ residual):
                    break
                share /= 2
            v = v + share * delta
        else:
            raise EvenfallError("the circuit does not converge")
        node_v[t, :m] = v
    return Solution(network, node_v, pixel_law.draw_a(law, demand, node_v[:, :n]))


def solve_constant(network: Network, amps: np.ndarray) -> Solution:
    """The network while each pixel draws a constant current, whatever its voltage.

    amps (T, N) [A]. This is the nameplate question: what would the wires carry if no voltage
    were lost?
    """
    from scipy.sparse.linalg import splu

    if not len(network.fixed_v):
        nominal = np.array([kind.supply_v for kind in network.law.kinds])[network.law.kind]
        return Solution(network, np.broadcast_to(nominal, amps.shape), amps)
    inner, push = _matrix(network)
    load = np.zeros((network.free, len(amps)))
    load[: network.pixels] = amps.T
    node_v = np.empty((len(amps), network.nodes))
    node_v[:, : network.free] = splu(inner.tocsc()).solve(push[:, None] - load).T
    node_v[:, network.free :] = network.fixed_v
    return Solution(network, node_v, amps)


def _matrix(network: Network):
    """Conductances between free nodes (M, M) sparse [S] and what the sources push in (M,) [A]."""
    from scipy.sparse import coo_array

    a, b = network.edge.T
    g, size, free = network.edge_s, network.nodes, network.free
    full = coo_array(
        (
            np.concatenate([g, g, -g, -g]),
            (np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a])),
        ),
        shape=(size, size),
    ).tocsr()
    return full[:free, :free], -(full[:free, free:] @ network.fixed_v)
