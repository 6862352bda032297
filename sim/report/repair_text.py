"""What `repair` tells: the steps, with cautions, and what has to be set anew in the controller."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from layouts import length_text
from layouts.records import House
from sim.circuit import build
from sim.parts import MaterialBill
from sim.parts.bridging import conductors
from sim.upkeep.repair import HouseRepair, Moved, PixelSpot, neighbours, spot_m

from .blocks import Block, Cautions, Listed, Table, Title, columns, note, row, section, spans, words
from .cautions import MENDING, WIRING
from .parts_data import line_json
from .parts_text import bill_blocks


def repair_blocks(repair: HouseRepair, bill: MaterialBill) -> Iterator[Block]:
    """The repair as a person reads it, with what it costs."""
    house = repair.before
    done = [f"cut out {spot.name}" for spot in repair.cut_out]
    done += [f"replace {spot.name}" for spot in repair.replaced]
    yield Title(spans((", ".join(done), "strong"), f" of {house.name}"))
    yield section("Cautions", Cautions((*MENDING, *WIRING)))
    yield section("Steps", Listed(tuple(spans(step) for step in steps(repair))))
    yield section("Parts", Listed(tuple(spans(part) for part in parts_needed(repair))))
    yield section("Prices", *bill_blocks(bill))
    if repair.cut_out:
        yield section("Addresses", *_addresses(repair))
        yield section("What stays", words("zones, feeds, cuts and schemes: positions keep theirs"))
    advice = spares(repair)
    if advice:
        yield section("Spare pixels", *(words(each) for each in advice))


def as_json(repair: HouseRepair, bill: MaterialBill, wrote: str | None) -> dict[str, Any]:
    """The repair as plain data. Fields are stable; later versions only add."""
    return {
        "house": repair.before.name,
        "cut_out": [spot.name for spot in repair.cut_out],
        "replaced": [spot.name for spot in repair.replaced],
        "steps": steps(repair),
        "parts": parts_needed(repair),
        "bill": {
            "currency": bill.parts.currency or None,
            "total": bill.total,
            "lines": [line_json(line) for line in bill.lines],
        },
        "outputs": [
            {"output": name, "pixels_before": before, "pixels": after}
            for name, before, after in _counts(repair)
        ],
        "moved": [
            {
                "run": each.run,
                "first": each.first,
                "last": each.last - 1,
                "output": each.output,
                "before": _address(each.before),
                "after": _address(each.after),
            }
            for each in repair.moved
        ],
        "spares": spares(repair),
        "history": [{"date": each.date, "what": each.what} for each in repair.history],
        "cautions": [*MENDING, *WIRING],
        "wrote": wrote,
    }


def steps(repair: HouseRepair) -> list[str]:
    """What is done, in order."""
    house = repair.before
    runs = dict.fromkeys(spot.run for spot in (*repair.cut_out, *repair.replaced))
    told = [_unplug(house, list(runs))]
    for spot in repair.cut_out:
        told += _cut_out(repair.after, spot)
    for spot in repair.replaced:
        told += _replace(house, spot)
    told.append("Seal what was cut and soldered against water, and close the channel.")
    told.append("Look once more for bare metal and stray strands, then plug in again.")
    counts = [
        f"output {name} now has {after} pixels, not {before}"
        for name, before, after in _counts(repair)
    ]
    if counts:
        told.append(f"Set the controller: {'; '.join(counts)}.")
    told.append("Show one colour on all of it, and look for pixels that are dark or flicker.")
    return list(dict.fromkeys(told))


def parts_needed(repair: HouseRepair) -> list[str]:
    """What has to be at hand."""
    needed = []
    gaps = _gaps(repair)
    if repair.cut_out:
        needed.append("side cutters, solder or clamps for the pads, heat-shrink or sealant")
    if gaps:
        pieces = sum(conductors(repair.after.run(name).kind) for name, _, _ in gaps)
        long = max((b - a) * repair.after.run(name).pitch_m for name, a, b in gaps)
        length = length_text(long, repair.before.units)
        needed.append(
            f"{pieces} pieces of wire, about {length} each, for + and − as thick as the"
            " strip's copper or leads allow"
        )
    for spot in repair.replaced:
        kind = repair.before.run(spot.run).kind
        needed.append(f"1 pixel of {kind.name} ({kind.mount}) for {spot.name}")
    return needed


def _gaps(repair: HouseRepair) -> list[tuple[str, int, int]]:
    """(run, pixel before, pixel behind) of every gap that is bridged, each once."""
    found = []
    for spot in repair.cut_out:
        before, behind = neighbours(repair.after, spot)
        if before is not None and behind is not None:
            found.append((spot.run, before, behind))
    return list(dict.fromkeys(found))


def spares(repair: HouseRepair) -> list[str]:
    """Advice on pixels that are there to be lost."""
    told = []
    first = {output.chain[0]: output.name for output in repair.before.outputs}
    for spot in repair.cut_out:
        run = repair.after.run(spot.run)
        leading = not any(run.has_pixel[: spot.position])
        if leading and spot.run in first:
            behind = neighbours(repair.after, spot)[1]
            told.append(
                f"{spot.run}[{behind}] is now the first pixel on output {first[spot.run]}, the one"
                " that a surge in the data lead takes. A spare pixel in the box at the port, on a"
                " short lead, with 33 to 100 Ω before it, is quicker to exchange than one on a"
                " ladder; lay a few of the kind aside"
            )
    return list(dict.fromkeys(told))


def _unplug(house: House, runs: list[str]) -> str:
    feeds = build(house).feeds
    of = [[run.name for run in house.runs].index(name) for name in runs]
    names = [s.name for s, fed in zip(house.supplies, feeds, strict=True) if fed[of].any()]
    every = f"supply {' and '.join(names)}" if names else "the supply"
    return f"Unplug {every} from the mains and the controller too; wait until all is dark."


def _cut_out(house: House, spot: PixelSpot) -> list[str]:
    run = house.run(spot.run)
    along_m, x_m, y_m = spot_m(house, spot)
    place = ", ".join(length_text(each, house.units) for each in (x_m, y_m))
    where = (
        f"{spot.name} is {length_text(along_m, house.units)} along {spot.run},"
        f" at {place} of the drawing"
    )
    cut = "on the cut marks before and behind it" if run.kind.mount == "strip" else "its leads"
    told = [f"Open the channel: {where}. Cut {cut} and take the pixel out."]
    before, behind = neighbours(house, spot)
    gap = f"{spot.run}[{before}] and {spot.run}[{behind}]"
    if before is not None and behind is not None:
        backup = " and the second data line" if run.kind.backup_data else ""
        told.append(
            f"Bridge the gap between {gap}: + to +, − to −, and data{backup} from the output of"
            f" {spot.run}[{before}] to the input of {spot.run}[{behind}]; mind the arrow."
        )
    elif behind is not None:
        told.append(
            f"Solder what came to the start, + and − and data, to the input side of"
            f" {spot.run}[{behind}]."
        )
    else:
        told.append(
            f"{spot.run} now ends with {spot.run}[{before}]; solder what left the end to its output"
            " side."
        )
    pads = [
        wire.label
        for wire in house.wires
        for end in (wire.start, wire.end)
        if end.kind == "run" and end.name == spot.run and end.pad == spot.position + 1
    ]
    told += [f"Wire {label} ends at this pixel: join it to the bridge." for label in pads]
    return told


def _replace(house: House, spot: PixelSpot) -> list[str]:
    run = house.run(spot.run)
    along_m = length_text(spot_m(house, spot)[0], house.units)
    way = (
        "solder a piece of the same strip in, arrow in the data's direction"
        if run.kind.mount == "strip"
        else "put a new node in its place, input towards the controller"
    )
    return [f"{spot.name}, {along_m} along {spot.run}: cut the old pixel out, {way}."]


def _addresses(repair: HouseRepair) -> Iterator[Block]:
    if not repair.moved:
        yield note("no pixel behind it is on an output: nothing moves")
        return
    rows = (
        row(
            f"{each.run}[{each.first}:{each.last}]",
            each.output,
            str(each.before[0] + 1),
            str(each.after[0] + 1),
            _slot(each.before),
            _slot(each.after),
        )
        for each in _shown(repair.moved)
    )
    heads = ("pixels", "output", ">number was", ">is", ">universe:slot was", ">is")
    yield Table(columns(*heads), tuple(rows))
    rest = len(repair.moved) - len(_shown(repair.moved))
    if rest:
        yield note(f"and {rest} more stretches; --json has them all")


#: So many stretches are told.
_MOST = 12


def _shown(moved: tuple[Moved, ...]) -> tuple[Moved, ...]:
    return moved[:_MOST]


def _slot(numbers: tuple[int, int, int]) -> str:
    return f"{numbers[1]}:{numbers[2]}" if numbers[1] else "–"


def _address(numbers: tuple[int, int, int]) -> dict[str, int | None]:
    place, universe, slot = numbers
    return {"number": place + 1, "universe": universe or None, "slot": slot or None}


def _counts(repair: HouseRepair) -> list[tuple[str, int, int]]:
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
