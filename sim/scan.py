"""Frame quantities over a whole scheme, streamed in blocks.

Effect, colour, codes, volts and amperes of every frame are computed and dropped again; what stays
is a few numbers a frame (`sim.circuit.Loads`) and what they say of every supply, wire and run. No
frame is left out because it could hold no extreme: means and the curve of amperes need them all.
Two blocks are worked on at a time.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np

from effects import Show, asked
from effects.course import courses, frame_count, span_s
from layouts.finding import Finding, Remedy, by_urgency
from sim.circuit import (
    Ceiling,
    Energy,
    Loads,
    Need,
    RunUse,
    Short,
    SupplyUse,
    WireUse,
    bracket,
    critical_frames,
    energy,
    exceeds,
    far_shorts,
    join,
    load_findings,
    loads,
    needs,
    run_uses,
    supply_uses,
    unfed_findings,
    wire_uses,
)
from sim.circuit.wiring import wiring_findings
from sim.composed import lay
from sim.frame import Rig, codes_of, on_wire

#: A block holds about this many pixels over all its frames: enough that calling for it costs little
#: beside the work, in whole groups of frames that the solver works on side by side.
_BLOCK_PIXELS, _GROUP = 1 << 18, 16
#: So many frames of a scheme, or a block, tell whether its others are likely to keep every limit.
_FEW = 256

Progress = Callable[[float, float], None]
#: Called between pieces of work of some milliseconds; it may wait.
Pause = Callable[[], None]


@dataclass(frozen=True, eq=False)
class Scan:
    """A scheme watched frame by frame: T frames of a house."""

    rig: Rig
    show: Show
    brightness: float
    fps: float
    whole_period: bool  # True: at least one period, after which it begins again
    loads: Loads
    supplies: tuple[SupplyUse, ...]
    wires: tuple[WireUse, ...]
    runs: tuple[RunUse, ...]
    energy: Energy
    full: Loads | None = None  # the same frames at full brightness, where they were watched too

    @property
    def frames(self) -> int:
        """T."""
        return len(self.loads)

    @property
    def seconds(self) -> float:
        """How much of the scheme was watched [s]."""
        return self.frames / self.fps

    @cached_property
    def shorts(self) -> tuple[Short | None, ...]:
        """The worst far short behind the fuse of each wire; None where it has no fuse."""
        return far_shorts(self.rig.network)

    @property
    def load_findings(self) -> tuple[Finding, ...]:
        """What the scheme asks beyond the limits of the wiring, most urgent first."""
        least_a = self.loads.supply_a.min(axis=0)
        found = load_findings(self.supplies, self.wires, self.runs, least_a)
        unfed = unfed_findings(self.rig.network, self.loads)
        return by_urgency((*self.unseen, *found, *unfed))

    @property
    def unseen(self) -> tuple[Finding, ...]:
        """Danger `scheme-not-seen` where a layer comes or goes after the seconds watched."""
        late = [
            course
            for course in courses(self.show)
            if self.frames < frame_count(course.end_s, self.fps)
        ]
        if not late:
            return ()
        end_s = max(course.end_s for course in late)
        return (
            Finding(
                "danger",
                "scheme-not-seen",
                self.show.scheme.name,
                value=self.seconds,
                limit=end_s,
                unit="s",
                remedies=(Remedy("watch-longer", self.show.scheme.name, end_s, "s"),),
                detail={"layers": tuple((course.layer, course.effect) for course in late)},
            ),
        )

    @property
    def needs(self) -> tuple[Need, ...]:
        """What would have to feed a house that names no supply."""
        return needs(self.rig.network, self.loads)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """`load_findings` and what is questionable in the wiring itself, most urgent first."""
        return by_urgency((*self.load_findings, *wiring_findings(self.rig.network, self.shorts)))

    @property
    def time_s(self) -> np.ndarray:
        """(T,) [s] of each frame."""
        return np.arange(self.frames) / self.fps


def scan(
    rig: Rig,
    show: Show,
    *,
    seconds: float | None = None,
    fps: float | None = None,
    brightness: float | None = None,
    progress: Progress | None = None,
    full: bool = False,
) -> Scan:
    """Watch `show` for `seconds`; left out, for its course (`effects.course.span_s`).

    `fps` and `brightness` replace the scheme's own. `progress(done, total)` counts frames. With
    `full`, and where full brightness is likely to keep every limit, frames are watched at it too
    while their colours are at hand: the `ceiling` would have to ask for all of them again.
    """
    rate = show.fps if fps is None else fps
    level = show.scheme.brightness if brightness is None else brightness
    if seconds is None:
        seconds = span_s(show)
    frames = frame_count(seconds, rate)
    if not (full and level < 1 and _full_is_likely(rig, show, frames, rate)):
        (watched,) = _watch(rig, show, frames, rate, (level,), progress)
        return scan_of(rig, show, watched, rate, level)
    watched, at_full = _watch(rig, show, frames, rate, (level, 1.0), progress)
    return replace(scan_of(rig, show, watched, rate, level), full=at_full)


def _full_is_likely(rig: Rig, show: Show, frames: int, fps: float) -> bool:
    """Whether a few frames of the scheme keep every limit at full brightness."""
    if not rig.house.supplies or frames < 1:
        return False
    few = min(_FEW, _block_frames(rig))
    some = np.unique(np.linspace(0, frames - 1, few).astype(np.int64))
    return not exceeds(rig.network, loads(rig.network, on_wire(rig, show, some / fps, 1.0)))


def scan_of(rig: Rig, show: Show, watched: Loads, fps: float, brightness: float) -> Scan:
    """What the loads of frames from 0 on, as `blocks` gives them, say."""
    off = np.zeros((1, len(rig.house.pixels), len(rig.house.channels)), dtype=np.uint8)
    dark = loads(rig.network, off)
    period_s = show.period_s
    return Scan(
        rig=rig,
        show=show,
        brightness=brightness,
        fps=fps,
        whole_period=period_s is not None and len(watched) >= frame_count(period_s, fps),
        loads=watched,
        supplies=supply_uses(rig.network, watched),
        wires=wire_uses(rig.network, watched),
        runs=run_uses(rig.network, watched),
        energy=energy(rig.network, watched, dark),
    )


def ceiling(
    watched: Scan, progress: Progress | None = None, pause: Pause | None = None
) -> Ceiling | None:
    """The highest brightness at which no frame of the scan exceeds a limit; None without supplies:
    then there is nothing to keep to, and nobody knows what there will be.

    Searched with the frames that come nearest to a limit, then tried on every frame; frames that
    then exceed one join the search. `limit` says what binds. `pause` is as that of `blocks`.
    """
    rig, show = watched.rig, watched.show
    if not rig.house.supplies:
        return None
    seen, best, at_full = watched.loads, Ceiling(1.0, ""), 0.0
    at = np.empty(0, dtype=np.int64)
    while True:
        at = np.union1d(at, critical_frames(rig.network, seen))
        shown = partial(on_wire, rig, show, at / watched.fps)
        found = bracket(rig.network, shown, best.brightness)
        best = found if found.limit else replace(best, brightness=found.brightness)
        at_full = max(at_full, found.at_full)
        if best.brightness == watched.brightness:
            seen = watched.loads
        elif best.brightness == 1 and watched.full is not None:
            seen = watched.full
        else:
            frames, fps, levels = watched.frames, watched.fps, (best.brightness,)
            (seen,) = _watch(rig, show, frames, fps, levels, progress, pause)
        if best.brightness == 0 or not exceeds(rig.network, seen):
            return replace(best, at_full=at_full)


@dataclass(frozen=True)
class Cause:
    """What makes the peak of one supply."""

    run: str  # of the runs it feeds, the one that draws most
    run_a: float  # what that run draws, from all that feed it
    alone: bool  # no other supply feeds that run
    layer: int  # the layer, from 0, without which the peak would be lowest
    layer_a: float  # how much lower


def causes(watched: Scan) -> tuple[Cause | None, ...]:
    """Who makes the peak of each supply, in the house's order; None for one that gives nothing."""
    rig, show, network = watched.rig, watched.show, watched.rig.network
    peaks = np.array([use.peak_frame for use in watched.supplies], dtype=np.int64)
    if not len(peaks):
        return ()
    each = np.arange(len(peaks))
    run_a = np.where(network.feeds, watched.loads.run_a[peaks], -1.0)
    run = run_a.argmax(axis=1)
    peak_a = watched.loads.supply_a[peaks, each]
    saved = []
    for index in range(len(show.layers)):
        rest = replace(show, layers=show.layers[:index] + show.layers[index + 1 :])
        coded = on_wire(rig, rest, peaks / watched.fps, watched.brightness)
        saved.append(peak_a - loads(network, coded).supply_a[each, each])
    layer = np.argmax(saved, axis=0)
    return tuple(
        Cause(
            rig.house.runs[run[s]].name,
            float(run_a[s, run[s]]),
            bool(network.feeds[:, run[s]].sum() == 1),
            int(layer[s]),
            float(saved[layer[s]][s]),
        )
        if peak_a[s] > 0 and network.feeds[s].any()
        else None
        for s in each
    )


