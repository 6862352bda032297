"""What `repair` tells: the steps, with cautions, and what has to be set anew in the controller."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sim.parts import MaterialBill
from sim.upkeep.repair import HouseRepair, Moved, neighbours, spans_of

from .blocks import Block, Cautions, Listed, Table, Title, columns, note, row, section, spans, words
from .cautions import MENDING, WIRING
from .parts_data import line_json
from .parts_text import bill_blocks
from .repair_steps import counts_changed, parts_needed, steps


def repair_blocks(repair: HouseRepair, bill: MaterialBill) -> Iterator[Block]:
    """The repair as a person reads it, with what it costs."""
    house = repair.before
    done = [f"cut out {spot.name}" for spot in spans_of(repair.cut_out)]
    done += [f"replace {spot.name}" for spot in spans_of(repair.replaced)]
    yield Title(spans((", ".join(done), "strong"), f" of {house.name}"))
    yield section("Cautions", Cautions((*MENDING, *WIRING)))
    yield section("Steps", Listed(tuple(spans(step) for step in steps(repair, bill.parts))))
    yield section("Parts", Listed(tuple(spans(part) for part in parts_needed(repair, bill.parts))))
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
        "steps": steps(repair, bill.parts),
        "parts": parts_needed(repair, bill.parts),
        "bill": {
            "currency": bill.parts.currency or None,
            "total": bill.total,
            "lines": [line_json(line) for line in bill.lines],
        },
        "outputs": [
            {"output": name, "pixels_before": before, "pixels": after}
            for name, before, after in counts_changed(repair)
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
