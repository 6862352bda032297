"""What each frame asks of the wiring: a few numbers a frame, kept for a whole scheme.

A frame of a house is thousands of volts and amperes; what its owner asks about is tens. These are
kept for every frame, so that peaks, means and ribbons all come from one record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from . import law as pixel_law
from .build import Network
from .results import Solution
from .solve import solve


@dataclass(frozen=True, eq=False)
class Loads:
    """T frames of a house with S supplies, W wires and R runs."""

    supply_a: np.ndarray  # (T, S) [A] out of each supply
    wire_a: np.ndarray  # (T, W) [A] in +, positive from the wire's start to its end
    wire_minus_a: np.ndarray  # (T, W) [A] in −, positive from the wire's end back to its start
    run_a: np.ndarray  # (T, R) [A] drawn by the pixels of each run
    run_v: np.ndarray  # (T, R) [V] least among its pixels that a supply reaches; 0 without any
    run_pixel: np.ndarray  # (T, R) which pixel of the run has it
    run_dim: np.ndarray  # (T, R) 0..1, the most dimmed channel among those that are lit
    dc_w: np.ndarray  # (T,) [W] out of the supplies' terminals
    copper_w: np.ndarray  # (T,) [W] lost in wires and rails

    def __len__(self) -> int:
        return len(self.dc_w)


def loads(network: Network, codes: np.ndarray) -> Loads:
    """Solve the frames `codes` (T, N, C) and keep what each asks of the wiring."""
    return loads_of(solve(network, codes), codes)


def loads_of(solution: Solution, codes: np.ndarray) -> Loads:
    """The loads of a solution; `codes` are those it was solved for."""
    network = solution.network
    runs = network.house.runs
    live = None if network.reach.whole or not len(network.fixed_v) else network.reach.live
    frames = np.arange(len(codes))
    shape = (len(codes), len(runs))
    run_a, run_v, run_dim = np.zeros(shape), np.zeros(shape), np.ones(shape)
    run_pixel = np.zeros(shape, dtype=np.int32)
    for index, run in enumerate(runs):
        volts = solution.volts[:, run.pixels]
        run_a[:, index] = solution.amps[:, run.pixels].sum(axis=1)
        if live is not None:
            if not (live[run.pixels] & run.has_pixel).any():
                continue
            volts = np.where(live[run.pixels], volts, np.inf)
        if run.missing:
            volts = np.where(run.has_pixel, volts, np.inf)
        run_pixel[:, index] = volts.argmin(axis=1)
        run_v[:, index] = volts[frames, run_pixel[:, index]]
        low = run_v[:, index] < network.law.full_v[network.law.kind[run.pixels]].max()
        if low.any():
            dim = pixel_law.dim(network.law, solution.volts[low], run.pixels)
            if live is not None:
                dim[:, ~live[run.pixels]] = 1.0
            lit = np.where(codes[low, run.pixels] > 0, dim, 1.0)
            run_dim[low, index] = lit.min(axis=(1, 2))
    source_ohm = np.array([supply.source_ohm for supply in network.house.supplies])
    terminal_v = network.fixed_v - source_ohm * solution.supply_a
    pixels_w = np.einsum("tn,tn->t", solution.volts, solution.amps)
    dc_w = (solution.supply_a * terminal_v).sum(axis=1) if len(source_ohm) else pixels_w
    return Loads(
        supply_a=solution.supply_a,
        wire_a=solution.wire_a,
        wire_minus_a=solution.wire_minus_a,
        run_a=run_a,
        run_v=run_v,
        run_pixel=run_pixel,
        run_dim=run_dim,
        dc_w=dc_w,
        copper_w=dc_w - pixels_w,
    )


def join(parts: Sequence[Loads]) -> Loads:
    """The frames of several blocks, one after another."""
    return Loads(
        *(np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(Loads))
    )
