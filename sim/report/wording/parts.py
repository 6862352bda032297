"""Sentences about what a parts file lacks."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from layouts.ratings import rating_text
from sim.parts.lines import sold_text


def _no_outputs(_found: Finding) -> str:
    return (
        "the house file has no outputs: controllers and data plugs are not counted; add 'outputs'"
    )


def _no_lead(found: Finding) -> str:
    one = found.detail["outputs"] == 1
    where = f"output {found.where}" if one else f"outputs {found.where}"
    place = "that output" if one else "each of these outputs"
    example = "6 ft" if found.detail["units"] in ("ft", "in") else "2 m"
    return (
        f"data cable is left out of this list for {where}: the house file does not say how long"
        f" the lead to the first pixel is; write lead: {{wire: 22 AWG, length: {example}}}, with"
        f" its own length, in {place}"
    )


def _no_controller(found: Finding) -> str:
    return (
        f"output '{found.where}' has {found.value:.0f} pixels and no controller of the parts file"
        f" more than {found.limit:.0f}: it has no price; add a row for it"
    )


def _unlisted(found: Finding) -> str:
    return (
        f"the parts file has no {found.detail['what']} '{found.where}': usual quantities count,"
        " without a price; add a row for it"
    )


def _wire_joined(found: Finding) -> str:
    return (
        f"{found.where} is longer than the longest reel of {found.detail['size']},"
        f" {sold_text(found.limit or 0.0)}, and would be joined; write a longer reel in the parts"
        " file, or move the supply nearer"
    )


def _no_supply(found: Finding) -> str:
    amps = rating_text(found.detail["volts"], found.value or 0.0)
    return (
        f"the parts file has no supply of {found.detail['volts']:g} V and {amps} or"
        " more: this one has no price; add a row for it"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "parts-no-outputs": _no_outputs,
    "parts-no-lead": _no_lead,
    "parts-no-controller": _no_controller,
    "parts-unlisted": _unlisted,
    "parts-wire-joined": _wire_joined,
    "parts-no-supply": _no_supply,
}
