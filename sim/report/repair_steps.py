"""The steps of a repair in words, and what has to be at hand; what is joined, what stays open."""

from __future__ import annotations

from collections.abc import Iterator

from layouts import length_text
from layouts.conductors import bridge_conductors, data_conductors, rail_conductors
from layouts.pieces import supplies_of
from layouts.records import House, Kind, Run
from sim.circuit import build
from sim.parts import Parts
from sim.parts.pixels import on_one, strip_part
from sim.report.wording.conductors import conductors_text
from sim.upkeep.joins import (
    GapMended,
    PieceRenewed,
    WireFound,
    WireThere,
    data_from,
    data_to,
    gap_at,
    leaves_end,
    pieces_renewed,
)
from sim.upkeep.repair import HouseRepair, PixelSpan, PixelSpot, spans_of, spot_m


def steps(repair: HouseRepair, parts: Parts) -> list[str]:
    """What is done, in order; pieces are renewed first: no bridge goes onto an old pixel."""
    house = repair.before
    runs = dict.fromkeys(spot.run for spot in (*repair.cut_out, *repair.replaced))
    told = [_unplug(house, list(runs))]
    for piece in pieces_renewed(repair):
        told += _renew(repair.after, piece, parts)
    if repair.replaced:
        told.append(
            "New pixels may differ from those beside them, in white and in brightness: take them"
            " from what was left of the same reel or string. How far those of another batch lie"
            " off, `evenfall power HOUSE SCHEME --spread 1000` says under 'match'."
        )
    for gap, cut_out in _by_gap(repair).items():
        for span in cut_out:
            told.append(_take_out(repair.after, span))
        told += _close(repair.after, gap)
    told.append("Seal what was cut and soldered against water, and close the channel.")
    told.append("Look once more for bare metal and stray strands, then plug in again.")
    counts = [
        f"output {name} now has {after} pixels, not {before}"
        for name, before, after in counts_changed(repair)
    ]
    if counts:
        told.append(f"Set the controller: {'; '.join(counts)}.")
    told.append("Show one colour on all of it, and look for pixels that are dark or flicker.")
    return list(dict.fromkeys(told))


def parts_needed(repair: HouseRepair, parts: Parts) -> list[str]:
    """What has to be at hand."""
    needed = []
    gaps = [gap for gap in gaps_of(repair) if gap.before is not None and gap.behind is not None]
    if repair.cut_out or repair.replaced:
        needed.append("side cutters, solder or clamps for the pads, heat-shrink or sealant")
    if gaps:
        runs = [repair.after.run(gap.run) for gap in gaps]
        pieces = sum(
            len(bridge_conductors(run.kind, bool(gap.cuts)))
            for run, gap in zip(runs, gaps, strict=True)
        )
        long = max(
            ((gap.behind or 0) - (gap.before or 0)) * run.pitch_m
            for run, gap in zip(runs, gaps, strict=True)
        )
        length = length_text(long, repair.before.units)
        power = "−" if all(gap.cuts for gap in gaps) else "+ and −"
        needed.append(
            f"{pieces} pieces of wire, about {length} each, for {power} as thick as the"
            " strip's copper or leads allow"
        )
    for piece in pieces_renewed(repair):
        kind = repair.before.run(piece.span.run).kind
        needed.append(f"{_of(piece.span.count, kind, parts, repair.before)} for {piece.span.name}")
    return needed


def gaps_of(repair: HouseRepair) -> tuple[GapMended, ...]:
    """Every gap that something is cut out of, each once."""
    return tuple(_by_gap(repair))


def _by_gap(repair: HouseRepair) -> dict[GapMended, list[PixelSpan]]:
    """What is cut out, by the gap that it makes or widens."""
    found: dict[GapMended, list[PixelSpan]] = {}
    for span in spans_of(repair.cut_out):
        gap = gap_at(repair, PixelSpot(span.run, span.first))
        found.setdefault(gap, []).append(span)
    return found


def counts_changed(repair: HouseRepair) -> list[tuple[str, int, int]]:
    """(output, pixels before, pixels after) of those that change."""
    found = []
    for output in repair.before.outputs:
        before, after = (
            sum(house.run(name).present for name in output.chain)
            for house in (repair.before, repair.after)
        )
        if before != after:
            found.append((output.name, before, after))
    return found


def plus_open(house: House, run: Run, cuts: tuple[int, ...]) -> str:
    """That + is open at these cuts, of which there is one at least, and whose + it is."""
    at = " and ".join(f"{run.name}[{cut}]" for cut in cuts)
    one, other = (
        " and ".join(supplies_of(house, run, position)) for position in (cuts[0] - 1, cuts[-1])
    )
    whose = ""
    if one and other and one != other:
        whose = f" that of {one} is on one side, that of {other} on the other."
    elif one and other:
        whose = f" both sides are fed by {one}, each by a wire of its own."
    said = f"The + stays open here, for the house has it cut before {at}"
    return f"{said}:{whose}" if whose else f"{said}."


