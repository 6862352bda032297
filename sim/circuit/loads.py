"""What each frame asks of the wiring: a few numbers a frame, kept for a whole scheme.

A frame of a house is thousands of volts and amperes; what its owner asks about is tens. These are
kept for every frame, so that peaks, means and ribbons all come from one record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from layouts.kept_with import kept_with_first

from . import law as pixel_law
from .build import Network
from .results import Solution, edge_amps, supply_edges
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
    """Solve the frames `codes` (T, N, C) and keep what each asks of the wiring.

    Frames in which every pixel has voltage enough are linear: they are solved and summed in one
    go. Those that are not are found out by the same walk and solved by `solve`. A frame with the
    codes of the one before asks what that asks.
    """
    if len(codes) < 2:
        return _loads(network, codes)
    from .law_table import code_words
    from .loads_kernel import changes

    moved = np.empty(len(codes), dtype=bool)
    changes(code_words(codes), moved)
    if moved.all():
        return _loads(network, codes)
    found, which = _loads(network, codes[moved]), np.cumsum(moved) - 1
    return Loads(*(getattr(found, field.name)[which] for field in fields(Loads)))


def _loads(network: Network, codes: np.ndarray) -> Loads:
    if not len(network.fixed_v) or network.law.falls or not len(codes) or not _taps(network).serves:
        return loads_of(solve(network, codes), codes)
    found, short = _tallied(network, codes)
    if not short.any():
        return found
    rest = loads_of(solve(network, codes[short]), codes[short])
    if short.all():
        return rest
    for field in fields(Loads):
        getattr(found, field.name)[short] = getattr(rest, field.name)
    return found


@kept_with_first
def _taps(network: Network) -> _Taps:
    """Where the state is looked at: it is the same for all frames."""
    topology, form = network.topology, network.form
    edges = np.concatenate([network.wire_edge, supply_edges(network)[0]])
    columns = np.unique(np.concatenate([topology.edge[edges].ravel(), form.edge_u[edges].ravel()]))
    slot = np.full(form.columns, -1)
    slot[columns] = np.arange(len(columns))
    counts = network.reach.live & network.house.has_pixel
    run = np.full(form.columns, -1)
    run[: network.pixels] = np.where(counts, network.house.pixels.run, -1)
    first = np.array([each.first for each in network.house.runs])
    full_v = np.maximum.reduceat(network.law.full_v[network.law.kind], first)
    serves = bool(np.logical_or.reduceat(counts, first).all())
    ends, sign = supply_edges(network)
    return _Taps(len(columns), slot, run, first, full_v, serves, ends, sign)


@dataclass(frozen=True, eq=False)
class _Taps:
    columns: int  # K of the state, in which wires and supplies end
    slot: np.ndarray  # (all columns,) its place among them, or −1
    run: np.ndarray  # (all columns,) the run of the pixel there; −1 where none is that draws
    first: np.ndarray  # (R,) pixel of each run
    full_v: np.ndarray  # (R,) [V] from here up its pixels shine in full
    serves: bool  # every run has a pixel whose voltage counts
    ends: np.ndarray  # (E′,) the edges that end at supplies
    sign: np.ndarray  # (E′, S) as in `supply_edges`


def _tallied(network: Network, codes: np.ndarray) -> tuple[Loads, np.ndarray]:
    """The loads as if every pixel had voltage enough, and (T,) bool where one has not."""
    from .elimination import LANES
    from .law_table import code_words
    from .loads_kernel import Tally, tally_frames

    frames, runs, taps = len(codes), len(network.house.runs), _taps(network)
    groups = -(-frames // LANES)
    tally = Tally(
        np.zeros((groups, runs, LANES)),
        np.full((groups, runs, LANES), np.inf),
        np.zeros((groups, runs, LANES)),
        np.zeros((groups, LANES)),
        np.zeros((groups, LANES)),
        np.zeros((groups, taps.columns, LANES)),
    )
    # What no part solves for: the supplies' own voltages; the last column is always 0.
    at = taps.slot[network.free : network.nodes]
    tally.kept_v[:, at[at >= 0]] = network.fixed_v[at >= 0, None]
    code = code_words(codes)
    for part in network.parts:
        node = part.pattern.node
        tally_frames(
            *(part.pattern, network.law_table, part.inverse, part.entry, code),
            *(taps.run[node], taps.slot[node], tally),
        )

    def by_frame(values: np.ndarray) -> np.ndarray:
        """(G, …, LANES) → (T, …)."""
        return np.moveaxis(values, -1, 1).reshape(groups * LANES, *values.shape[1:-1])[:frames]

    kept_v, how, wires = by_frame(tally.kept_v), network.currents, network.wire_edge
    flow_a = edge_amps(network, kept_v, taps.ends, how.plus_v, how.plus_u, taps.slot)
    supply_a = flow_a @ taps.sign
    run_v, pixels_w = by_frame(tally.run_v), by_frame(tally.pixels_w)
    short = (by_frame(tally.short) > 0) | (run_v < taps.full_v).any(axis=1)
    dc_w = _dc_w(network, supply_a)
    found = Loads(
        supply_a=supply_a,
        wire_a=edge_amps(network, kept_v, wires, how.plus_v, how.plus_u, taps.slot),
        wire_minus_a=edge_amps(network, kept_v, wires, how.minus_v, -how.minus_u, taps.slot),
        run_a=by_frame(tally.run_a),
        run_v=run_v,
        run_pixel=by_frame(tally.run_pixel).astype(np.int32) - taps.first.astype(np.int32),
        run_dim=np.ones((frames, runs)),
        dc_w=dc_w,
        copper_w=dc_w - pixels_w,
    )
    return found, short


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
    pixels_w = np.einsum("tn,tn->t", solution.volts, solution.amps)
    dc_w = _dc_w(network, solution.supply_a) if len(network.fixed_v) else pixels_w
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


def _dc_w(network: Network, supply_a: np.ndarray) -> np.ndarray:
    """(T,) [W] out of the supplies' terminals, which give `supply_a` (T, S) [A]."""
    source_ohm = np.array([supply.source_ohm for supply in network.house.supplies])
    return np.asarray((supply_a * (network.fixed_v - source_ohm * supply_a)).sum(axis=1))


def join(parts: Sequence[Loads]) -> Loads:
    """The frames of several blocks, one after another."""
    return Loads(
        *(np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(Loads))
    )
