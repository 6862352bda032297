"""Where every number of the catalogue comes from."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from layouts.records import Kind

#: How a number can have been got; the catalogue's files explain each.
TAGS = (
    "datasheet",
    "datasheet, 2nd hand",
    "standard, transcribed",
    "handbook",
    "measured, public log",
    "calc",
    "common practice, no source",
    "from memory",
    "borrowed",
)
_TAGGED = re.compile(r"(?P<text>.*?)\s*\[(?P<tag>[^\[\]]+)\]")


@dataclass(frozen=True)
class Stated:
    """One value of the catalogue, with its unit, its source and how it was got."""

    field: str
    value: float | str | bool
    unit: str
    source: str
    tag: str


def split_tag(source: str) -> tuple[str, str]:
    """The text of a source and its tag; the tag is empty where the source has none."""
    match = _TAGGED.fullmatch(source)
    return (match["text"], match["tag"]) if match else (source, "")


def stated(kind: Kind) -> tuple[Stated, ...]:
    """Every number and word of a kind with its source and tag, in the order of the house file."""
    sources: Mapping[str, str] = kind.sources or {}
    rows: list[tuple[str, float | str | bool | None, str]] = []
    for channel in kind.channels:
        path = f"channels.{channel.name}"
        rows += [
            (f"{path}.ma", channel.current_ma, "mA"),
            (f"{path}.vf", channel.vf_v, "V"),
            (f"{path}.lm", channel.flux_lm, "lm"),
            (f"{path}.nm", channel.dominant_nm, "nm"),
            (f"{path}.fwhm_nm", channel.fwhm_nm, "nm"),
            (f"{path}.cct", channel.cct_k, "K"),
            (f"{path}.resistor_ohm", channel.resistor_ohm, "Ω"),
        ]
    for name, (low, high) in (kind.dominant_bins_nm or {}).items():
        rows.append((f"bins_nm.{name}", f"{low:g}–{high:g}", "nm"))
    pitch = "per_metre" if "per_metre" in sources else "pitch"
    rail = "rail_ohm_per_m" if "rail_ohm_per_m" in sources else "wire"
    rows += [
        ("volts", kind.supply_v, "V"),
        ("law", kind.law, ""),
        ("headroom_v", kind.headroom_v, "V"),
        ("resistor_ohm", kind.resistor_ohm, "Ω"),
        ("idle_ma", kind.idle_ma, "mA"),
        ("idle_resistor", kind.idle_resistor or None, ""),
        ("min_v", kind.min_v, "V"),
        ("max_v", kind.max_v, "V"),
        ("boots", kind.boots, ""),
        ("bits", kind.bits, "bit"),
        ("bit_us", kind.bit_us, "µs"),
        ("frame_bits", kind.frame_bits or None, "bit"),
        ("clock_line", kind.clock_line or None, ""),
        ("levels", kind.levels if kind.levels > 256 else None, ""),
        ("reset_us", kind.reset_us, "µs"),
        ("order", kind.order, ""),
        ("pwm_hz", kind.pwm_hz, "Hz"),
        ("backup_data", kind.backup_data, ""),
        ("data_hop_m", kind.data_hop_m, "m"),
        ("pitch_m", kind.pitch_m, "m"),
        ("rail_ohm_per_m", kind.rail_ohm_per_m, "Ω/m"),
        ("mount", kind.mount, ""),
        ("leds_per_pixel", kind.leds_per_pixel, ""),
        ("beam_half_deg", kind.beam_half_deg, "°"),
    ]
    if kind.regulator is not None:
        rows += [
            ("dropout_v", kind.regulator.dropout_v, "V"),
            ("regulator_ma", kind.regulator.own_ma, "mA"),
            ("efficiency", kind.regulator.efficiency, ""),
            ("regulated_v", kind.regulator.gives_v, "V"),
        ]
    if kind.settable is not None:
        rows += [
            ("set_ma.least", kind.settable.least_ma, "mA"),
            ("set_ma.most", kind.settable.most_ma, "mA"),
            ("set_ma.step", kind.settable.step_ma, "mA"),
        ]
    written = {"pitch_m": pitch, "rail_ohm_per_m": rail}
    result = []
    for field, value, unit in rows:
        if value is not None:
            source, tag = split_tag(sources.get(written.get(field, field), ""))
            result.append(Stated(field, value, unit, source, tag))
    return tuple(result)