def _unplug(house: House, runs: list[str]) -> str:
    feeds = build(house).feeds
    of = [[run.name for run in house.runs].index(name) for name in runs]
    names = [s.name for s, fed in zip(house.supplies, feeds, strict=True) if fed[of].any()]
    every = f"supply {' and '.join(names)}" if names else "the supply"
    return f"Unplug {every} from the mains and the controller too; wait until all is dark."


def _take_out(house: House, span: PixelSpan) -> str:
    run = house.run(span.run)
    along_m, x_m, y_m = spot_m(house, PixelSpot(span.run, span.first))
    place = ", ".join(length_text(each, house.units) for each in (x_m, y_m))
    begins = "is" if span.count == 1 else "begins"
    where = (
        f"{span.name} {begins} {length_text(along_m, house.units)} along {span.run},"
        f" at {place} of the drawing"
    )
    cut = "on the cut marks before and behind it" if run.kind.mount == "strip" else "its leads"
    if run.kind.mount != "strip" and span.count > 1:
        cut = "the leads before and behind them"
    what = "the pixel" if span.count == 1 else f"the {span.count} pixels"
    return f"Open the channel: {where}. Cut {cut} and take {what} out."


def _close(house: House, gap: GapMended) -> Iterator[str]:
    """How a gap is joined, and where the wires go on that end in it."""
    yield from _join(house, house.run(gap.run), gap)
    for wire in gap.wires:
        yield f"Wire {wire.label} {_goes_on(gap, wire)}"


#: Where a wire is that ends in a gap, by what it is found joined to.
_FOUND: dict[WireFound, str] = {
    "pixel": "ends at this pixel",
    "start": "ends at the start of the run",
    "end": "ends at the end of the run",
    "bridge": "ended in this gap; it is on the old bridge, which goes",
    "beside": "ended in this gap; it is on a pixel that goes",
}


def _goes_on(gap: GapMended, wire: WireThere) -> str:
    """Where a wire is, and what it is joined to now."""
    beside = gap.behind if gap.before is None else gap.before
    bridged = gap.before is not None and gap.behind is not None
    bridge = "the new one" if wire.found in ("bridge", "none") else "the bridge"
    minus = bridge if bridged else f"the − of {gap.run}[{beside}]"
    if wire.found == "none":
        return (
            "ended in this gap, on a piece that had no pixel left before: leave its + as it is; if"
            f" its − is on the old bridge, join that to {minus}."
        )
    ends = _FOUND[wire.found]
    sides = [(wire.before, gap.before), (wire.behind, gap.behind)]
    there = [f"{gap.run}[{at}]" for goes, at in sides if goes and at is not None]
    if not there:
        return f"{ends}: {_on_none(wire.others, minus)}"
    if not bridged:
        return f"{ends}: join it to {there[0]}, + to + and − to −."
    if gap.cuts:
        return f"{ends}: join its + to that of {there[0]} alone, its − to {bridge}."
    return f"{ends}: join it to {bridge}."


def _on_none(others: tuple[str, ...], minus: str) -> str:
    """What becomes of a wire whose piece of the run has no pixel left."""
    if others:
        return (
            f"no pixel is left on its piece. Join its + to that of wire {' and '.join(others)}"
            f" alone, never to a piece beside, and its − to {minus}."
        )
    return (
        "no pixel is left on its piece. Take the wire off, or its fuse out, and insulate its +;"
        " never lead it to a piece beside."
    )


def _join(house: House, run: Run, gap: GapMended) -> Iterator[str]:
    """How the ends of a gap are joined."""
    before, behind = f"{run.name}[{gap.before}]", f"{run.name}[{gap.behind}]"
    if gap.before is not None and gap.behind is not None:
        power = "− to −" if gap.cuts else "+ to +, − to −"
        yield (
            f"Bridge the gap between {before} and {behind}: {power}, and {_data(run)} from the"
            f" output of {before} to the input of {behind}; mind the arrow."
        )
        apart = f"Do not join the + of {before} to that of {behind}; insulate the ends of both."
    elif gap.behind is not None:
        data = data_conductors(data_from(house, run), run.kind)
        came = conductors_text((*rail_conductors(bool(gap.cuts)), *data))
        yield f"Solder what came to the start, {came}, to the input side of {behind}."
        apart = f"Do not join the + that came to the start to {behind}; insulate it."
    elif not leaves_end(house, run):
        yield f"{run.name} now ends with {before}; nothing goes on behind it."
        apart = f"Do not join the + of what was behind it to {before}; insulate it."
    else:
        onward = data_to(house, run)
        data = data_conductors(run.kind, onward) if onward else ()
        left = conductors_text((*rail_conductors(bool(gap.cuts)), *data))
        left += " alone" * bool(gap.cuts)
        yield (
            f"{run.name} now ends with {before}; solder what left the end, {left}, to its output"
            " side."
        )
        apart = f"Do not join the + that left the end to {before}; insulate it."
    if gap.cuts:
        yield f"{plus_open(house, run, gap.cuts)} {apart}"


