"""Sentences about what nobody has measured yet, and what measuring it would give."""

from __future__ import annotations

from layouts.catalogue import spread_factors
from sim.spread.unknowns import Unknown

_HOW = {
    "wire_ohm": "send a known current through a length of wire {part} and measure the drop",
    "rail_ohm": "send a known current along one metre of strip ({part}) and measure the drop in"
    " both rails",
    "supply_v": "measure the volts of {part} at its output with a meter",
    "supply_droop": "measure the volts of {part} idle and under load",
    "efficiency": "measure the watts before and after {part}",
    "current": "measure the current of one metre of strip ({part}), all channels full",
    "flux": "hold a lux meter before one metre of strip ({part}), its {channel} alone",
    "vf": "turn down a bench supply until the {channel} of {part} begins to fade",
}
_CHANNELS = {"r": "red", "g": "green", "b": "blue", "w": "white", "c": "second white"}


def unknown_in_words(unknown: Unknown | None) -> str:
    """`resistance of the rails, ws2815`."""
    if unknown is None:
        return "each pixel's own, and what bends"
    return f"{spread_factors()[unknown.factor].what}, {unknown.part}"


def measuring(unknown: Unknown, figure: str, before: str, after: str) -> str:
    """What to measure, and how far the band of a figure shrinks."""
    kind, _, channel = unknown.factor.partition("_")
    how = _HOW.get(unknown.factor) or _HOW[kind]
    said = how.format(part=unknown.part, channel=_CHANNELS.get(channel, ""))
    return f"{said}: the band of {figure} shrinks from {before} to {after}"
