"""What a repair joins anew: gaps bridged, pieces soldered in; and what stays open there.

A cut of a run opens its + and nothing else; − and data go through. It is a boundary between two
positions, and positions stay when a pixel is cut out: a cut at the edge of a gap, or inside it, is
an open + over the whole gap. Joining it would join the + of two supplies, or two fused pieces.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from layouts.pieces import cuts_between, piece_bounds, piece_of
from layouts.records import House, Kind, Run, Wire
from sim.upkeep.repair import HouseRepair, PixelSpan, PixelSpot, neighbours, spans_of

#: What a wire in a gap is joined to before the repair: a pixel that goes now, the start or the end
#: of the run; where its own pixel was cut out earlier, an old bridge, or the pixel that became the
#: first or the last of the run then; or none, for its piece had no pixel.
WireFound = Literal["pixel", "start", "end", "bridge", "beside", "none"]


@dataclass(frozen=True)
class WireThere:
    """A wire that ends at a pixel which goes: which neighbours its + is to go on with."""

    label: str
    before: bool
    behind: bool
    others: tuple[str, ...]  # the labels of those that end in the gap on the same piece of +
    found: WireFound


@dataclass(frozen=True)
class GapMended:
    """A gap between two pixels that are there; None at the start and at the end of a run."""

    run: str
    before: int | None
    behind: int | None
    cuts: tuple[int, ...]  # + stays open over it
    wires: tuple[WireThere, ...]


@dataclass(frozen=True)
class PieceRenewed:
    """A piece that takes the place of an old one, with the pixels beside it."""

    span: PixelSpan
    before: int | None
    behind: int | None
    cuts_before: tuple[int, ...]  # + stays open at its first joint
    cuts_within: tuple[int, ...]
    cuts_behind: tuple[int, ...]
    wires: tuple[str, ...]  # labels of those that end at its pixels
    start: tuple[str, ...]  # of those that end at the start of the run, where it is that
    end: tuple[str, ...]
    by_gap: tuple[bool, bool]  # whether something cut out beside it makes its joint there
    leaves: bool  # whether anything goes on behind it

    @property
    def joints(self) -> int:
        """Joints of its own: one of a new bridge, or of an end that moved, is told with that."""
        return (not self.by_gap[0]) + (self.leaves and not self.by_gap[1])


def gap_at(repair: HouseRepair, spot: PixelSpot) -> GapMended:
    """The gap that a pixel that is cut out is in."""
    house = repair.after
    run = house.run(spot.run)
    before, behind = neighbours(house, spot)
    low = 0 if before is None else before + 2
    high = run.count + 1 if behind is None else behind
    beside = [None if at is None else piece_of(run, at + 1) for at in (before, behind)]
    ends = [(wire, pad, piece_of(run, pad)) for wire, pad in _ending(house, run.name, low, high)]
    wires = []
    for wire, pad, here in ends:
        others = tuple(w.label for w, _, piece in ends if piece == here and w is not wire)
        if 1 <= pad <= run.count or here not in beside:
            found = _found(repair.before, run.name, pad)
            wires.append(WireThere(wire.label, here == beside[0], here == beside[1], others, found))
    return GapMended(run.name, before, behind, cuts_between(run, before, behind), tuple(wires))


def _found(before: House, name: str, pad: int) -> WireFound:
    run = before.run(name)
    if not has_pixel_on_piece(run, pad):
        return "none"
    if not 1 <= pad <= run.count:
        return "start" if pad < 1 else "end"
    if run.has_pixel[pad - 1]:
        return "pixel"
    return "beside" if None in neighbours(before, PixelSpot(name, pad - 1)) else "bridge"


def has_pixel_on_piece(run: Run, pad: int) -> bool:
    """Whether a pixel is left on the piece of + that a pad of a run is on."""
    first, end = piece_bounds(run)[piece_of(run, pad)]
    return bool(run.has_pixel[first:end].any())


def pieces_renewed(repair: HouseRepair) -> tuple[PieceRenewed, ...]:
    """Every piece that is soldered in, neighbours as one."""
    return tuple(_renewed(repair, span) for span in spans_of(repair.replaced))


def _renewed(repair: HouseRepair, span: PixelSpan) -> PieceRenewed:
    house = repair.after
    run = house.run(span.run)
    before, _ = neighbours(house, PixelSpot(span.run, span.first))
    _, behind = neighbours(house, PixelSpot(span.run, span.last))
    start = _labels(house, run.name, 0, 0) if before is None else ()
    end = _labels(house, run.name, run.count + 1, run.count + 1) if behind is None else ()
    out = {spot.position for spot in repair.cut_out if spot.run == span.run}
    by_gap = (
        not out.isdisjoint(range(0 if before is None else before + 1, span.first)),
        not out.isdisjoint(range(span.last + 1, run.count if behind is None else behind)),
    )
    leaves = behind is not None or leaves_end(house, run)
    return PieceRenewed(
        span,
        before,
        behind,
        cuts_between(run, before, span.first),
        cuts_between(run, span.first, span.last),
        cuts_between(run, span.last, behind),
        _labels(house, run.name, span.first + 1, span.last + 1),
        start,
        end,
        by_gap,
        leaves,
    )


def data_from(house: House, run: Run) -> Kind | None:
    """The kind of the run that data comes from to the start of this one; None: from no run."""
    return _beside(house, run, -1)


def data_to(house: House, run: Run) -> Kind | None:
    """The kind of the run that data goes on to from the end of this one; None: to no run."""
    return _beside(house, run, 1)


def leaves_end(house: House, run: Run) -> bool:
    """Whether a wire, or data for another run, is soldered to the end of a run."""
    wires = _labels(house, run.name, run.count + 1, run.count + 1)
    return bool(wires) or data_to(house, run) is not None


def _beside(house: House, run: Run, step: int) -> Kind | None:
    for output in house.outputs:
        if run.name in output.chain:
            at = output.chain.index(run.name) + step
            return house.run(output.chain[at]).kind if 0 <= at < len(output.chain) else None
    return None


def _labels(house: House, run: str, first: int, last: int) -> tuple[str, ...]:
    return tuple(wire.label for wire, _ in _ending(house, run, first, last))


def _ending(house: House, run: str, first: int, last: int) -> Iterator[tuple[Wire, int]]:
    """Wires that end at pads `first` to `last` of a run, and the pad."""
    for wire in house.wires:
        for end in (wire.start, wire.end):
            if end.kind == "run" and end.name == run and first <= end.pad <= last:
                yield wire, end.pad
