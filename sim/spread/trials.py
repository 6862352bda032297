"""Every draw through the exact circuit: what frames ask of it, and which limits they keep."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, fields
from typing import TypeVar

import numpy as np

from layouts.calibration import mains_w
from sim.circuit import Network
from sim.circuit.drawn import DrawnSolution, drawn_loads, feed_v, on_channels, solve_drawn
from sim.circuit.limits import utilisation

from .draws import Draws, circuit_of, draws
from .unknowns import Unknowns

#: Numbers of volts and amperes held at once, by each of two threads.
_HELD = 1 << 21
_LANES = 16

T = TypeVar("T")
Progress = Callable[[float, float], None]


@dataclass(frozen=True, eq=False)
class Trials:
    """D draws of F frames: S supplies, W wires, R runs; columns of `sim.circuit.utilisation`."""

    supply_a: np.ndarray  # (D, F, S) [A]
    wire_a: np.ndarray  # (D, F, W) [A] in +, without direction
    run_a: np.ndarray  # (D, F, R) [A]
    run_v: np.ndarray  # (D, F, R) [V] least along the run
    used: np.ndarray  # (D, F, columns) how far each goes towards its limit
    full_used: np.ndarray  # (D, F, R) the same of volts towards the least that lights all in full
    dc_w: np.ndarray  # (D, F) [W]
    wall_w: np.ndarray  # (D, F) [W]; 0 without supplies

    def __len__(self) -> int:
        return len(self.dc_w)


def trials(
    network: Network,
    known: Unknowns,
    codes: np.ndarray,
    count: int,
    *,
    seed: int = 0,
    first: int = 0,
    supply_load: np.ndarray | None = None,
    progress: Progress | None = None,
) -> Trials:
    """`count` draws of the parts of a house, each shown the frames `codes` (F, N, channels) uint8.

    `supply_load` (S,) is the share of its rating that each supply gives, for its droop.
    `progress(done, total)` counts draws.
    """

    def work(start: int, size: int) -> Trials:
        return of_draws(
            network, draws(known, size, seed, first + start), codes, supply_load=supply_load
        )

    return joined(list(in_blocks(network, len(codes), count, work, progress)))


def of_draws(
    network: Network,
    drawn: Draws,
    codes: np.ndarray,
    shown: np.ndarray | None = None,
    *,
    supply_load: np.ndarray | None = None,
    seen: Callable[[DrawnSolution], None] | None = None,
) -> Trials:
    """What given draws make of `codes` (C, N, channels), of which `shown` (D, F) picks F for each.

    `seen` is handed the volts and amperes before they are dropped.
    """
    circuit = circuit_of(network, drawn, supply_load)
    solved = solve_drawn(network, circuit, codes, shown)
    if seen is not None:
        seen(solved)
    loads = drawn_loads(solved)
    count, frames = solved.shown.shape
    fed = np.repeat(feed_v(network, circuit), frames, axis=0)
    used = utilisation(network, loads, fed)

    def shaped(values: np.ndarray) -> np.ndarray:
        return values.reshape(count, frames, *values.shape[1:])

    supply_a = shaped(loads.supply_a)
    return Trials(
        supply_a=supply_a,
        wire_a=np.abs(shaped(loads.wire_a)),
        run_a=shaped(loads.run_a),
        run_v=shaped(loads.run_v),
        used=shaped(used),
        full_used=_full_used(solved, shaped(loads.run_v), shaped(fed)),
        dc_w=shaped(loads.dc_w),
        wall_w=_wall_w(network, drawn, circuit.source_v, supply_a),
    )


def _full_used(solved: DrawnSolution, run_v: np.ndarray, fed: np.ndarray) -> np.ndarray:
    """(D, F, R) 1 where the least volts of a run just light every channel asked there in full.

    Smooth where `used` steps: it says how near the loss of colour is while nothing is lost yet.
    """
    network = solved.network
    law, runs = network.law, network.house.runs
    need = np.zeros(run_v.shape)
    add = on_channels(network, solved.drawn.vf_add)
    for index, run in enumerate(runs):
        kind = law.kind[run.pixels]
        lit = np.any(solved.codes[:, run.pixels] > 0, axis=1)[solved.shown]  # (D, F, channels)
        full_v = law.need_v[kind].max(axis=0) + add[:, index]
        need[..., index] = np.where(lit, full_v[:, None, :], 0.0).max(axis=2)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = (fed - run_v) / (fed - need)
    told = np.where(fed > need, part, np.where(need > 0, 2.0, 0.0))
    # A run that no supply reaches is a finding of its own, which no brightness cures.
    reached = network.feeds.any(axis=0) if len(network.fixed_v) else True
    return np.where(reached, told, 0.0)


def _wall_w(
    network: Network, drawn: Draws, source_v: np.ndarray, supply_a: np.ndarray
) -> np.ndarray:
    """(D, F) [W] from the mains: what does not go out as DC grows as the efficiency falls."""
    supplies = network.house.supplies
    if not supplies:
        return np.zeros(supply_a.shape[:2])
    ohm = np.array([supply.source_ohm for supply in supplies])
    names = tuple(supply.name for supply in supplies)
    out_w = np.maximum(supply_a * (source_v[:, None, :] - ohm * supply_a), 0.0)
    flat = out_w.reshape(-1, len(supplies))
    idle_w = mains_w(network.house, np.zeros_like(flat))
    taken = (mains_w(network.house, flat) - idle_w).reshape(out_w.shape)
    return (taken / drawn.of("efficiency", names, 1.0)[:, None, :]).sum(axis=2) + idle_w[0].sum()


def in_blocks(
    network: Network,
    frames: int,
    count: int,
    work: Callable[[int, int], T],
    progress: Progress | None = None,
) -> Iterator[T]:
    """`work(first, size)` for all of `count` draws, in order, two blocks at a time.

    An interrupt ends after the blocks in hand.
    """
    size = _HELD // max(1, frames * network.nodes)
    size = min(max(_LANES, size // _LANES * _LANES), 256)
    workers = min(2, os.cpu_count() or 1)
    waiting: deque[tuple[Future[T], int]] = deque()
    done = 0
    with ThreadPoolExecutor(workers) as pool:
        try:
            for start in range(0, count, size):
                here = min(size, count - start)
                waiting.append((pool.submit(work, start, here), here))
                while len(waiting) > workers or (waiting and start + size >= count):
                    future, part = waiting.popleft()
                    made = future.result()
                    done += part
                    if progress:
                        progress(done, count)
                    yield made
        finally:
            for future, _ in waiting:
                future.cancel()


def joined(parts: list[Trials]) -> Trials:
    """Blocks of draws, one after another."""
    return Trials(
        *(np.concatenate([getattr(part, each.name) for part in parts]) for each in fields(Trials))
    )


def kept(found: Trials) -> np.ndarray:
    """(D,) bool: the draw keeps every limit in every frame."""
    return np.asarray((found.used <= 1 + 1e-9).all(axis=(1, 2)))
