"""Sentences about data lines: levels that are not read, leads, edges."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from layouts.units import length_text
from sim.report.text import number


def _into(found: Finding) -> str:
    told = found.detail
    sender = "the port" if told["from_port"] else f"the pixel before pixel {told['pixel']}"
    dark = " while the house is dark" if told["dark"] else ""
    return f"from {sender} into pixel {told['pixel']} of run {told['run']}{dark}"


def _data_high(found: Finding) -> str:
    told, lacking = found.detail, -(found.value or 0.0)
    reads = f"which reads a one from {told['high_v']:.2f} V up at its {told['vdd_v']:.2f} V"
    begin = f"output {found.where}: a one {_into(found)}, {reads}, is {lacking:.2f} V too low"
    if told["from_port"]:
        return (
            f"{begin} with {told['logic_v']:g} V logic; put a buffer with 5 V output and inputs for"
            " 3.3 V (74HCT or 74AHCT) at the port, or a spare pixel at the start whose + goes"
            " through a diode"
        )
    return f"{begin}; add a feed before it, or thicker wire"


def _data_low(found: Finding) -> str:
    return (
        f"output {found.where}: a zero {_into(found)} is {-(found.value or 0.0):.2f} V too high,"
        f" over the {found.detail['low_v']:.2f} V up to which it is read; use a heavier − between"
        " the two" + _common(found)
    )


def _data_over(found: Finding) -> str:
    return (
        f"output {found.where}: a one {_into(found)} is {-(found.value or 0.0):.2f} V higher than"
        f" {found.detail['beyond_v']:g} V above that pixel's own supply, more than an input bears;"
        " lose less on the way: add a feed before it, or use a heavier + and −" + _resistor(found)
    )


def _data_under(found: Finding) -> str:
    return (
        f"output {found.where}: a zero {_into(found)} is {-(found.value or 0.0):.2f} V lower than"
        f" {found.detail['beyond_v']:g} V below that pixel's own −, more than an input bears; use a"
        " heavier − to it" + _common(found) + _resistor(found)
    )


def _common(found: Finding) -> str:
    if not found.detail["from_port"]:
        return ""
    return ", and join the controller's − to that of the supply beside the data lead"


def _resistor(found: Finding) -> str:
    return ", with 33 to 100 Ω in the line at the port" if found.detail["from_port"] else ""


def _length(found: Finding, metres: float | None) -> str:
    return length_text(metres or 0.0, found.detail["units"])


def _data_lead(found: Finding) -> str:
    return (
        f"the data lead of output {found.where} is {_length(found, found.value)} long; for"
        f" {found.detail['kind']} {_length(found, found.limit)} is the most unaided: move the"
        " controller nearer, put a repeater pixel on the way, or send it over a differential pair"
    )


def _data_lead_bare(found: Finding) -> str:
    return (
        f"the data lead of output {found.where} is {_length(found, found.value)} long; above"
        f" {_length(found, found.limit)} put 33 to 100 Ω in the line at the port and lay a − wire"
        " beside it"
    )


def _data_edges(found: Finding) -> str:
    return (
        f"{number(found.value or 0.0)} Ω and {_length(found, found.detail['length_m'])} of lead"
        f" round off the bits of output {found.where}; take at most"
        f" {number(found.limit or 0.0)} Ω, 33 to 100 Ω on a long lead, or a shorter one"
    )


def _data_logic_unknown(found: Finding) -> str:
    return (
        f"output {found.where} does not say what its port gives for a one, so the margin into its"
        " first pixel is not known; add 'logic_v: 3.3' or 'logic_v: 5'"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "data-high": _data_high,
    "data-low": _data_low,
    "data-over": _data_over,
    "data-under": _data_under,
    "data-lead": _data_lead,
    "data-lead-bare": _data_lead_bare,
    "data-edges": _data_edges,
    "data-logic-unknown": _data_logic_unknown,
}
