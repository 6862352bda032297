"""Why each thing of a plan is there, and what a plan finds, in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from layouts.finding import Finding
from layouts.ratings import rating_text
from sim.report.lengths import laid_text
from sim.report.text import apart

if TYPE_CHECKING:
    from sim.plan.why import Why

_COLOURS = {"r": "red", "g": "green", "b": "blue", "w": "white", "c": "cool white"}


def _unfed(why: Why) -> str:
    first, last = why.detail["first"], why.detail["last"]
    fed = f"{first}, which draws" if first == last else f"{first} to {last}, which draw"
    return f"nothing else feeds {fed} {why.value:.1f} A"


def _colour(why: Why) -> str:
    lost = listed([_COLOURS[name] for name in why.detail["channels"]])
    got, least = apart(why.value or 0.0, why.limit or 0.0, 2)
    return (
        f"without it {why.detail['at']} gets {got} V and loses {lost}, which"
        f" {'need' if len(why.detail['channels']) > 1 else 'needs'} {least} V"
    )


def _drop(why: Why) -> str:
    share = 1 - (why.limit or 0) / why.detail["supply_v"]
    got, least = apart(why.value or 0.0, why.limit or 0.0, 2)
    return (
        f"without it {why.detail['at']} gets {got} V, less than the"
        f" {least} V that a drop of {share:.0%} leaves"
    )


def _data(why: Why) -> str:
    got, least = apart(why.value or 0.0, why.limit or 0.0, 2)
    return f"without it {why.detail['at']} gets {got} V; below {least} V its data is not trusted"


def _fuse(why: Why) -> str:
    carried, most = apart(why.value or 0.0, why.limit or 0.0, 1)
    return (
        f"without it the fuse of {why.detail['fuse_a']:g} A to {why.detail['at']} would carry"
        f" {carried} A, more than the {most} A it carries for hours"
    )


def _wire(why: Why) -> str:
    carried, most = apart(why.value or 0.0, why.limit or 0.0, 1)
    return (
        f"without it the wire to {why.detail['at']} would carry {carried} A, more than the"
        f" {most} A it carries for hours"
    )


def _short(why: Why) -> str:
    driven, least = apart(why.value or 0.0, why.limit or 0.0, 1)
    return (
        f"without it a short at the far end of what {why.detail['at']} feeds drives"
        f" {driven} A of the {least} A that open its fuse of"
        f" {why.detail['fuse_a']:g} A within seconds"
    )


def _joined(why: Why) -> str:
    first, second = why.detail["supplies"]
    return f"the + of {first} and {second} are never joined"


def _serves(why: Why) -> str:
    rated = rating_text(why.detail["volts"], why.detail["rated_a"])
    return (
        f"feeds {listed(list(why.detail['runs']))}: {why.value:.1f} A at the peak, of the"
        f" {why.limit:.1f} A that {rated} rated are for hours"
    )


def _saves(why: Why) -> str:
    return (
        f"one wire of {why.detail['wire']} past {why.detail['taps']} taps saves"
        f" {_money(why)} against a wire of its own to each"
    )


def _cheaper(why: Why) -> str:
    if (why.value or 0) <= 0:
        return "nothing breaks without it on this line alone; the whole house asks for it"
    return f"without it larger fuses hold the limits, for {_money(why)} more"


def _limits(_why: Why) -> str:
    return "without it no fuse and wire that can be bought keeps the limits"


def _money(why: Why) -> str:
    return f"{why.value:.2f}{f' {why.unit}' if why.unit else ''}"


def listed(names: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


#: Of every code of `sim.plan.why`, what makes its sentence.
WHY: Mapping[str, Callable[[Why], str]] = {
    "unfed": _unfed,
    "colour": _colour,
    "drop": _drop,
    "data": _data,
    "fuse": _fuse,
    "wire": _wire,
    "short": _short,
    "joined": _joined,
    "serves": _serves,
    "saves": _saves,
    "cheaper": _cheaper,
    "limits": _limits,
}


def why_sentence(why: Why) -> str:
    """What happens without the element; raises KeyError for a code that has no wording."""
    return WHY[why.code](why)


def why_briefly(why: Why) -> str:
    """The same in a few words, for a table."""
    at = why.detail.get("at", "")
    match why.code:
        case "unfed":
            return "its only feed"
        case "colour":
            return f"{_COLOURS[why.detail['channels'][-1]]} at {at}"
        case "drop" | "data":
            return f"{why.value:.2f} V at {at}"
        case "fuse" | "wire":
            return f"{why.value:.1f} A to {at}"
        case "short":
            return f"short behind {at}"
        case _:
            return "price"


def _wire_bay(found: Finding) -> str:
    detail = found.detail
    units = detail["units"]
    wide = f", {detail['side_mm']:g} mm wide, too little for one" if detail["wide"] else ""
    return (
        f"from {laid_text(detail['start_m'], units)} to {laid_text(detail['end_m'], units)} of run"
        f" {found.where} the wires"
        f" planned take {found.value:.1f} mm², beside the pixels {detail['profile']} has"
        f" {found.limit:.1f} mm²{wide}; lay them outside the channel there, or take a profile with"
        " more room"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {"wire-bay": _wire_bay}
