"""Every figure of a catalogue row with where it comes from."""

from __future__ import annotations

from typing import Any

from layouts.provenance import Stated, split_tag, stated
from layouts.records import Kind, Profile


def figures(thing: Any) -> tuple[Stated, ...]:
    """The sourced values of a kind, wire, material or profile, in the order of its file."""
    if isinstance(thing, Kind):
        return stated(thing)
    return tuple(
        Stated(field, _value(thing, field), _UNITS.get(field, ""), *split_tag(said))
        for field, said in (thing.sources or {}).items()
    )


_UNITS = {
    "area_mm2": "mm²",
    "max_ohm_per_km": "Ω/km",
    "ampacity_a": "A",
    "beam_half_deg": "°",
    "spot_mm": "mm",
    "wire_bay_mm": "mm",
    "bar_m": "m",
    "hole_mm": "mm",
    "hole_pitch_mm": "mm",
}


def _value(thing: Any, field: str) -> float | str:
    if field == "spot_mm" and isinstance(thing, Profile):
        return thing.spot_m * 1000
    if field == "wire_bay_mm" and isinstance(thing, Profile) and thing.wire_bay_mm is not None:
        return " × ".join(f"{side:g}" for side in thing.wire_bay_mm)
    value = getattr(thing, field)
    if isinstance(value, tuple):
        return f"{min(value):g}–{max(value):g}"
    return "" if value is None else value
