"""Faults in plain words, and sentences about what a broken house does."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.faults import HICCUP_S, Fault
from layouts.finding import Finding
from layouts.ratings import amps_rated
from layouts.records import House
from sim.report.text import amps, number

_CONDUCTORS = {"plus": "+", "minus": "−", "data": "data"}


def fault_label(fault: Fault, house: House) -> str:
    """A fault as a person says it: "pixel 3 of gable is dead"."""
    return _LABELS[fault.kind](fault, house)


def _pixel(fault: Fault) -> str:
    return f"pixel {fault.position} of {fault.run}"


def _before(fault: Fault, house: House) -> str:
    """Where a conductor breaks."""
    if fault.wire is not None:
        return f"in wire {house.wires[fault.wire].label}"
    if fault.position == 0:
        return f"at the start of {fault.run}"
    if fault.position == house.run(str(fault.run)).count:
        return f"at the end of {fault.run}"
    return f"before pixel {fault.position} of {fault.run}"


def _stuck(fault: Fault, _house: House) -> str:
    colour = "#{:02x}{:02x}{:02x}".format(*(fault.colour or (255, 255, 255)))
    return f"{_pixel(fault)} is stuck at {colour}"


def _joint(fault: Fault, house: House) -> str:
    ohm = f"{number(fault.ohm or 0.0)} Ω"
    of = f"{_CONDUCTORS[fault.conductor]} of {ohm}" if fault.conductor else f"+ and −, {ohm} each,"
    return f"a bad joint of {of} {_before(fault, house)}"


def _short(fault: Fault, house: House) -> str:
    where = f"at {_pixel(fault)}"
    if fault.wire is not None:
        where = f"at the end of wire {house.wires[fault.wire].label}"
    return f"+ and − touch {where} ({number(fault.ohm or 0.0)} Ω)"


def _hiccup(fault: Fault, _house: House) -> str:
    on_s, pause_s = fault.on_s or HICCUP_S[0], fault.pause_s or HICCUP_S[1]
    return f"supply {fault.supply} goes off and on: {on_s:g} s on, {pause_s:g} s off"


_LABELS: Mapping[str, Callable[[Fault, House], str]] = {
    "dark": lambda fault, _: f"{_pixel(fault)} gives no light and passes data on",
    "dead": lambda fault, _: f"{_pixel(fault)} is dead",
    "stuck": _stuck,
    "open": lambda fault, house: (
        f"{_CONDUCTORS[fault.conductor or 'plus']} is open {_before(fault, house)}"
    ),
    "joint": _joint,
    "short": _short,
    "blown": lambda fault, house: (
        f"the fuse of wire {house.wires[fault.wire or 0].label} has opened"
    ),
    "off": lambda fault, _: f"supply {fault.supply} gives nothing",
    "sag": lambda fault, _: f"supply {fault.supply} gives only {fault.volts:g} V",
    "hiccup": _hiccup,
    "garbage": lambda fault, _: f"data is garbled from {_pixel(fault)} on",
}


def _fuse_opens(found: Finding) -> str:
    return (
        f"the fuse of {found.limit:g} A in wire {found.where} opens; find what drew"
        " the current before you put in another of the same rating"
    )


def _supply_trips(found: Finding) -> str:
    rated = amps_rated(found.limit or 0.0)
    return (
        f"supply {found.where} is asked for more than any of {rated} A gives; it goes off"
        " and on, and no fuse opens: unplug it and find the short"
    )


def _short_hot(found: Finding) -> str:
    return (
        f"{number(found.value or 0.0)} W turn to heat at {found.where}, where + and − touch, and"
        f" no fuse opens at {amps(found.detail['amps'])}: unplug it now"
    )


def _joint_hot(found: Finding) -> str:
    told = found.detail
    each = " and ".join(
        f"{number(told[f'{name}_w'])} W in {_CONDUCTORS[name]} ({number(told['ohm'])} Ω at"
        f" {amps(told[f'{name}_a'])})"
        for name in ("plus", "minus")
        if f"{name}_a" in told
    )
    return (
        f"{found.where}: {number(found.value or 0.0)} W turn to heat in it, {each}, which can"
        " char a joint; make it anew"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "fuse-opens": _fuse_opens,
    "supply-trips": _supply_trips,
    "short-hot": _short_hot,
    "joint-hot": _joint_hot,
}
