"""What a repair takes and costs, by the parts file: bridges, joints, plugs, pixels, work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layouts.records import Kind
from sim.parts import BillLine, MaterialBill, Parts
from sim.parts.bridging import bridge_lines, bridges_of
from sim.parts.lines import listed, together
from sim.parts.pixels import on_one, strip_part
from sim.upkeep.joins import PieceRenewed, has_pixel_on_piece, leaves_end, pieces_renewed
from sim.upkeep.mending import mending
from sim.upkeep.repair import HouseRepair, PixelSpan, spans_of


def repair_bill(repair: HouseRepair, parts: Parts) -> MaterialBill:
    """The bill of a repair; what the parts file does not price has no price."""
    lines = together((*_materials(repair, parts), *_work(repair, parts)))
    return MaterialBill(repair.before.name, parts, lines, (), (), repair.before.units)


def _materials(repair: HouseRepair, parts: Parts) -> Iterator[BillLine]:
    bridges = []
    for run in repair.after.runs:
        own = [spot.position for spot in repair.cut_out if spot.run == run.name]
        for each in bridges_of(run, parts):
            if any(each.before < position < each.behind for position in own):
                bridges.append(each)
    yield from bridge_lines(bridges, parts)
    joint = parts.strip_joint
    ends = _moved_ends(repair)
    if ends:
        yield BillLine(
            "strip joint", joint.part, len(ends), "piece", joint.price,
            listed(ends),
        )  # fmt: skip
    pads = _pads(repair)
    if pads:
        plug = parts.feed_plug
        yield BillLine("feed plug", plug.part, len(pads), "piece", plug.price, listed(pads))
    for kind, pieces in _renewed(repair).items():
        part = strip_part(kind, parts)
        many = on_one(kind, part)
        price = None if part.price is None else part.price / many
        pixels = sum(piece.span.count for piece in pieces)
        names = listed(piece.span.name for piece in pieces)
        share = f"{names}; a share of one {kind.mount}"
        if pixels > many:
            share = f"{names}; shares of {kind.mount}s of {many} pixels"
        name = part.part or kind.name
        yield BillLine("pixel", name, pixels, "pixel", price, share)
        joints = sum(piece.joints + (piece.span.count - 1) // many for piece in pieces)
        if not joints:
            continue
        both = "both " if all(piece.joints == 2 for piece in pieces) else ""
        if kind.mount == "strip":
            yield BillLine(
                "strip joint", joint.part, joints, "piece", joint.price, f"{both}ends of {names}"
            )
        else:
            plug = parts.data_plug
            purpose = f"before and behind {names}"
            yield BillLine("data plug", plug.part, joints, "piece", plug.price, purpose)


def _work(repair: HouseRepair, parts: Parts) -> Iterator[BillLine]:
    """Hours: the least that mending one spot takes, and what is more than one spot.

    Neighbours are one spot, with two joints. More are the length that is put up, cuts of its +,
    joints where it is longer than what is sold, and wires that are joined to it again.
    """
    minutes = sum(_spot_min(repair, span, parts) for span in spans_of(repair.cut_out))
    yield from _hours(minutes, "cutting out", spans_of(repair.cut_out), parts)
    pieces = pieces_renewed(repair)
    minutes = sum(_piece_min(repair, piece, parts) for piece in pieces)
    yield from _hours(minutes, "exchanging", [piece.span for piece in pieces], parts)


def _hours(
    minutes: float, what: str, spans: Sequence[PixelSpan], parts: Parts
) -> Iterator[BillLine]:
    if minutes:
        purpose = f"{listed(span.name for span in spans)}, with ladder, drying and sealing"
        yield BillLine("work", what, round(minutes / 60, 2), "h", parts.work.hourly, purpose)


def _spot_min(repair: HouseRepair, span: PixelSpan, parts: Parts) -> float:
    return mending(repair.before.run(span.run).kind, parts).minutes[0]


def _piece_min(repair: HouseRepair, piece: PieceRenewed, parts: Parts) -> float:
    kind, work = repair.before.run(piece.span.run).kind, parts.work
    more = (piece.span.count - 1) // on_one(kind, strip_part(kind, parts)) + len(piece.wires)
    return (
        _spot_min(repair, piece.span, parts)
        + work.metre_min * (piece.span.count - 1) * kind.pitch_m
        + work.cut_min * len(piece.cuts_within)
        + work.joint_min * more
    )


def _moved_ends(repair: HouseRepair) -> list[str]:
    """Ends of runs that are soldered to another pixel now."""
    found = []
    for before, after in zip(repair.before.runs, repair.after.runs, strict=True):
        if before.ends[0] != after.ends[0]:
            found.append(f"what came to {before.name}.start")
        if before.ends[1] != after.ends[1] and leaves_end(repair.before, before):
            found.append(f"what left {before.name}.end")
    return found


def _pads(repair: HouseRepair) -> list[str]:
    """Wires that are joined anew: they end at a pixel that is cut out or exchanged.

    One whose piece of the run has no pixel left is joined to nothing.
    """
    gone = {(spot.run, spot.position + 1) for spot in (*repair.cut_out, *repair.replaced)}
    return [
        end.text
        for wire in repair.before.wires
        for end in (wire.start, wire.end)
        if end.kind == "run"
        and (end.name, end.pad) in gone
        and has_pixel_on_piece(repair.after.run(end.name), end.pad)
    ]


def _renewed(repair: HouseRepair) -> dict[Kind, list[PieceRenewed]]:
    found: dict[Kind, list[PieceRenewed]] = {}
    for piece in pieces_renewed(repair):
        found.setdefault(repair.before.run(piece.span.run).kind, []).append(piece)
    return found
