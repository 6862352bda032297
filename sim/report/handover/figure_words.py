"""Figures of kinds, profiles and wire sizes in plain words, not as the files name them."""

from __future__ import annotations

_CHANNELS = {"r": "red", "g": "green", "b": "blue", "w": "white", "c": "cool white"}
_OF_CHANNEL = {
    "ma": "current when full",
    "vf": "forward voltage",
    "lm": "light when full",
    "nm": "dominant wavelength",
    "fwhm_nm": "spectral width at half height",
    "cct": "colour temperature",
    "resistor_ohm": "resistor before it",
}
_WORDS = {
    "volts": "supply voltage",
    "law": "how its LEDs take current",
    "headroom_v": "voltage the driver needs",
    "resistor_ohm": "resistor before each colour",
    "dropout_v": "voltage its regulator needs",
    "regulator_ma": "current its regulator takes",
    "efficiency": "share its regulator passes on",
    "regulated_v": "voltage its regulator gives",
    "idle_resistor": "logic fed by a resistor",
    "idle_ma": "current when dark",
    "min_v": "least voltage it works at",
    "max_v": "most voltage it bears",
    "boots": "what it shows without data",
    "frame_bits": "data for a frame besides",
    "clock_line": "clock on a wire of its own",
    "levels": "steps of a channel",
    "set_ma.least": "least current it is set to",
    "set_ma.most": "most current it is set to",
    "set_ma.step": "steps of current",
    "bits": "data for a pixel",
    "bit_us": "time for a bit",
    "reset_us": "pause that ends a frame",
    "order": "order of channels on the wire",
    "pwm_hz": "dimming frequency",
    "backup_data": "second data line",
    "data_hop_m": "reach of data unaided",
    "pitch_m": "from pixel to pixel",
    "rail_ohm_per_m": "resistance of each rail",
    "mount": "how it is mounted",
    "leds_per_pixel": "LEDs in a pixel",
    "beam_half_deg": "half beam angle",
    "transmission": "light let through",
    "spot_mm": "width of the spot",
    "wire_bay_mm": "room for wire",
    "bar_m": "length of a bar",
    "hole_mm": "hole for a pixel",
    "hole_pitch_mm": "from hole to hole",
    "area_mm2": "copper area",
    "max_ohm_per_km": "highest resistance",
    "ampacity_a": "what it carries",
}


def figure_words(field: str) -> str:
    """`channels.r.vf` → `red, forward voltage`; a field without words as it is, spaced."""
    head, *rest = field.split(".")
    if head == "channels" and len(rest) == 2:
        colour = _CHANNELS.get(rest[0], rest[0])
        return f"{colour}, {_OF_CHANNEL.get(rest[1], rest[1].replace('_', ' '))}"
    if head == "bins_nm" and rest:
        return f"{_CHANNELS.get(rest[0], rest[0])}, wavelengths sold"
    return _WORDS.get(field, field.replace("_", " ").replace(".", ", "))


def value_words(value: object) -> str:
    """A value as a person reads it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.4g}" if isinstance(value, float) else str(value)
