"""Sentences about noise and surge."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding

#: No larger capacitor is put at a feed [µF]; common practice, no source.
_MOST_UF = 4700


def _shift(found: Finding) -> str:
    return (
        f"with everything full the − of run {found.where} is {found.value:.3f} V above the"
        f" supply's; beyond {found.limit:g} V data from the controller leaves what an input bears."
        " Take a thicker − or feed it nearer"
    )


def _clamp(found: Finding) -> str:
    return (
        f"when a TVS clamps, {found.value:.0f} mA flow into the first data input of run"
        f" {found.where}, more than the {found.limit:.0f} mA that such diodes usually bear: let a"
        " spare first pixel take it, or a larger resistor if the lead is short"
    )


def _ripple(found: Finding) -> str:
    return (
        f"with everything full run {found.where} has {found.value:.2f} V to spare and the supply's"
        f" ripple takes {found.limit:.2f} V of it: its data may fail; add a feed or lower the"
        " brightness"
    )


def _dip(found: Finding) -> str:
    said = (
        f"all pixels behind {found.where} switched on together dip by {found.value:.2f} V, and"
        f" {found.limit:.2f} V are to spare; "
    )
    if found.detail["uf"] > _MOST_UF:
        return (
            f"{said}no usual capacitor makes up for that: feed it nearer, or lower the brightness"
        )
    return f"{said}{found.detail['uf']:.0f} µF at its end keep it to that (1000 µF are usual)"


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "ground-shift": _shift,
    "clamp-current": _clamp,
    "ripple-headroom": _ripple,
    "feed-dip": _dip,
}
