"""Sentences about flashing."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding


def _flash(found: Finding) -> str:
    told = found.detail
    sort = _sort(found)
    if found.level == "danger":
        return (
            f"{found.value:g} {sort} in one second, more than {found.limit:g}, at"
            f" {told['time_s']:.1f} s over {told['area']:.1f} times the area that WCAG 2.2 allows"
            f" ({_watched(found)}); {_advice(found)}"
        )
    return (
        f"{found.value:g} {sort} in one second at {told['time_s']:.1f} s, but on"
        f" {told['area']:.2f} of the area that WCAG 2.2 allows ({_watched(found)})"
    )


def _flash_long(found: Finding) -> str:
    return (
        f"two {_sort(found)} a second or more for {found.value:.0f} s on end: within the limit, yet"
        f" more than {found.limit:.0f} s may be a risk (ITU-R BT.1702); slow it or let it rest"
    )


def _sort(found: Finding) -> str:
    return "red flashes" if found.detail["sort"] == "red" else "flashes"


def _watched(found: Finding) -> str:
    return f"{found.detail['watched_s']:.3g} s watched"


def _advice(found: Finding) -> str:
    """What to write in the scheme file so that it passes."""
    slower = found.detail["slower"]
    if not slower:
        return "no slower speed passes: lower 'brightness', or take colours nearer to each other"
    changes = [
        f"layer {layer + 1} ({effect}) with "
        + ", ".join(f"{name} {new:g} {unit} (now {old:g})" for name, new, unit, old in settings)
        for layer, effect, settings in slower
    ]
    return f"the fastest that passes: {' and '.join(changes)}"


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "flash-general": _flash,
    "flash-red": _flash,
    "flash-long": _flash_long,
}
