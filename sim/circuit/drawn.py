"""One wiring with many sets of numbers: what every draw of its parts makes of the same frames.

What touches what is analysed once (`sim.circuit.topology`); D draws give every conductor, source
and pixel other numbers, and all are solved side by side.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from layouts.errors import EvenfallError
from layouts.records import CHANNELS

from . import law as pixel_law
from .build import Network, patterns, ties, weights, with_values
from .loads import Loads
from .solve import solve
from .summed import summed

if TYPE_CHECKING:
    from .pattern import Pattern


@dataclass(frozen=True, eq=False)
class DrawnCircuit:
    """D draws of the numbers of a network: E edges, S supplies, N pixels, R runs."""

    plus_s: np.ndarray  # (D, E) [S]
    minus_s: np.ndarray  # (D, E) [S]
    source_v: np.ndarray  # (D, S) [V]
    times: np.ndarray  # (D, N) of the current of each pixel's channels
    vf_add: np.ndarray  # (D, R, channels) [V] added to the forward voltage of each channel

    def __len__(self) -> int:
        return len(self.plus_s)

    def some(self, draws: slice) -> DrawnCircuit:
        """A stretch of the draws."""
        parts = (self.plus_s, self.minus_s, self.source_v, self.times, self.vf_add)
        return DrawnCircuit(*(part[draws] for part in parts))


@dataclass(frozen=True, eq=False)
class DrawnSolution:
    """Volts and amperes of F frames of each of D draws."""

    network: Network
    drawn: DrawnCircuit
    state: np.ndarray  # (D, F, columns of the form)
    amps: np.ndarray  # (D, F, N)
    codes: np.ndarray  # (C, N, channels)
    shown: np.ndarray  # (D, F) which of the codes
    share: np.ndarray  # (D, dual edges) the share of Δu; see `build.weights`

    @property
    def volts(self) -> np.ndarray:
        """(D, F, N) [V] at each pixel; 0 where no supply reaches."""
        v = self.state[..., : self.network.pixels]
        reach = self.network.reach
        return v if reach.whole or not len(self.network.fixed_v) else np.where(reach.live, v, 0.0)


def as_built(network: Network, draws: int) -> DrawnCircuit:
    """`draws` times the numbers that the network has; arrays to be multiplied, not written to."""
    now, runs = network.values, len(network.house.runs)

    def repeated(values: np.ndarray) -> np.ndarray:
        return np.broadcast_to(values, (draws, *values.shape))

    return DrawnCircuit(
        plus_s=repeated(now.plus_s),
        minus_s=repeated(now.minus_s),
        source_v=repeated(now.source_v),
        times=repeated(np.ones(network.pixels)),
        vf_add=repeated(np.zeros((runs, network.law.channels))),
    )


def one_of(network: Network, drawn: DrawnCircuit, draw: int) -> Network:
    """One draw as a network of its own: the slow way, and what the fast one is tested against."""
    law = network.law
    row = law.kind
    times, add = drawn.times[draw], on_channels(network, drawn.vf_add)[draw]
    shift = add[network.house.pixels.run]
    each = pixel_law.Law(
        kinds=(),
        kind=np.arange(network.pixels),
        idle_a=law.idle_a[row],
        min_v=law.min_v[row],
        idle_v=law.idle_v[row],
        amps=law.amps[row] * times[:, None],
        vf_v=law.vf_v[row] + shift,
        headroom_v=law.headroom_v[row],
        most=law.most[row],
        one_current=law.one_current[row],
        need_v=np.where(law.need_v[row] > 0, law.need_v[row] + shift, 0.0),
        full_v=law.full_v[row] + np.maximum(0.0, shift.max(axis=1)),
        flat_v=law.flat_v[row] + np.maximum(0.0, shift.max(axis=1)),
        eased_v=law.eased_v[row],
        regulator_a=law.regulator_a[row],
    )
    return with_values(
        network,
        plus_s=drawn.plus_s[draw],
        minus_s=drawn.minus_s[draw],
        source_v=drawn.source_v[draw],
        pixel_law=each,
    )


def solve_drawn(
    network: Network, drawn: DrawnCircuit, codes: np.ndarray, shown: np.ndarray | None = None
) -> DrawnSolution:
    """Solve frames of each draw: `codes` (C, N, channels) uint8; `shown` (D, F) picks, else all.

    EvenfallError naming the place where a solve does not converge.
    """
    wire = np.ascontiguousarray(codes, dtype=np.uint8)
    if shown is None:
        shown = np.broadcast_to(np.arange(len(wire)), (len(drawn), len(wire)))
    at = np.ascontiguousarray(shown, dtype=np.int64)
    if network.law.falls or not len(network.fixed_v):
        return _one_by_one(network, drawn, wire, at)
    from .drawn_kernel import DrawTable, solve_draws

    network = _allowing(network, drawn)
    state = np.empty((*at.shape, network.form.columns))
    state[..., network.free : network.nodes] = drawn.source_v[:, None, :]
    state[..., -1] = 0.0
    amps = np.empty((*at.shape, network.pixels))
    add = np.ascontiguousarray(on_channels(network, drawn.vf_add))
    common = (
        np.ascontiguousarray(drawn.times),
        np.ascontiguousarray(network.house.pixels.run, dtype=np.int64),
        add,
        np.maximum(0.0, add.max(axis=2)),
    )
    weight, share = all_weights(network, drawn)
    for pattern, diagonal, entry, push in _numbers(network, drawn, weight):
        table = DrawTable(diagonal, entry, push, *common)
        args = (pattern, network.law_table, table, wire, at, state, amps)
        draw, frame, position = solve_draws(*args)
        if draw >= 0:
            where = network.place(int(pattern.node[position]))
            raise EvenfallError(
                f"the voltage at {where} does not converge in draw {draw}, frame {frame}; "
                "please report the house file"
            )
    if not np.isfinite(state.sum()):  # no number is less than another, nor not: it balances at once
        draw, frame, column = np.argwhere(~np.isfinite(state))[0].tolist()
        where = network.place(min(column, network.free - 1))
        raise EvenfallError(f"the voltage at {where} has no solution in draw {draw}, frame {frame}")
    return DrawnSolution(network, drawn, state, amps, wire, at, share)


def _allowing(network: Network, drawn: DrawnCircuit) -> Network:
    """The network written so that + and − may differ wherever they do in any draw."""
    form = network.topology.form(np.any(drawn.plus_s != drawn.minus_s, axis=0))
    return network if form is network.form else replace(network, form=form)


def _one_by_one(
    network: Network, drawn: DrawnCircuit, codes: np.ndarray, shown: np.ndarray
) -> DrawnSolution:
    """Where pixels draw less the more they are fed: each draw as a network of its own."""
    solved = [solve(one_of(network, drawn, d), codes[shown[d]]) for d in range(len(drawn))]
    state = np.stack([each.state for each in solved])
    amps = np.stack([each.amps for each in solved])
    _, share = all_weights(network, drawn)
    return DrawnSolution(network, drawn, state, amps, codes, shown, share)


def on_channels(network: Network, vf_add: np.ndarray) -> np.ndarray:
    """(D, R, channels) what it adds on each channel of the law: dies in series add up."""
    out = vf_add.copy()
    for index, run in enumerate(network.house.runs):
        has = [CHANNELS.index(channel.name) for channel in run.kind.channels]
        if run.kind.law in ("series", "staggered"):
            out[:, index, :] = vf_add[:, index, has].sum(axis=-1)[:, None]
        else:
            out[:, index, [c for c in range(out.shape[2]) if c not in has]] = 0.0
    return out


def all_weights(network: Network, drawn: DrawnCircuit) -> tuple[np.ndarray, np.ndarray]:
    """`build.weights` of every draw: (D, E + K + C) [S] and (D, dual edges) the share of Δu."""
    form = network.form
    both = drawn.plus_s + drawn.minus_s
    edge = drawn.plus_s * drawn.minus_s / np.where(both > 0, both, 1.0)
    if not form.dual.any():
        return edge, np.zeros((len(drawn), 0))
    quarter = both[:, form.dual] / 4
    edge[:, form.dual] = quarter
    with np.errstate(divide="ignore", invalid="ignore"):
        ohm = 1 / quarter
        whole = _summed(form.chain, len(form.chain_u), ohm)
        share = np.nan_to_num(ohm / whole[:, form.chain])
    differ = (drawn.plus_s - drawn.minus_s)[:, form.cross] / 4
    return np.concatenate([edge, 1 / whole, differ], axis=1), share


def _summed(into: np.ndarray, size: int, values: np.ndarray) -> np.ndarray:
    """(D, size): the numbers of each draw, (D, E), added up where `into` (E,) says."""
    return np.stack([summed(into, row, size) for row in values])


def _numbers(
    network: Network, drawn: DrawnCircuit, weight: np.ndarray
) -> Iterator[tuple[Pattern, np.ndarray, np.ndarray, np.ndarray]]:
    """Every part: its pattern, and (D, M), (D, Z), (D, M) of diagonal, entries and push."""
    form, put = network.form, network.form.coefficients
    nominal, _ = weights(network)
    tie_s = ties(network, nominal)
    diagonal = _summed(put.diagonal, form.columns, weight[:, put.diagonal_source]) + tie_s
    entry = _summed(put.entry, put.entries, weight[:, put.entry_source] * put.entry_sign)
    flow = put.push_sign * weight[:, put.push_source] * drawn.source_v[:, put.pushing]
    push = _summed(put.pushed, form.columns, flow)
    first = 0
    for pattern in patterns(network, nominal, tie_s):
        last = first + len(pattern.row)
        yield (
            pattern,
            np.ascontiguousarray(diagonal[:, pattern.node]),
            np.ascontiguousarray(entry[:, first:last]),
            np.ascontiguousarray(push[:, pattern.node]),
        )
        first = last


def drawn_loads(solution: DrawnSolution) -> Loads:
    """What each frame of each draw asks of the wiring: rows are draw · F + frame."""
    network, drawn = solution.network, solution.drawn
    house, runs = network.house, network.house.runs
    draws, frames = solution.shown.shape
    sources = np.flatnonzero((network.edge >= network.free).any(axis=1))
    node = network.free + np.arange(len(network.fixed_v))
    sign = (network.edge[sources, 0, None] == node).astype(float) - (
        network.edge[sources, 1, None] == node
    )
    wires = len(house.wires)
    plus_a, minus_a = _edge_amps(solution, np.concatenate([network.wire_edge, sources]))
    supply_a = plus_a[..., wires:] @ sign
    volts, live = solution.volts, network.reach.live
    run_a, run_v = np.zeros((draws, frames, len(runs))), np.zeros((draws, frames, len(runs)))
    run_dim = np.ones((draws, frames, len(runs)))
    run_pixel = np.zeros((draws, frames, len(runs)), dtype=np.int32)
    add = on_channels(network, drawn.vf_add)
    for index, run in enumerate(runs):
        run_a[..., index] = solution.amps[..., run.pixels].sum(axis=-1)
        counts = run.has_pixel & (live[run.pixels] if len(network.fixed_v) else True)
        if not counts.any():
            continue
        here = volts[..., run.pixels]
        if not counts.all():
            here = np.where(counts, here, np.inf)
        run_pixel[..., index] = here.argmin(axis=-1)
        run_v[..., index] = np.take_along_axis(here, run_pixel[..., index, None], -1)[..., 0]
        kind = network.law.kind[run.pixels]
        full_v = network.law.full_v[kind].max() + np.maximum(0.0, add[:, index].max(axis=1))
        for d, f in np.argwhere(run_v[..., index] < full_v[:, None]).tolist():
            above = volts[d, f, run.pixels, None] - network.law.vf_v[kind] - add[d, index]
            dim = np.clip(above / network.law.headroom_v[kind], 0.0, network.law.most[kind])
            lit = solution.codes[solution.shown[d, f], run.pixels] > 0
            run_dim[d, f, index] = np.where(lit & counts[:, None], dim, 1.0).min()
    source_ohm = np.array([supply.source_ohm for supply in house.supplies])
    pixels_w = np.einsum("dfn,dfn->df", volts, solution.amps)
    terminal_v = drawn.source_v[:, None, :] - source_ohm * supply_a
    dc_w = (supply_a * terminal_v).sum(axis=-1) if len(source_ohm) else pixels_w

    def rows(values: np.ndarray) -> np.ndarray:
        return values.reshape(draws * frames, *values.shape[2:])

    return Loads(
        supply_a=rows(supply_a),
        wire_a=rows(plus_a[..., :wires]),
        wire_minus_a=rows(minus_a[..., :wires]),
        run_a=rows(run_a),
        run_v=rows(run_v),
        run_pixel=rows(run_pixel),
        run_dim=rows(run_dim),
        dc_w=rows(dc_w),
        copper_w=rows(dc_w - pixels_w),
    )


def feed_v(network: Network, drawn: DrawnCircuit) -> np.ndarray:
    """(D, R) [V] of the supply that reaches each run's first pixel; its kind's where none does."""
    first = [run.first for run in network.house.runs]
    nominal = network.feed_v[first]
    if not len(network.fixed_v):
        return np.broadcast_to(nominal, (len(drawn), len(first)))
    fed = network.feeds
    highest = np.where(fed.T[None], drawn.source_v[:, None, :], -np.inf).max(axis=2)
    return np.where(fed.any(axis=0), highest, nominal)


def _edge_amps(solution: DrawnSolution, edges: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(D, F, edges) [A] in + from first node to second, and back in −; see `build.Currents`."""
    network, drawn, state = solution.network, solution.drawn, solution.state
    form = network.form
    if not len(network.fixed_v):
        nothing = np.zeros((*solution.shown.shape, len(edges)))
        return nothing, nothing
    a, b = network.edge[edges].T
    across = state[..., a] - state[..., b]
    plus_s, minus_s = drawn.plus_s[:, edges], drawn.minus_s[:, edges]
    both = plus_s + minus_s
    loop = plus_s * minus_s / np.where(both > 0, both, 1.0)
    plus = across * loop[:, None, :]
    minus = plus.copy()
    if form.dual.any():
        at = np.flatnonzero(form.dual[edges])
        number = np.cumsum(form.dual) - 1
        ua, ub = form.edge_u[edges[at]].T
        share = solution.share[:, None, number[edges[at]]]
        along = (state[..., ua] - state[..., ub]) * share
        plus[..., at] = (across[..., at] + along) * plus_s[:, None, at] / 2
        minus[..., at] = (across[..., at] - along) * minus_s[:, None, at] / 2
    return plus, minus
