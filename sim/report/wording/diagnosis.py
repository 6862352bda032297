"""Causes, tests and repairs in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from layouts.conductors import bridge_conductors
from layouts.faults import Fault
from layouts.pieces import cuts_between
from layouts.records import House
from layouts.sightings import LOOKS, Sighting
from sim.report.wording.conductors import conductors_text
from sim.report.wording.faults import fault_label
from sim.upkeep.diagnosis import NextTest, Suspect, repair_kind
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.repair import PixelSpot, neighbours

#: So many other causes are named beside the first.
_MOST = 4


@dataclass(frozen=True)
class RepairSteps:
    """What to do about a cause, in steps, and what to have at hand."""

    steps: tuple[str, ...]
    parts: tuple[str, ...]


def cause_label(cause: Breakage, house: House) -> str:
    """A cause as a person says it."""
    if cause.parts:
        return " and ".join(cause_label(each, house) for each in cause.parts)
    fault = cause.faults[0]
    if cause.kind == "output":
        return f"output {house.outputs[cause.output].name} of the controller sends nothing"
    if cause.kind == "common-minus":
        output = house.outputs[cause.output].name
        return f"the − of the controller at output {output} is not joined to that of its supply"
    if fault.kind in ("joint", "short", "sag"):
        return _more_or_less(cause, fault, house)
    return fault_label(fault, house)


def _more_or_less(cause: Breakage, fault: Fault, house: House) -> str:
    """Faults of which how bad they are is not known."""
    if fault.kind == "sag":
        return f"supply {fault.supply} gives too little, about {fault.volts:.2g} V"
    what = "a bad joint" if fault.kind == "joint" else "+ and − touch"
    if fault.wire is not None:
        return f"{what}, wire {house.wires[fault.wire].label}"
    if cause.last > cause.first:
        return f"{what}, {fault.run} between pixels {cause.first} and {cause.last}"
    side = "before" if fault.kind == "joint" else "at"
    return f"{what}, {fault.run} {side} pixel {cause.first}"


def suspect_label(suspect: Suspect, house: House) -> str:
    """A suspect: its most probable cause; what cannot be told from it says `others_label`."""
    return cause_label(suspect.causes[0], house)


def others_label(suspect: Suspect, house: House) -> str:
    """What cannot be told from the first cause of a suspect; "" if nothing."""
    first = suspect_label(suspect, house)
    labels = [cause_label(cause, house) for cause in suspect.causes[1:]]
    named = [label for label in dict.fromkeys(labels) if label != first]
    if not named:
        return ""
    more = f", and {len(named) - _MOST} more" if len(named) > _MOST else ""
    return f"not told apart from it: {'; '.join(named[:_MOST])}{more}"


def seen_label(seen: Sighting) -> str:
    """A sighting in a few words."""
    during = "" if seen.during == "scheme" else f" ({seen.during})"
    if seen.what in LOOKS:
        return f"{seen.text} {seen.what}{during}"
    if seen.what == "volts":
        return f"{seen.value:g} V at {seen.text}{during}"
    if seen.what == "ohms":
        return f"{seen.value:g} Ω at {seen.text}, unplugged"
    if seen.what == "watts":
        return f"{seen.value:g} W at the wall{during}"
    if seen.what == "fuse":
        return f"fuse of {seen.text} {seen.then}"
    if seen.what == "new_fuse":
        return f"new fuse of {seen.text} {seen.then}"
    if seen.what == "continuity":
        return f"{_CONDUCTORS[str(seen.conductor)]} at {seen.text} {seen.then}"
    return f"{seen.what} {seen.text}: {seen.then}{during}"


def result_label(seen: Sighting) -> str:
    """What came of a test, short enough for a picture."""
    if seen.what == "volts":
        return f"{seen.value:.2f} V"
    if seen.what == "ohms":
        return f"{seen.value:.2f} Ω"
    if seen.what == "continuity":
        return f"{_CONDUCTORS[str(seen.conductor)]} {seen.then}"
    names = {"swap": "other port", "fuse": "fuse", "new_fuse": "new fuse", "bridge": "bridged"}
    return f"{names.get(seen.what, seen.what)}: {seen.then}"


_CONDUCTORS = {"plus": "+", "minus": "−", "data": "data"}
_SHOWING = {"scheme": "while the scheme is shown", "white": "with every pixel white at half"}


#: A + that nothing feeds has the volts of the − that it touches, and − rises away from the supply.
_BELOW_ZERO = (
    ", red probe on +, black on −: below 0 the + there is dead, and touches the − nearer to a"
    " supply, along the −, than where you measure"
)


def test_label(test: NextTest) -> str:
    """What to do next, and what stays as it is meanwhile."""
    if not test.fuses_out:
        return _what_to_do(test)
    fuses = " and ".join(test.fuses_out)
    one = "the fuse of wire" if len(test.fuses_out) == 1 else "the fuses of wires"
    return (
        f"{_what_to_do(test)}; leave {one} {fuses} out: no new one before it is clear why it blew"
    )


def _what_to_do(test: NextTest) -> str:
    during = _SHOWING.get(test.during, "with nothing shown")
    if test.test == "look":
        where = "the whole house" if test.at == "all" else test.at
        return f"look at {where} {during}"
    if test.test == "volts":
        volts = f"measure the volts between + and − at {test.at} {during}"
        below = any(each.result.startswith("-") for each in test.outcomes)
        return f"{volts}{_BELOW_ZERO}" if below else volts
    if test.test == "ohms":
        return (
            f"unplug everything, wait a minute, and measure the ohms between + and − at {test.at}"
            " with four leads: a bench supply held to 1 A and 1 V, its volts over its amperes"
        )
    if test.test == "watts":
        return f"read the watts at the wall {during}"
    if test.test == "fuse":
        return f"unplug, and look at the fuse of wire {test.at}"
    if test.test == "new_fuse":
        return (
            f"measure ohms behind the fuse of wire {test.at}, unplugged; put in a new one of the"
            " same rating, once, and see whether it holds"
        )
    if test.test == "continuity":
        what = _CONDUCTORS[str(test.conductor)]
        if "→" in test.at:
            return (
                f"unplug, take one end of wire {test.at} off, and check the continuity of its"
                f" {what} from end to end, fuse included"
            )
        return (
            f"unplug, take off the feed beyond, and check the continuity of {what} into {test.at}"
            " from the pixel or wire before it"
        )
    if test.test == "swap":
        return (
            f"unplug, put the data lead of output {test.at} on a port that works, plug in and look"
        )
    return (
        f"unplug, lead data to {test.at} from the last pixel that works with a short wire, plug in,"
        " and look whether it lights"
    )


_NEEDS = {
    "look": "needs nothing but eyes",
    "fuse": "needs nothing but eyes",
    "swap": "needs no instrument",
    "bridge": "needs no instrument, but a short wire",
    "new_fuse": "needs a multimeter, and a fuse of the same rating",
    "watts": "needs a plug-in power meter",
    "ohms": "needs a bench supply, a multimeter and four leads, borrowed if need be",
}


def needs_label(test: NextTest) -> str:
    """What instrument a test needs."""
    return _NEEDS.get(test.test, "needs a multimeter")


def worth_label(test: NextTest, open_bits: float) -> str:
    """What a test is worth, beside what is open, in answers that each halve what it may be."""
    return (
        f"worth {test.gain_bits:.1f} yes-or-no answers, on average, of the {open_bits:.1f} that it"
        f" takes to know which it is; about {test.cost:g} min"
    )


def no_test_label(why: str, suspect: str) -> str:
    """Why there is no next test."""
    if why == "sure":
        return f"no test needed: {suspect}"
    return "no test known here tells the rest apart"


_UNPLUG = "switch the lights off and unplug every supply that feeds the place"
_CHECK = "plug in, show white at half, look at the whole house, and measure the volts behind"


def repair_of(suspect: Suspect, house: House) -> RepairSteps:
    """The repair of the most probable cause of a suspect."""
    steps: list[str] = [_UNPLUG]
    parts: list[str] = []
    for cause in suspect.causes[0].singles:
        found = _REPAIRS[repair_kind(cause.kind)]
        where = cause.faults[0]
        place = f"{where.run}[{where.position}]" if where.run else (where.supply or "")
        if where.wire is not None:
            place = house.wires[where.wire].label
        rating = house.wires[where.wire].fuse_a if where.wire is not None else None
        fuse = f"{rating:g} A" if rating is not None else ""
        cuts = _cuts_beside(cause, house)
        joined = ""
        if where.run is not None:
            joined = conductors_text(bridge_conductors(house.run(where.run).kind, bool(cuts)))
            joined += " alone" * bool(cuts)
        steps += [step.format(place=place, fuse=fuse, joined=joined) for step in found.steps]
        if cuts:
            at = " and ".join(f"{where.run}[{cut}]" for cut in cuts)
            steps.append(f"leave the + open before {at}, where the house has it cut: never join it")
        parts += [part.format(fuse=fuse) for part in found.parts]
    return RepairSteps((*steps, _CHECK), tuple(dict.fromkeys(parts)))


#: Repairs that touch no + of a run.
_WITHOUT_PLUS = ("garbage", "open-data", "output", "common-minus")


def _cuts_beside(cause: Breakage, house: House) -> tuple[int, ...]:
    """Where the + of a run is cut at the place that a repair opens and joins again."""
    fault = cause.faults[0]
    if fault.run is None or repair_kind(cause.kind) in _WITHOUT_PLUS:
        return ()
    run = house.run(fault.run)
    before = neighbours(house, PixelSpot(run.name, cause.first))[0]
    behind = neighbours(house, PixelSpot(run.name, min(cause.last, run.count - 1)))[1]
    return cuts_between(run, before, behind)


_PIXEL = RepairSteps(
    (
        "cut pixel {place} out behind the last pad that is whole, and solder or plug in a new one"
        " with its arrow the way data goes",
        "without a new one: bridge {joined} over the gap, and let `evenfall repair` move"
        " the addresses",
    ),
    ("a pixel of the same kind, or bridge wire", "solder, heat-shrink, sealant for the cut"),
)
_JOINT = RepairSteps(
    (
        "open the joint at {place}; dry it, cut back to bright copper",
        "make it anew, soldered or crimped, and seal it against water",
    ),
    ("solder or crimp splices", "heat-shrink with glue, sealant"),
)
_SUPPLY = RepairSteps(
    (
        "leave supply {place} unplugged for a minute; disconnect its DC side",
        "plug it in alone and measure: right without load, look for a short before you join it"
        " again; wrong, replace it with one of the same volts and at least its amperes",
    ),
    ("a supply of the same volts",),
)
_REPAIRS: Mapping[str, RepairSteps] = {
    "dead": _PIXEL,
    "dark": _PIXEL,
    "stuck": _PIXEL,
    "garbage": RepairSteps(
        (
            "renew the data joint before {place}, and its − beside it",
            "if it stays: a new pixel before it, a buffer or a shorter lead",
        ),
        ("solder, heat-shrink", "a pixel of the same kind", "a buffer"),
    ),
    "open-data": RepairSteps(
        ("renew the data conductor into {place}: plug, pads, wire",),
        ("data wire", "solder, heat-shrink"),
    ),
    "open": RepairSteps(
        ("find the break at {place} by its continuity, and bridge it with wire of its size",),
        ("wire of the same size", "solder, heat-shrink"),
    ),
    "joint": _JOINT,
    "short": RepairSteps(
        (
            "part the run or wire at {place} and measure ohms between + and − on both sides",
            "cut out what is shorted, dry what is wet, and replace it; only then renew the fuse",
        ),
        ("strip or string of the same kind", "a fuse of the rating in the house file"),
    ),
    "blown": RepairSteps(
        (
            "before the new fuse: measure ohms between + and − behind it; near 0, look for the"
            " short first",
            "put in a fuse of {fuse}, never a larger one",
        ),
        ("a blade fuse of {fuse}",),
    ),
    "off": _SUPPLY,
    "sag": _SUPPLY,
    "hiccup": _SUPPLY,
    "output": RepairSteps(
        (
            "move the data lead to another port, and say so in the controller",
            "put a spare pixel before the run, so that the next surge ends there",
        ),
        ("a free port, or a controller",),
    ),
    "common-minus": RepairSteps(
        ("join the − of the controller to the − of the supply that feeds the first pixel",),
        ("wire",),
    ),
}
