"""What `power --capture` tells: what a recorded show asked of the wiring, whatever made it."""

from __future__ import annotations

from collections.abc import Callable
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
    load_findings,
    loads,
    run_uses,
    supply_uses,
    unfed_findings,
    wire_uses,
)
from sim.circuit.wiring import wiring_findings
from sim.data.frames import block_frames
from sim.data.patch import HousePatch, codes_from, patch_of, stacked
from sim.data.recorded import Recorded, recorded
from sim.data.taking import TakenFrame
from sim.scan import Progress

from .extremes import Extremes, Means


@dataclass(frozen=True, eq=False)
class CaptureReport:
    """A recorded show on a house, each frame held until the next.

    K of its frames are kept: those in which anything is largest or least.
    """

    network: Network
    file: str
    patch: HousePatch
    frames: int
    span_s: float  # from the first frame to the last
    last_hold_s: float  # how long the last stood
    time_s: np.ndarray  # (K,) [s] of those kept, from the first data packet on
    loads: Loads  # of those kept
    mean_a: float  # of the whole house, every frame counted as long as it stood
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
        return self.span_s + self.last_hold_s

    @property
    def fps(self) -> float | None:
        """Frames a second on average; None where there is one frame."""
        return (self.frames - 1) / self.span_s if self.span_s > 0 else None

    @property
    def worst_frame(self) -> int:
        """The frame, of those kept, in which the whole house draws most."""
        return int(self.loads.run_a.sum(axis=1).round(9).argmax())

    @property
    def nameplate_a(self) -> float:
        """Every channel of every pixel full, at full voltage [A]."""
        return sum(run.nameplate_a for run in self.runs)

    @cached_property
    def shorts(self) -> tuple[Short | None, ...]:
        """The worst far short behind the fuse of each wire."""
        return far_shorts(self.network)

    def when_s(self, frame: int) -> float:
        """When a frame of those kept was shown [s]."""
        return float(self.time_s[frame])


#: Of a small house too no more frames than these wait to be solved.
_MOST_FRAMES = 512
#: Told of each block of frames: their times (T,) [s] and loads.
Seen = Callable[[np.ndarray, Loads], None]


def capture_report(
    house: House, path: Path, *, progress: Progress | None = None, seen: Seen | None = None
) -> CaptureReport:
    """Play a capture on the house; refuses one that holds nothing for its universes.

    Memory does not grow with the capture; whoever wants every frame is given them by `seen`.
    """
    patch, network = patch_of(house), build(house)
    if not patch.universes:
        raise EvenfallError(
            f"{house.file}: no output has a universe; give the outputs one, such as universe: 1"
        )
    played = _Played(network, patch, Extremes(network), seen)
    told: Recorded | None = None
    for each in recorded(path, frozenset(patch.universes), progress):
        if isinstance(each, Recorded):
            told = each
            break
        played.frame(each)
    played.solve()
    far_shorts(network, progress)  # kept with the network, for all that follows
    assert told is not None
    if not played.extremes.frames:
        raise EvenfallError(_nothing(path, patch, told))
    return _report(path, patch, played, told)


class _Played:
    """Frames as they come, solved block by block; lives as long as the report is made."""

    def __init__(
        self, network: Network, patch: HousePatch, extremes: Extremes, seen: Seen | None
    ) -> None:
        self.network, self.patch, self.extremes, self.seen = network, patch, extremes, seen
        pixels = len(network.house.pixels)
        self.size = min(block_frames(pixels), _MOST_FRAMES)
        self.times: list[float] = []
        self.levels: list[np.ndarray] = []
        none = (0, pixels, network.law.channels)
        self.worst = np.empty(none, dtype=np.uint8)  # nearest to each limit so far

    def frame(self, frame: TakenFrame) -> None:
        self.times.append(frame.time_s)
        self.levels.append(stacked(self.patch, frame.levels))
        if len(self.levels) == self.size:
            self.solve()

    def solve(self) -> None:
        if not self.levels:
            return
        codes, times = codes_from(self.patch, np.stack(self.levels)), np.array(self.times)
        self.levels.clear()
        self.times.clear()
        part = loads(self.network, codes)
        self.extremes.add(times, part)
        if self.seen:
            self.seen(times, part)
        near = np.concatenate([self.worst, codes[critical_frames(self.network, part)]])
        if len(self.worst):
            near = near[critical_frames(self.network, loads(self.network, near))]
        self.worst = near


def _report(path: Path, patch: HousePatch, played: _Played, told: Recorded) -> CaptureReport:
    network, extremes = played.network, played.extremes
    kept, means = extremes.kept, extremes.means()
    assert kept is not None
    supplies, wires, runs = _uses(network, kept, means)
    found = (
        *load_findings(supplies, wires, runs, kept.supply_a.min(axis=0)),
        *unfed_findings(network, kept),
        *wiring_findings(network),
        *house_findings(network.house),
        *_capture_findings(path, patch, told),
    )
    return CaptureReport(
        network,
        str(path),
        patch,
        extremes.frames,
        extremes.last_s - extremes.first_s,
        extremes.last_hold_s,
        extremes.time_s,
        kept,
        means.total_a,
        supplies,
        wires,
        runs,
        _energy(network, kept, means),
        _ceiling(network, played.worst),
        told,
        by_urgency(found),
    )


def _ceiling(network: Network, worst: np.ndarray) -> Ceiling | None:
    """The highest share of the recorded levels that keeps every limit, in the worst frames.

    Frames are told apart by what they use of each limit at the level recorded.
    """
    if not network.house.supplies:
        return None
    wide = worst.astype(np.float64)
    return bracket(network, lambda share: np.rint(wide * share).astype(np.uint8))


def _uses(
    network: Network, kept: Loads, means: Means
) -> tuple[tuple[SupplyUse, ...], tuple[WireUse, ...], tuple[RunUse, ...]]:
    """As over a scheme; means are those of all frames."""

    def meant(uses: tuple, mean_a: np.ndarray) -> tuple:  # type: ignore[type-arg]
        return tuple(
            replace(use, mean_a=float(each)) for use, each in zip(uses, mean_a, strict=True)
        )

    return (
        meant(supply_uses(network, kept), means.supply_a),
        meant(wire_uses(network, kept), means.wire_a),
        meant(run_uses(network, kept), means.run_a),
    )


def _energy(network: Network, kept: Loads, means: Means) -> Energy:
    dark = loads(network, np.zeros((1, network.pixels, network.law.channels), dtype=np.uint8))
    return replace(
        energy(network, kept, dark),
        dc_w_mean=means.dc_w,
        wall_w_mean=means.wall_w,
        copper_w_mean=means.copper_w,
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
