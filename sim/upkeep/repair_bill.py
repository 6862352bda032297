"""What a repair takes and costs, by the parts file: bridges, joints, plugs, pixels, work."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.records import Kind
from sim.parts import BillLine, MaterialBill, Parts
from sim.parts.bridging import bridge_lines, bridges_of
from sim.parts.lines import listed, together
from sim.parts.pixels import on_one, strip_part
from sim.upkeep.mending import mending
from sim.upkeep.repair import HouseRepair, PixelSpot


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
            f"what came to {listed(ends)}",
        )  # fmt: skip
    pads = _pads(repair)
    if pads:
        plug = parts.feed_plug
        yield BillLine("feed plug", plug.part, len(pads), "piece", plug.price, listed(pads))
    for kind, names in _replaced(repair).items():
        part = strip_part(kind, parts)
        price = None if part.price is None else part.price / on_one(kind, part)
        share = f"{listed(names)}; a share of one {kind.mount}"
        name = part.part or kind.name
        yield BillLine("pixel", name, len(names), "pixel", price, share)
        if kind.mount == "strip":
            purpose = f"both ends of {listed(names)}"
            yield BillLine("strip joint", joint.part, 2 * len(names), "piece", joint.price, purpose)
        else:
            plug = parts.data_plug
            purpose = f"before and behind {listed(names)}"
            yield BillLine("data plug", plug.part, 2 * len(names), "piece", plug.price, purpose)


def _work(repair: HouseRepair, parts: Parts) -> Iterator[BillLine]:
    """Hours, as the least that mending one spot takes; neighbours are one spot."""
    for spots, what in ((repair.cut_out, "cutting out"), (repair.replaced, "exchanging")):
        there = {(spot.run, spot.position) for spot in spots}
        begun = [spot for spot in spots if (spot.run, spot.position - 1) not in there]
        kinds = [repair.before.run(spot.run).kind for spot in begun]
        minutes = sum(mending(kind, parts).minutes[0] for kind in kinds)
        if minutes:
            purpose = f"{listed(spot.name for spot in spots)}, with ladder, drying and sealing"
            hours = round(minutes / 60, 2)
            yield BillLine("work", what, hours, "h", parts.work.hourly, purpose)


def _moved_ends(repair: HouseRepair) -> list[str]:
    """Ends of runs that are soldered to another pixel now."""
    found = []
    for before, after in zip(repair.before.runs, repair.after.runs, strict=True):
        if before.ends[0] != after.ends[0]:
            found.append(f"{before.name}.start")
        if before.ends[1] != after.ends[1]:
            found.append(f"{before.name}.end")
    return found


def _pads(repair: HouseRepair) -> list[str]:
    """Wires that end at a pixel that is cut out."""
    gone = {(spot.run, spot.position + 1) for spot in repair.cut_out}
    return [
        end.text
        for wire in repair.before.wires
        for end in (wire.start, wire.end)
        if end.kind == "run" and (end.name, end.pad) in gone
    ]


def _replaced(repair: HouseRepair) -> dict[Kind, list[str]]:
    found: dict[Kind, list[PixelSpot]] = {}
    for spot in repair.replaced:
        found.setdefault(repair.before.run(spot.run).kind, []).append(spot)
    return {kind: [spot.name for spot in spots] for kind, spots in found.items()}
