"""Volts and amperes of every pixel for a batch of frames."""

from __future__ import annotations

import numpy as np

from layouts.errors import EvenfallError

from .alone import are_few, frames_in_full, is_small, substituted
from .build import Network
from .law import demand_a, draw_a
from .results import Solution


def solve(network: Network, codes: np.ndarray) -> Solution:
    """Every voltage and current while `codes` (T, N, C) uint8 are shown.

    A house without supplies has its nominal voltage everywhere. EvenfallError naming the run
    where the solve does not converge.
    """
    if not len(network.fixed_v):
        volts = np.broadcast_to(network.feed_v, codes.shape[:2])
        return Solution(network, volts, draw_a(network.law, demand_a(network.law, codes), volts))
    node_v = _room(network, len(codes))
    amps = np.empty((len(codes), network.pixels))
    if (
        network.law.falls
        or not are_few(network.form.columns, len(codes))
        or not frames_in_full(network, codes, node_v, amps)
    ):
        _solve_compiled(network, codes, node_v, amps)
    if not np.isfinite(node_v.sum()):
        node = int(np.argwhere(~np.isfinite(node_v))[0, 1])
        raise EvenfallError(f"the voltage at {network.place(node)} has no solution")
    return Solution(network, node_v, amps)


def _solve_compiled(
    network: Network, codes: np.ndarray, node_v: np.ndarray, amps: np.ndarray
) -> None:
    """Fill in `node_v` and `amps` (T, N), whatever pixels draw at whatever voltage."""
    from .falling import falling_of, solve_falling
    from .kernel import solve_frames
    from .law_table import code_words

    wire = code_words(codes)
    for part in network.parts:
        args = (part.pattern, network.law_table, part.inverse, part.entry, wire)
        if network.law.falls:
            falling = falling_of(network.live_law, part.pattern.node)
            frame, position = solve_falling(*args, falling, node_v, amps)
        else:
            frame, position = solve_frames(*args, node_v, amps)
        if frame >= 0:
            where = network.place(int(part.pattern.node[position]))
            if network.law.falls:
                raise EvenfallError(
                    f"in frame {frame} the wiring near {where} is at the very most that step-down"
                    " regulators can draw through it; add a feed or use thicker wire"
                )
            raise EvenfallError(
                f"the voltage at {where} does not converge in frame {frame}; "
                "please report the house file"
            )


def solve_constant(network: Network, amps: np.ndarray) -> Solution:
    """One frame in which each pixel draws a constant current, amps (N,) [A], at any voltage.

    This is the nameplate question: what would the wires carry if no voltage were lost?
    """
    if not len(network.fixed_v):
        return Solution(network, network.feed_v[None], amps[None])
    drawn = np.zeros(network.form.columns)
    drawn[: network.pixels] = np.where(network.reach.live, amps, 0.0)
    node_v = _room(network, 1)
    for part in network.parts:
        balance = part.pattern.push_a - drawn[part.pattern.node]
        if is_small(network.form.columns):
            node_v[0, part.pattern.node] = substituted(
                part.pattern, part.inverse, part.entry, balance
            )
            continue
        from .elimination import LANES, substitute_fixed

        x = np.repeat(balance[:, None], LANES, axis=1)
        substitute_fixed(part.pattern, part.inverse, part.entry, x)
        node_v[0, part.pattern.node] = x[:, 0]
    return Solution(network, node_v, drawn[None, : network.pixels])


def _room(network: Network, frames: int) -> np.ndarray:
    """(T, columns) for v of all nodes, then u; what is fixed is filled in."""
    out = np.empty((frames, network.form.columns))
    out[:, network.free : network.nodes] = network.fixed_v
    out[:, -1] = 0.0
    return out
