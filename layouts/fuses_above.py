"""Which fuses stand between the supplies and a wire that has none of its own."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable
from dataclasses import replace
from math import fsum

from layouts.pieces import Point, point_of
from layouts.records import House, Wire, WireEnd
from layouts.wiring import connected

#: What hangs together by + without a fuse between: the number of a group, or a point alone.
Region = int | Point

#: Where all supplies are taken to be, and all that hangs on one without a fuse.
_SOURCE: Region = ("supply", "", 0)


def together_a(fused: Iterable[Wire]) -> float:
    """[A] that the fuses of these wires carry together without any of them having to open."""
    return fsum(wire.fuse_a or 0.0 for wire in fused)


def fuses_above(house: House, *, with_unfused: bool = False) -> list[tuple[Wire, tuple[Wire, ...]]]:
    """Wires without a fuse of their own, away from a supply, and the fused wires, in file order,
    that they stand behind.

    Unfused wires and the pieces of runs are taken to pass current on, so a fuse protects all that
    can be reached by + from its wire without passing another fuse or a cut. Where several fused
    wires feed one end of a wire, a short at its other end draws through all of them: what limits it
    is the sum of their ratings. (The copper of a strip limits it too; how much, nobody can rely
    on.) What feeds its other end does not pass through it then; of both ends the one with more is
    told. Of fuses in a row the least limits: told is the cut of least sum between the supplies and
    the end, of several the one nearest to it (max-flow min-cut: Ford and Fulkerson 1956 [from
    memory]).

    An end that a supply also feeds without any fuse stands behind none; `with_unfused` tells what
    it will stand behind once that feed has one: the fused wires from supplies that enter there.
    """
    found = []
    for wire in house.wires:
        if wire.fuse_a is None and "supply" not in (wire.start.kind, wire.end.kind):
            rest = replace(house, wires=tuple(each for each in house.wires if each is not wire))
            ends = [_feeding(rest, end, with_unfused) for end in (wire.start, wire.end)]
            if None in ends:
                continue
            above = max((each for each in ends if each is not None), key=together_a)
            if above:
                found.append((wire, above))
    return found


def _feeding(house: House, at: WireEnd, with_unfused: bool) -> tuple[Wire, ...] | None:
    """The fused wires whose sum is the most that the supplies can feed into a point of the + by
    the wires of `house`; None where an unfused one feeds it and that is to be told."""
    unfused = [wire for wire in house.wires if wire.fuse_a is None]
    fused = [wire for wire in house.wires if wire.fuse_a is not None]
    point = point_of(house)
    groups = connected(unfused, point)

    def region(end: WireEnd) -> Region:
        return groups.get(point(end), point(end))

    ends = [end for wire in house.wires for end in (wire.start, wire.end)]
    fed = {region(end) for end in ends if end.kind == "supply"}
    here = region(at)
    if here in fed:
        if not with_unfused:
            return None
        sides = [(w, s, e) for w in fused for s, e in ((w.start, w.end), (w.end, w.start))]
        return tuple(
            wire
            for wire, near, far in sides
            if near.kind == "supply" and far.kind != "supply" and region(far) == here
        )

    def node(end: WireEnd) -> Region:
        return _SOURCE if region(end) in fed else region(end)

    links = [(node(wire.start), node(wire.end), wire.fuse_a or 0.0) for wire in fused]
    return tuple(fused[number] for number in _least_cut(links, here))


def _least_cut(links: list[tuple[Region, Region, float]], sink: Region) -> list[int]:
    """Numbers of the links whose sum is the least that parts `sink` from the source.

    Links carry either way what their third figure says. Shortest augmenting paths.
    """
    left: list[dict[Region, float]] = []  # of each link, by the end it carries towards
    at: dict[Region, list[tuple[int, Region]]] = defaultdict(list)
    for number, (one, other, most) in enumerate(links):
        left.append({one: most, other: most})
        if one != other:
            at[one].append((number, other))
            at[other].append((number, one))

    def back_from_sink() -> dict[Region, tuple[int, Region]]:
        """By which link, and to which node next, the sink can still be reached from each node."""
        onwards: dict[Region, tuple[int, Region]] = {sink: (-1, sink)}
        queue = deque([sink])
        while queue:
            here = queue.popleft()
            for number, before in at[here]:
                if before not in onwards and left[number][here] > 0:
                    onwards[before] = (number, here)
                    queue.append(before)
        return onwards

    while _SOURCE in (onwards := back_from_sink()):
        path, here = [], _SOURCE
        while here != sink:
            number, there = onwards[here]
            path.append((number, here, there))
            here = there
        most = min(left[number][there] for number, _, there in path)
        for number, here, there in path:
            left[number][there] -= most
            left[number][here] += most
    return [n for n, (one, other, _) in enumerate(links) if (one in onwards) != (other in onwards)]
