"""The load of every frame and the ceiling, computed piece by piece beside the running picture."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from effects import Show
from effects.course import frame_count, span_s
from layouts import House
from layouts.faults import Fault
from sim.app.state.ribbon import CeilingAmps, Load
from sim.app.work.instant import total_of
from sim.app.work.kept_loads import KeptLoads
from sim.app.work.load_keys import LoadKey
from sim.app.work.worker import Alive
from sim.circuit import Ceiling, Loads, Network, join, loads
from sim.circuit.limits import limit_name, utilisation
from sim.frame import Rig, on_wire
from sim.report.limits_told import limit_of
from sim.report.watched import watched_of
from sim.scan import Pause, Scan, blocks, ceiling, scan_of

#: How often what is done so far is told [s].
_TELL_S = 0.4
#: The ceiling's current is that of so many frames, those that draw most.
_MOST_DRAWING = 64


@dataclass(frozen=True, eq=False)
class MeasuredLoad:
    """The load that a key stands for, so far."""

    key: LoadKey
    load: Load


class _Dropped(Exception):
    """The work is no longer wanted."""


def measure(
    rigs: dict[LoadKey, Rig], show: Show, ceiling_of: LoadKey | None, kept: KeptLoads, alive: Alive,
    pause: Pause,
) -> Iterator[MeasuredLoad]:  # fmt: skip
    """The load of every key, with more frames each time; then what the scheme asks of every part,
    and of one of them the ceiling. What is whole is kept. `pause` as in `sim.scan.blocks`.

    A key with faults stands for the curve of the house with these broken, and for that alone.
    """
    for key, rig in rigs.items():
        parts: list[Loads] = []
        faults = key.family.faults
        for load in _loads(rig, show, key.brightness, parts, pause, faults):
            if load.whole:
                kept.keep(key, load)
            yield MeasuredLoad(key, load)
        if faults:
            continue
        pause()
        seen = scan_of(rig, show, join(parts), show.fps, key.brightness)
        kept.keep_watched(key, watched_of(seen))
        if key == ceiling_of:
            try:
                _ceiling(seen, key, kept, alive, pause)
            except _Dropped:
                return


def _ceiling(seen: Scan, key: LoadKey, kept: KeptLoads, alive: Alive, pause: Pause) -> None:
    def progress(_done: float, _total: float) -> None:
        if not alive():
            raise _Dropped

    highest = ceiling(seen, progress, pause)
    found = None
    if highest is not None:
        most_a = _most_a(seen.rig, seen.show, seen.loads, highest)
        found = CeilingAmps(highest.brightness, most_a, highest.limit, bound=highest.bound)
    kept.keep_ceiling(key.family, found)


def _most_a(rig: Rig, show: Show, seen: Loads, highest: Ceiling) -> float:
    """The most that is drawn at the ceiling [A], of the frames that draw most as it was watched."""
    at = np.argsort(-total_of(seen, fed=True), kind="stable")[:_MOST_DRAWING]
    codes = on_wire(rig, show, at / show.fps, highest.brightness)
    return float(total_of(loads(rig.network, codes), fed=True).max())


def blank(rig: Rig, show: Show, brightness: float) -> Load:
    """The load before anything is computed: its length, its supplies and what they are rated."""
    frames, supplies = frame_count(span_s(show), show.fps), rig.house.supplies
    nothing = np.full(frames, np.nan)
    rated_a = np.array([supply.rated_a for supply in supplies])
    names = tuple(supply.name for supply in supplies)
    each = np.full((frames, len(names)), np.nan)
    return Load(nothing, each, nothing, "", rated_a, names, show.fps, brightness=brightness)


def _loads(
    rig: Rig, show: Show, brightness: float, parts: list[Loads], pause: Pause,
    faults: tuple[Fault, ...] = (),
) -> Iterator[Load]:  # fmt: skip
    """The load of a scheme on a rig, with more frames each time; the blocks go to `parts`."""
    house, network = rig.house, rig.network
    frames = frame_count(span_s(show), show.fps)
    total_a, strained = np.full((2, frames), np.nan)
    supply_a = np.full((frames, len(house.supplies)), np.nan)
    by = np.full(frames, -1, np.int32)
    rated_a = np.array([supply.rated_a for supply in house.supplies])
    names = tuple(supply.name for supply in house.supplies)
    if faults:
        # reckoned by modules that a window without faults need not wait for
        from sim.upkeep import broken
        from sim.upkeep.broken_loads import broken_blocks

        ill = broken(rig, faults)
        made = broken_blocks(ill, show, frames, show.fps, brightness, pause)
    else:
        made = blocks(rig, show, frames, show.fps, brightness, pause)
    dark = loads(network, np.zeros((1, len(house.pixels), len(house.channels)), np.uint8))
    worst, limit, done = 0.0, "", 0
    named: dict[int, str] = {}
    places: np.ndarray = np.full(0, -1)
    most: np.ndarray = np.zeros(0)
    told_s = time.monotonic()
    for part in made:
        parts.append(part)
        at = slice(done, done + len(part))
        done += len(part)
        total_a[at] = total_of(part, bool(names))
        if names:
            per_limit = utilisation(network, part)
            if not len(most):
                places, most = np.full(per_limit.shape[1], -1), np.zeros(per_limit.shape[1])
            strained[at], by[at] = per_limit.max(axis=1), per_limit.argmax(axis=1)
            for column in np.flatnonzero(per_limit.max(axis=0) > np.maximum(most, 1.0)):
                frame = int(per_limit[:, column].argmax())
                most[column] = per_limit[frame, column]
                places[column] = _pixel(house, network, part, frame, int(column))
                named[int(column)] = limit_of(network, part, frame, int(column))
            if per_limit.max() > worst:
                worst = float(per_limit.max())
                nearest = int(per_limit.max(axis=0).argmax())
                limit = limit_of(network, part, int(per_limit[:, nearest].argmax()), nearest)
            supply_a[at] = part.supply_a
        else:
            strained[at] = 0.0
        if time.monotonic() - told_s > _TELL_S or done == frames:
            pause()
            told_s = time.monotonic()
            for column in np.unique(by[:done]):
                if column >= 0 and column not in named:
                    named[int(column)] = limit_name(network, int(column))
            limits = tuple(named.get(column, "") for column in range(len(most)))
            told = Load(
                total_a.copy(), supply_a.copy(), strained.copy(), limit, rated_a, names, show.fps,
                brightness=brightness, idle_a=dark.supply_a[0], strained_by=by.copy(),
                limits=limits, limit_pixels=tuple(places.tolist()), broken=len(faults),
            )  # fmt: skip
            # what the window asks of it is worked out here, and kept with it
            _ = told.peak, told.over, told.limit_passed, told.ready, told.room
            yield told


def _pixel(house: House, network: Network, part: Loads, frame: int, column: int) -> int:
    """A pixel that a limit is about: of the run that draws most from a supply the first; where a
    wire ends; the one of a run with the least volts. −1 where there is none."""
    supplies, wires = len(house.supplies), len(house.wires)
    if column < 2 * supplies:
        fed = np.where(network.feeds[column % supplies], part.run_a[frame], -1.0)
        return int(house.runs[int(fed.argmax())].first) if fed.max(initial=-1.0) >= 0 else -1
    if column < 2 * supplies + wires:
        wire = house.wires[column - 2 * supplies]
        for end in (wire.end, wire.start):
            if end.kind == "run":
                run = house.run(end.name)
                return run.first + min(max(end.pad - 1, 0), run.count - 1)
        return -1
    index = column - 2 * supplies - wires
    return house.runs[index].first + int(part.run_pixel[frame, index])