def _data(run: Run) -> str:
    return conductors_text(data_conductors(run.kind, run.kind))


def _renew(house: House, piece: PieceRenewed, parts: Parts) -> Iterator[str]:
    """How a piece is exchanged: a joint at each end, but where something beside is cut out."""
    run, span = house.run(piece.span.run), piece.span
    strip = run.kind.mount == "strip"
    first_m, last_m = (
        length_text(spot_m(house, PixelSpot(span.run, at))[0], house.units)
        for at in (span.first, span.last)
    )
    for label in piece.wires:
        yield f"Wire {label} is joined to what goes: mark its + and − and take it off."
    if span.count > 1:
        where = f"{span.name}, from {first_m} to {last_m} along {span.run}"
        new = _of(span.count, run.kind, parts, house)
        marks = "on the cut marks before and behind them" if strip else "the leads at both ends"
        way = "solder in" if strip else "splice or plug in"
        turned = "arrow in the data's direction" if strip else "input towards the controller"
        how = (
            f"cut {marks} and take the {span.count} pixels out in one length; {way} {new},"
            f" {turned}{_joints(run, piece)}."
        )
    else:
        where = f"{span.name}, {first_m} along {span.run}"
        how = (
            "cut the old pixel out on its cut marks, solder a piece of the same strip in, arrow in"
            " the data's direction."
            if strip
            else "cut the old pixel out, put a new node in its place, input towards the controller."
        )
    yield f"Open the channel: {where}; {how}"
    if strip and run.kind.leds_per_pixel > 1:
        leds = run.kind.leds_per_pixel
        yield f"Cut between pixels only: one pixel of {run.kind.name} is {leds} LEDs, cut as one."
    for label in piece.wires:
        yield f"Join wire {label} to the new pixel in the same place, + to + and − to −."
    first, last = f"{span.run}[{span.first}]", f"{span.run}[{span.last}]"
    for side, later in (
        (f"input side of {first}", piece.by_gap[0]),
        (f"output side of {last}", piece.by_gap[1] and piece.leaves),
    ):
        if later:
            yield f"Join nothing to the {side} yet: that comes with what is cut out beside it."
    if piece.before is None and not piece.by_gap[0]:
        wires = _wires(piece.start)
        yield f"What came to the start{wires} goes to the input side of {first}."
    if piece.behind is None and piece.leaves and not piece.by_gap[1]:
        wires = _wires(piece.end)
        yield f"What left the end{wires} goes to the output side of {last}."
    yield from _stays_open(house, run, piece)


def _wires(labels: tuple[str, ...]) -> str:
    return f", wire {' and '.join(labels)} among it," if labels else ""


def _joints(run: Run, piece: PieceRenewed) -> str:
    """How many joints a piece of several pixels has of its own, and what is joined there."""
    if not piece.joints:
        return ""
    many = "a joint at each end" if piece.joints == 2 else "one joint"
    if piece.cuts_before or piece.cuts_behind:
        return f"; {many}"
    return f"; {many}, of {conductors_text(bridge_conductors(run.kind, cut=False))}"


def _stays_open(house: House, run: Run, piece: PieceRenewed) -> Iterator[str]:
    """Where the + of a new piece is not joined, or is cut as that of the old one was."""
    span = piece.span
    start = "the start" if piece.before is None else f"{span.run}[{piece.before}]"
    end = "the end" if piece.behind is None else f"{span.run}[{piece.behind}]"
    sides = (
        (piece.cuts_before, start, f"{span.run}[{span.first}]"),
        (piece.cuts_behind, f"{span.run}[{span.last}]", end),
    )
    for (cuts, one, other), by_gap in zip(sides, piece.by_gap, strict=True):
        if cuts and not by_gap:
            yield (
                f"Between {one} and {other} join"
                f" {conductors_text(bridge_conductors(run.kind, cut=True))} alone."
                f" {plus_open(house, run, cuts)} Do not join the + of one to that of the other."
            )
    for cut in piece.cuts_within:
        yield (
            f"Cut the + of the new piece between {span.run}[{cut - 1}] and {span.run}[{cut}]"
            f" before it is put up, as that of the old one was. {plus_open(house, run, (cut,))}"
        )


def _of(count: int, kind: Kind, parts: Parts, house: House) -> str:
    """So many pixels of a kind as they are cut from what is sold: one piece, or more."""
    if count == 1:
        return f"1 pixel of {kind.name} ({kind.mount})"
    pieces = -(-count // on_one(kind, strip_part(kind, parts)))
    what = "a piece" if pieces == 1 else f"{pieces} pieces, joined,"
    length = length_text(count * kind.pitch_m, house.units)
    return f"{what} of {count} pixels of {kind.name} ({kind.mount}, {length})"
