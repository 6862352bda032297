"""Sentences about what a parts file lacks."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from layouts.ratings import rating_text
from sim.parts.lines import sold_text
from sim.report.lengths import laid_text


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
        f"data cable to the first pixel is left out of this list for {where}: the house file does"
        f" not say how long it is; write lead: {{wire: 22 AWG, length: {example}}}, with its own"
        f" length, in {place}"
    )


def _data_gaps(found: Finding) -> str:
    told, far_m = found.detail, found.value or 0.0
    gaps, straight, units = told["gaps"], told["straight"], told["units"]
    many = "one gap" if gaps == 1 else f"{gaps} gaps"
    whose = f"output{'s' if told['outputs'] > 1 else ''} {found.where}"
    beside = gaps - straight
    ways = []
    if straight:
        slack = laid_text(told["slack_m"], units)
        ways.append(
            f"{_of(straight, gaps)}straight on the drawing, from the last pixel of one run to the"
            " first of the next" + (f", and {slack} more at each end" if told["slack_m"] else "")
        )
    if beside:
        same = "as long as the power wire that joins the same ends, whose − serves it too"
        ways.append(f"{_of(beside, gaps)}{same}")
    said = [
        f"data wire from run to run of {whose} is counted over {many}, {laid_text(far_m, units)}:"
        f" {'; '.join(ways)}"
    ]
    if straight:
        said.append(
            "ways up, down, forward and round corners are not in it: measure before cutting"
        )
    if told["unsaid"]:
        size = (
            f"as {told['size']}, the thinnest of the parts file"
            if told["size"]
            else "without a size"
        )
        said.append(f"it is listed {size}: no lead of {told['unsaid']} says which wire")
    return "; ".join(said)


def _of(some: int, all_: int) -> str:
    """How many, where it is not all of them."""
    return "" if some == all_ else "one " if some == 1 else f"{some} "


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
    "parts-data-gaps": _data_gaps,
    "parts-no-controller": _no_controller,
    "parts-unlisted": _unlisted,
    "parts-wire-joined": _wire_joined,
    "parts-no-supply": _no_supply,
}
