"""The + of a run, in the pieces that its cuts leave."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from itertools import pairwise

from layouts.records import House, Run, WireEnd
from layouts.wiring import connected

#: A point of the + network: kind and name of a wire's end, and which piece of a run it is on.
Point = tuple[str, str, int]


def piece_of(run: Run, pad: int) -> int:
    """The piece that a pad of `run` belongs to, from 0.

    A pad beside a pixel is of the pixel's piece, the start of the first, the end of the last.
    """
    return bisect_right(run.cuts, min(max(pad - 1, 0), run.count - 1))


def piece_bounds(run: Run) -> tuple[tuple[int, int], ...]:
    """Of every piece its first position and the one behind its last, in the order of pieces."""
    return tuple(pairwise((0, *run.cuts, run.count)))


def point_of(house: House) -> Callable[[WireEnd], Point]:
    """What tells the point of the + network that a wire's end is on."""
    runs = {run.name: run for run in house.runs}

    def point(end: WireEnd) -> Point:
        piece = piece_of(runs[end.name], end.pad) if end.kind == "run" else 0
        return end.kind, end.name, piece

    return point


def joined(house: House) -> dict[Point, int]:
    """Which points hang together by their +: the number of the network of each."""
    return connected(house.wires, point_of(house))


def cuts_between(run: Run, before: int | None, behind: int | None) -> tuple[int, ...]:
    """The cuts that part the + of position `before` from that of `behind`, ascending.

    None stands for the start, or the end, of the run.
    """
    low = 0 if before is None else before
    high = run.count if behind is None else behind
    return tuple(cut for cut in run.cuts if low < cut <= high)


def supplies_of(house: House, run: Run, position: int) -> tuple[str, ...]:
    """The supplies whose + reaches a position of a run, by wires and by its own piece."""
    networks = joined(house)
    here = networks.get(("run", run.name, piece_of(run, position + 1)))
    if here is None:
        return ()
    return tuple(s.name for s in house.supplies if networks.get(("supply", s.name, 0)) == here)
