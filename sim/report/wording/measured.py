"""Sentences about what a meter found, and what it did not."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding


def _other_kind(found: Finding) -> str:
    detail = found.detail
    return (
        f"the readings of supply {detail['supply']} were taken with {detail['was']} on run"
        f" {found.where}, which has {detail['kind']} now and is reckoned by its sheet; measure"
        " again"
    )


def _law(found: Finding) -> str:
    detail = found.detail
    if detail["law"] == "series":
        said = "one current for all colours: all of them together take little more than one alone"
    else:
        said = "a current for each colour: together they take the sum of each alone"
    return (
        f"the readings follow {said} ({detail['idle_w']:.1f} W idle, {detail['lit_w']:.1f} W more"
        f" when all is lit), and {detail['kind']} does not; is it that kind? Nothing of"
        " them is kept"
    )


def _residual(found: Finding) -> str:
    return (
        f"the reading '{found.detail['look']}', {found.detail['read']:g} W, is {found.value:+.1f} W"
        f" off what fits the others, more than {found.limit:.1f} W: a slip, a supply at its limit,"
        " or more drop than the house file says; read it again"
    )


def _too_few(found: Finding) -> str:
    missing = ", ".join(found.detail["missing"])
    if not found.detail["found"]:
        return f"too few readings to find anything; read off first, then {missing}"
    if "all" not in found.detail["found"]:
        return f"only the idle current is found; read one thing lit at least: {missing}"
    return (
        "too few readings to tell the colours apart or to try the law: one factor for all of them;"
        f" {missing} would tell"
    )


def _law_not_tried(found: Finding) -> str:
    also = f": {', '.join(found.detail['missing'])}" if found.detail["missing"] else ""
    return f"as many readings as things found: nothing is left over to try the law with{also}"


def _supplies_differ(found: Finding) -> str:
    one, other = found.detail["found"]
    return (
        f"read at {found.where}, {' and '.join(found.detail['runs'])} come to {one:.2f} and"
        f" {other:.2f} times the sheet's {found.detail['what']}, further apart than the meter's"
        f" doubt of {found.limit:.2f}; read both again, each with the other unplugged"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "calibration-other-kind": _other_kind,
    "meter-law": _law,
    "meter-residual": _residual,
    "meter-too-few": _too_few,
    "meter-law-not-tried": _law_not_tried,
    "meter-supplies-differ": _supplies_differ,
}
