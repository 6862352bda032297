"""What few kinds have: currents that can be set, frames with bits of their own, fine levels.

A kind that is set to another current is a kind of its own with the same name: its channels have
that current and the light that goes with it, so that circuit, colour and light need not know. It
remembers the kind it was made of, which is what a file names.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from layouts.errors import KindError
from layouts.records import Kind, SetCurrent

#: A current written this near [mA] to a step means the step: sheets round to a tenth.
_SAME_MA = 0.05


def extras(name: str, entry: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a kind that most entries leave out. KindError where they make no sense."""
    most_v = entry.get("max_v")
    if most_v is not None and most_v < entry["volts"]:
        what = f"kind '{name}' is made for {entry['volts']:g} V and bears {most_v:g} V"
        raise KindError(("max_v",), what, "write the most it bears, or other volts")
    if not entry["reset_us"] and not entry.get("clock_line"):
        what = f"no pause ends a frame of kind '{name}'"
        raise KindError(("reset_us",), what, "write its reset, or 'clock_line: true'")
    return {
        "max_v": None if most_v is None else float(most_v),
        "boots": entry.get("boots"),
        "frame_bits": int(entry.get("frame_bits", 0)),
        "clock_line": bool(entry.get("clock_line")),
        "levels": int(entry.get("levels", 256)),
        "settable": _settable(entry.get("set_ma")),
    }


def _settable(written: Mapping[str, float] | None) -> SetCurrent | None:
    if written is None:
        return None
    least, most, step = (float(written[key]) for key in ("least", "most", "step"))
    if not least <= most:
        raise KindError(("set_ma",), f"{least:g} mA are more than {most:g} mA", "exchange them")
    return SetCurrent(least, most, step)


def at_current(kind: Kind, ma: float) -> Kind:
    """The kind with its strongest channel at `ma` [mA], the others and all light in proportion.

    Light in proportion to current is a little pessimistic below the sheet's current: LEDs make
    more of less. Raises KindError where the kind cannot be set to that.
    """
    if kind.set_ma == ma:
        return kind
    if kind.settable is None:
        what = f"the current of kind '{kind.name}' is fixed"
        raise KindError(("set_ma",), what, "leave set_ma out, or choose a kind that can be set")
    step_ma = kind.settable.nearest(ma)
    if abs(step_ma - ma) > _SAME_MA:
        what = f"kind '{kind.name}' cannot be set to {ma:g} mA"
        raise KindError(("set_ma",), what, f"the nearest it can be set to is {step_ma:.4g} mA")
    full_ma = max(channel.current_ma for channel in kind.channels)
    share = step_ma / full_ma
    sources = dict(kind.sources or {})
    for channel in kind.channels:
        for figure in ("ma", "lm"):
            path = f"channels.{channel.name}.{figure}"
            sources[path] = f"set to {step_ma:.4g} mA, {share:.3g} of the row's [calc]"
    return replace(
        kind,
        channels=tuple(
            replace(each, current_ma=each.current_ma * share, flux_lm=each.flux_lm * share)
            for each in kind.channels
        ),
        set_ma=ma,
        unset=kind.unset or kind,
        sources=MappingProxyType(sources),
    )


def set_as(before: Kind, kind: Kind) -> Kind:
    """`kind` at the current that `before` is set to, where both are the same part."""
    if before.unset is None or before.set_ma is None or kind.set_ma is not None:
        return kind
    same = (kind.settable, kind.channels) == (before.settable, before.unset.channels)
    return at_current(kind, before.set_ma) if same else kind


def as_sold(kind: Kind) -> tuple[Kind, float | None]:
    """The kind that a file names, and the current [mA] that its run sets it to.

    A kind that was changed after it was set, as by the years, stays as it is.
    """
    if kind.unset is None or kind.set_ma is None:
        return kind, kind.set_ma
    sold = at_current(kind.unset, kind.set_ma)
    return (kind.unset if sold == kind else kind), kind.set_ma
