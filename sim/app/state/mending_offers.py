"""What can break at a place, in plain words. Pure.

Every offer is a fault that `evenfall fault` takes from a file: the sheet of the window offers
nothing that the model refuses.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layouts import House, Run
from layouts.faults import Fault
from sim.app.state.mending_record import MendingTrial, TypedValue
from sim.app.state.touch_record import Thing

#: Colours that a pixel can be stuck at, as codes.
STUCK: tuple[tuple[str, tuple[int, int, int]], ...] = (
    ("white", (255, 255, 255)),
    ("red", (255, 0, 0)),
    ("green", (0, 255, 0)),
    ("blue", (0, 0, 255)),
)


@dataclass(frozen=True)
class BreakOffer:
    """One thing that can break, and what it is called there."""

    label: str
    fault: Fault


@dataclass(frozen=True)
class OfferGroup:
    """Offers of one place; `value` is what can be typed for them."""

    title: str
    offers: tuple[BreakOffer, ...]
    value: TypedValue | None = None


def groups_of(house: House, thing: Thing, pixel: int | None, on: MendingTrial) -> list[OfferGroup]:
    """All that can break of a thing; of a run at `pixel` of the house."""
    if thing.form == "supply":
        return list(_of_supply(house, thing.index, on)) if thing.index < len(house.supplies) else []
    if thing.form == "wire":
        return list(_of_wire(house, thing.index, on)) if thing.index < len(house.wires) else []
    if thing.index >= len(house.runs):
        return []
    run = house.runs[thing.index]
    at = min(max((pixel if pixel is not None else run.first) - run.first, 0), run.count - 1)
    return list(_of_run(house, run, at, on))


def _of_run(house: House, run: Run, at: int, on: MendingTrial) -> Iterator[OfferGroup]:
    name = run.name
    if at not in run.missing:
        yield OfferGroup(
            "The pixel itself",
            (
                BreakOffer("dark, passes data on", Fault("dark", name, at)),
                BreakOffer("dead: no light, no data", Fault("dead", name, at)),
                *(BreakOffer(f"stuck {word}", Fault("stuck", name, at, colour=colour))
                  for word, colour in STUCK),
                BreakOffer("data garbled from here on", Fault("garbage", name, at)),
            ),
        )  # fmt: skip
        short = Fault("short", name, at, ohm=on.short_ohm)
        yield OfferGroup("+ and − touch at it", (BreakOffer("short", short),), "short")
    where = f"Between pixels {at - 1} and {at}" if at else "Before it, at the start of the run"
    yield from _between(house, run, at, where, on)
    if at == run.count - 1:
        yield from _between(house, run, run.count, "Behind it, at the end of the run", on)


def _between(house: House, run: Run, at: int, where: str, on: MendingTrial) -> Iterator[OfferGroup]:
    name = run.name
    powered = carries(house, run, at)
    offers = []
    if powered:
        offers.append(BreakOffer("+ open", Fault("open", name, at, "plus")))
        offers.append(BreakOffer("− open", Fault("open", name, at, "minus")))
    if at < run.count and at not in run.missing:
        offers.append(BreakOffer("data open", Fault("open", name, at, "data")))
    if offers:
        yield OfferGroup(where, tuple(offers))
    if powered:
        yield OfferGroup("A wet or loose joint there", _joints(Fault("joint", name, at), on),
                         "joint")  # fmt: skip


def carries(house: House, run: Run, at: int) -> bool:
    """Whether + and − run on before a position of a run: between pixels, or to a wired pad."""
    if 0 < at < run.count:
        return at not in run.cuts
    number = 0 if at == 0 else run.count + 1
    ends = (end for wire in house.wires for end in (wire.start, wire.end))
    return any(e.kind == "run" and e.name == run.name and e.pad == number for e in ends)


def _joints(of: Fault, on: MendingTrial) -> tuple[BreakOffer, ...]:
    made = []
    for label, conductor in (("in both", None), ("in +", "plus"), ("in −", "minus")):
        fault = Fault("joint", of.run, of.position, conductor, of.wire, ohm=on.joint_ohm)  # type: ignore[arg-type]
        made.append(BreakOffer(label, fault))
    return tuple(made)


def _of_wire(house: House, index: int, on: MendingTrial) -> Iterator[OfferGroup]:
    wire = house.wires[index]
    offers = [
        BreakOffer("+ open", Fault("open", conductor="plus", wire=index)),
        BreakOffer("− open", Fault("open", conductor="minus", wire=index)),
    ]
    if wire.fuse_a is not None:
        offers.append(BreakOffer(f"fuse of {wire.fuse_a:g} A blown", Fault("blown", wire=index)))
    yield OfferGroup("The wire itself", tuple(offers))
    yield OfferGroup("A wet or loose joint in it", _joints(Fault("joint", wire=index), on), "joint")
    if wire.end.kind != "supply" or wire.start.kind != "supply":
        short = Fault("short", wire=index, ohm=on.short_ohm)
        yield OfferGroup("+ and − touch at its end", (BreakOffer("short", short),), "short")


def _of_supply(house: House, index: int, on: MendingTrial) -> Iterator[OfferGroup]:
    supply = house.supplies[index]
    yield OfferGroup(
        "The supply itself",
        (
            BreakOffer("off: gives nothing", Fault("off", supply=supply.name)),
            BreakOffer("goes off and on (hiccup)",
                       Fault("hiccup", supply=supply.name, on_s=0.1, pause_s=0.9)),
        ),
    )  # fmt: skip
    volts = round(supply.volts * on.sag_share, 2)
    sag = Fault("sag", supply=supply.name, volts=volts)
    yield OfferGroup("It sags", (BreakOffer("gives only that", sag),), "sag")


def same_place(one: Fault, other: Fault) -> bool:
    """Whether two faults are the same thing broken there, however bad."""
    names = ("kind", "run", "position", "conductor", "wire", "supply", "colour")
    return all(getattr(one, name) == getattr(other, name) for name in names)


def fits(fault: Fault, house: House) -> bool:
    """Whether a house can have a fault, as another house on show may not."""
    if fault.supply is not None:
        found = [s for s in house.supplies if s.name == fault.supply]
        return bool(found) and (fault.volts or 0.0) <= found[0].volts
    if fault.wire is not None:
        if fault.wire >= len(house.wires):
            return False
        wire = house.wires[fault.wire]
        if fault.kind == "short":
            return wire.end.kind != "supply" or wire.start.kind != "supply"
        return fault.kind != "blown" or wire.fuse_a is not None
    run = next((run for run in house.runs if run.name == fault.run), None)
    at = fault.position or 0
    if run is None or at > run.count:
        return False
    if fault.kind in ("open", "joint") and fault.conductor != "data":
        return carries(house, run, at)
    return at < run.count and at not in run.missing