def _watch(
    rig: Rig,
    show: Show,
    frames: int,
    fps: float,
    levels: tuple[float, ...],
    progress: Progress | None,
    pause: Pause | None = None,
) -> tuple[Loads, ...]:
    """The loads of the first `frames` frames at each brightness, worked out block after block."""
    parts, done = [], 0
    for part in _blocks(rig, show, frames, fps, levels, pause):
        parts.append(part)
        done += len(part[0])
        if progress:
            progress(done, frames)
    return tuple(join(each) for each in zip(*parts, strict=True))


def blocks(
    rig: Rig,
    show: Show,
    frames: int,
    fps: float,
    brightness: float,
    pause: Pause | None = None,
) -> Iterator[Loads]:
    """The loads of `frames` frames, block after block, in order.

    With a `pause` each block is worked out in the smallest pieces that cost no more together, and
    it is called before each of them, on the thread that works.
    """
    for (part,) in _blocks(rig, show, frames, fps, (brightness,), pause):
        yield part


def _block_frames(rig: Rig) -> int:
    """How many frames of a house are worked on at once."""
    return _GROUP * max(1, _BLOCK_PIXELS // (_GROUP * len(rig.house.pixels)))


def _blocks(
    rig: Rig, show: Show, frames: int, fps: float, levels: tuple[float, ...], pause: Pause | None
) -> Iterator[tuple[Loads, ...]]:
    """As `blocks`, at each brightness of `levels`: colours are asked for once."""
    size = _block_frames(rig)
    piece = size if pause is None else _GROUP

    def watched(numbers: np.ndarray) -> tuple[Loads, ...]:
        times = numbers / fps
        wanted = asked(show, times, lay)
        coded = (codes_of(rig, show, times, wanted, level) for level in levels)
        return tuple(loads(rig.network, each) for each in coded)

    def work(first: int) -> tuple[Loads, ...]:
        last, parts = min(first + size, frames), []
        for begin in range(first, last, piece):
            if pause is not None:
                pause()
            parts.append(watched(np.arange(begin, min(begin + piece, last))))
        return parts[0] if len(parts) == 1 else tuple(map(join, zip(*parts, strict=True)))

    # Two are enough to keep both halves of a small machine busy; a short queue bounds memory and
    # lets an interrupt end after the blocks in hand.
    workers = min(2, os.cpu_count() or 1)
    waiting: deque[Future[tuple[Loads, ...]]] = deque()
    with ThreadPoolExecutor(workers) as pool:
        try:
            for first in range(0, frames, size):
                waiting.append(pool.submit(work, first))
                if len(waiting) > workers:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()
