"""Sentences about cold and heat."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from sim.report.text import apart_percent


def _kind(found: Finding) -> str:
    value, limit = found.value or 0.0, found.limit or 0.0
    side = "colder" if value < limit else "hotter"
    return (
        f"{found.where} is rated to {limit:g} °C and {value:g} °C is {side}: it may work, nobody"
        " promises it; take a kind rated for it, or keep it dark then"
    )


def _warms_itself(found: Finding) -> str:
    low, high = found.detail["rise"]
    return (
        f"in air of {found.detail['celsius']:g} °C the strip of {found.where} warms itself by"
        f" {low:.0f} to {high:.0f} K, to {found.value:.0f} °C at most; {found.detail['kind']} is"
        f" rated to {found.limit:g} °C: dim it, or take a channel with more metal"
    )


def _jacket(found: Finding) -> str:
    cold = (found.value or 0.0) < (found.limit or 0.0)
    if found.where == "wire":
        return (
            f"ordinary PVC wire stiffens below {found.limit:g} °C and cracks when it is moved;"
            " lay it warmer than 4 °C, or take wire with a jacket for the cold"
            if cold
            else f"ordinary wire is for {found.limit:g} °C at most; take silicone or XLPE"
        )
    return (
        f"small plugs are rated to {found.limit:g} °C: do not unplug them at {found.value:g} °C,"
        " their latches break"
        if cold
        else f"small plugs are rated to {found.limit:g} °C; move them where it is cooler"
    )


def _cold_start(found: Finding) -> str:
    return (
        f"supplies are rated to start from {found.limit:g} °C; at {found.value:g} °C they may not,"
        " or only after a while: take one rated for it, hang it inside, or leave it on"
    )


def _supply(found: Finding) -> str:
    load, most = apart_percent(found.value or 0.0, found.limit or 0.0)
    return (
        f"at {found.detail['celsius']:g} °C supply {found.where} keeps {found.detail['left']:.0%}"
        f" of its rating; it gives {load}, and {most} would do for hours:"
        " take a larger one, hang it cooler, or lower the brightness"
    )


def _fuse(found: Finding) -> str:
    load, most = apart_percent(found.value or 0.0, found.limit or 0.0)
    return (
        f"at {found.detail['celsius']:g} °C the fuse of {found.detail['fuse_a']:g} A in"
        f" {found.where} carries {load} and should carry {most} at most: it"
        " may open on a warm evening"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "kind-out-of-range": _kind,
    "kind-warms-itself": _warms_itself,
    "jacket-out-of-range": _jacket,
    "supply-cold-start": _cold_start,
    "supply-too-warm": _supply,
    "fuse-too-warm": _fuse,
}
