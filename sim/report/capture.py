"""What `power --capture` tells: what a recorded show asked of the wiring, whatever made it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from layouts import house_findings
from layouts.errors import EvenfallError, shown
from layouts.finding import Finding, Remedy, by_urgency
from layouts.records import House
from sim.circuit import (
    Ceiling,
    Energy,
    Loads,
    Network,
    RunUse,
    Short,
    SupplyUse,
    WireUse,
    bracket,
    build,
    critical_frames,
    energy,
    far_shorts,
    join,
    load_findings,
    loads,
    run_uses,
    supply_uses,
    unfed_findings,
    wire_uses,
)
from sim.circuit.loading import wall_w
from sim.data.frames import block_frames
from sim.data.patch import HousePatch, codes_from, patch_of, stacked
from sim.data.recorded import Recorded, recorded
from sim.scan import Progress, wiring_findings


@dataclass(frozen=True, eq=False)
class CaptureReport:
    """A recorded show on a house: T frames, each held until the next."""

    network: Network
    file: str
    patch: HousePatch
    time_s: np.ndarray  # (T,) [s] of each frame, from the first data packet on
    hold_s: np.ndarray  # (T,) [s] how long each stood
    loads: Loads
    supplies: tuple[SupplyUse, ...]
    wires: tuple[WireUse, ...]
    runs: tuple[RunUse, ...]
    energy: Energy
    ceiling: Ceiling | None  # a share of the levels recorded; None without supplies
    recorded: Recorded
    findings: tuple[Finding, ...]

    @property
    def house(self) -> House:
        """The house it was played on."""
        return self.network.house

    @property
    def seconds(self) -> float:
        """From the first frame to the end of the last [s]."""
        return float(self.time_s[-1] - self.time_s[0] + self.hold_s[-1])

    @property
    def fps(self) -> float | None:
        """Frames a second on average; None where there is one frame."""
        span_s = float(self.time_s[-1] - self.time_s[0])
        return (len(self.time_s) - 1) / span_s if span_s > 0 else None

    @property
    def worst_frame(self) -> int:
        """The frame in which the whole house draws most."""
        return int(self.loads.run_a.sum(axis=1).round(9).argmax())

    @property
    def nameplate_a(self) -> float:
        """Every channel of every pixel full, at full voltage [A]."""
        return sum(run.nameplate_a for run in self.runs)

    @property
    def mean_a(self) -> float:
        """Of the whole house, every frame counted as long as it stood [A]."""
        return _mean(self.loads.run_a.sum(axis=1), self.hold_s)

    @cached_property
    def shorts(self) -> tuple[Short | None, ...]:
        """The worst far short behind the fuse of each wire."""
        return far_shorts(self.network)

    def when_s(self, frame: int) -> float:
        """When a frame was shown [s]."""
        return float(self.time_s[frame])


def capture_report(house: House, path: Path, *, progress: Progress | None = None) -> CaptureReport:
    """Play a capture on the house; refuses one that holds nothing for its universes."""
    patch, network = patch_of(house), build(house)
    if not patch.universes:
        raise EvenfallError(
            f"{house.file}: no output has a universe; give the outputs one, such as universe: 1"
        )
    size = block_frames(len(house.pixels))
    times: list[float] = []
    levels: list[np.ndarray] = []
    parts: list[Loads] = []
    worst = np.empty((0, len(house.pixels), 4), dtype=np.uint8)
    told: Recorded | None = None
    for each in recorded(path, frozenset(patch.universes), progress):
        if isinstance(each, Recorded):
            told = each
            break
        times.append(each.time_s)
        levels.append(stacked(patch, each.levels))
        if len(levels) == size:
            worst = _solved(network, patch, levels, parts, worst)
    if levels:
        worst = _solved(network, patch, levels, parts, worst)
    assert told is not None
    if not times:
        raise EvenfallError(_nothing(path, patch, told))
    time_s, watched = np.array(times), join(parts)
    hold_s = _held(time_s)
    supplies, wires, runs = _uses(network, watched, hold_s)
    least_a = watched.supply_a.min(axis=0)
    found = (
        *load_findings(supplies, wires, runs, least_a),
        *unfed_findings(network, watched),
        *wiring_findings(network),
        *house_findings(house),
        *_capture_findings(path, patch, told),
    )
    return CaptureReport(
        network,
        str(path),
        patch,
        time_s,
        hold_s,
        watched,
        supplies,
        wires,
        runs,
        _energy(network, watched, hold_s),
        _ceiling(network, worst),
        told,
        by_urgency(found),
    )


def _solved(
    network: Network,
    patch: HousePatch,
    levels: list[np.ndarray],
    parts: list[Loads],
    worst: np.ndarray,
) -> np.ndarray:
    """Solve the frames that came; returns the codes that come nearest to each limit so far."""
    codes = codes_from(patch, np.stack(levels))
    levels.clear()
    part = loads(network, codes)
    parts.append(part)
    near = np.concatenate([worst, codes[critical_frames(network, part)]])
    return near[critical_frames(network, loads(network, near))] if len(worst) else near


def _ceiling(network: Network, worst: np.ndarray) -> Ceiling | None:
    """The highest share of the recorded levels that keeps every limit, in the worst frames.

    Frames are told apart by what they use of each limit at the level recorded.
    """
    if not network.house.supplies:
        return None
    wide = worst.astype(np.float64)
    return bracket(network, lambda share: np.rint(wide * share).astype(np.uint8))


def _held(time_s: np.ndarray) -> np.ndarray:
    """How long each frame stood; the last as long as is usual."""
    if len(time_s) == 1:
        return np.zeros(1)
    steps = np.diff(time_s)
    return np.append(steps, np.median(steps))


def _mean(values: np.ndarray, hold_s: np.ndarray) -> float:
    return float(np.average(values, weights=hold_s)) if hold_s.sum() > 0 else float(values.mean())


def _uses(
    network: Network, watched: Loads, hold_s: np.ndarray
) -> tuple[tuple[SupplyUse, ...], tuple[WireUse, ...], tuple[RunUse, ...]]:
    """As over a scheme, but every frame counts in the means as long as it stood."""

    def weighed(uses: tuple, amps: np.ndarray) -> tuple:  # type: ignore[type-arg]
        return tuple(
            replace(use, mean_a=_mean(amps[:, number], hold_s)) for number, use in enumerate(uses)
        )

    return (
        weighed(supply_uses(network, watched), watched.supply_a),
        weighed(wire_uses(network, watched), np.abs(watched.wire_a)),
        weighed(run_uses(network, watched), watched.run_a),
    )


def _energy(network: Network, watched: Loads, hold_s: np.ndarray) -> Energy:
    dark = loads(network, np.zeros((1, network.pixels, 4), dtype=np.uint8))
    fed = bool(network.house.supplies)
    return replace(
        energy(network, watched, dark),
        dc_w_mean=_mean(watched.dc_w, hold_s),
        wall_w_mean=_mean(wall_w(network, watched), hold_s) if fed else None,
        copper_w_mean=_mean(watched.copper_w, hold_s),
    )


def _capture_findings(path: Path, patch: HousePatch, told: Recorded) -> tuple[Finding, ...]:
    found, name = [], shown(path.name)
    if told.end.why:
        detail = {"why": told.end.why, "octets": told.end.octets}
        found.append(Finding("warning", "capture-cut", name, value=told.end.packets, detail=detail))
    silent = tuple(u for u in patch.universes if u not in told.packets)
    if silent:
        found.append(
            Finding(
                "warning",
                "capture-universe-missing",
                name,
                value=len(silent),
                limit=len(patch.universes),
                elements=tuple(map(str, silent)),
                remedies=(Remedy("capture-universes", name),),
            )
        )
    if told.missed:
        found.append(Finding("note", "capture-packets-missed", name, value=told.missed))
    if told.exceeded:
        numbers = tuple(map(str, sorted(told.exceeded)))
        found.append(Finding("warning", "sources-exceeded", name, elements=numbers))
    if told.merged:
        numbers = tuple(map(str, sorted(told.merged)))
        found.append(Finding("note", "sources-merged", name, elements=numbers))
    if patch.unaddressed:
        found.append(Finding("warning", "pixels-without-universe", name, value=patch.unaddressed))
    return tuple(found)


def _nothing(path: Path, patch: HousePatch, told: Recorded) -> str:
    uses = ", ".join(map(str, patch.universes))
    has = ", ".join(map(str, told.elsewhere)) or "none"
    end = f" ({told.end.why})" if told.end.why else ""
    return (
        f"{path}: no E1.31 levels for the universes of this house, {uses}; universes in it: {has}; "
        f"{told.end.packets} packets read{end}, {told.datagrams} of E1.31; "
        "record with the house's universes"
    )
