"""Colour scales and round numbers for axes. Arrays in, arrays out."""

from __future__ import annotations

import math

import numpy as np

from effects.colour_spaces import encoded, from_oklab

#: Lightness rises evenly and blue turns to yellow, so the order survives every common form of
#: colour blindness. Own table: straight in OKLab between the ends and one middle
#: (L, a, b) = (0.34, −0.02, −0.12), (0.63, −0.06, 0.01), (0.92, −0.02, 0.17); a test checks that
#: lightness is even and that the scale stays in order for protanopia, deuteranopia, tritanopia.
_OKLAB = np.array([(0.34, -0.02, -0.12), (0.63, -0.06, 0.01), (0.92, -0.02, 0.17)])


def even_scale(count: int = 256) -> np.ndarray:
    """(count, 3) uint8 sRGB, dark blue to yellow with evenly rising lightness."""
    at = np.linspace(0, 1, count)
    middle = np.linspace(0, 1, len(_OKLAB))
    lab = np.stack([np.interp(at, middle, _OKLAB[:, axis]) for axis in range(3)], axis=1)
    # Lightness alone is laid out evenly from end to end.
    lab[:, 0] = np.linspace(_OKLAB[0, 0], _OKLAB[-1, 0], count)
    return np.round(255 * encoded(np.clip(from_oklab(lab), 0, 1))).astype(np.uint8)


def mapped(values: np.ndarray, low: float, high: float, table: np.ndarray) -> np.ndarray:
    """(..., 3) colours of `values` between `low` and `high` on a table of colours."""
    share = (np.asarray(values) - low) / ((high - low) or 1.0)
    return table[np.clip(np.rint(share * (len(table) - 1)), 0, len(table) - 1).astype(int)]


def round_ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers between `low` and `high`: steps of 1, 2 or 5 times a power of ten."""
    if not high > low or about < 1:
        return [low]
    step = round_step((high - low) / about)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [index * step for index in range(first, last + 1)]


def round_step(least: float) -> float:
    """The smallest 1, 2 or 5 times a power of ten that is not below `least` (> 0)."""
    power = 10.0 ** math.floor(math.log10(least) + 1e-9)
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))


def time_ticks(span_s: float, about: int = 8) -> list[float]:
    """Round times: below ten seconds decimal, above in 1, 2, 5, 10, 15, 30 s and minutes."""
    if span_s <= 10:
        return round_ticks(0, span_s, about)
    steps = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200)
    step = next((one for one in steps if span_s / one <= about), steps[-1])
    return [float(at) for at in range(0, int(span_s) + 1, step)]


def time_text(time_s: float, span_s: float, digits: int | None = None) -> str:
    """A time as the ribbon writes it: `4.2 s`, or `3:05` where the ribbon is longer than a minute.

    `digits` after the point; as many as are needed where None.
    """
    if span_s <= 60:
        return f"{time_s:g} s" if digits is None else f"{time_s:.{digits}f} s"
    minutes, seconds = divmod(time_s, 60)
    if digits is None:
        return f"{int(minutes)}:{int(seconds):02d}"
    return f"{int(minutes)}:{seconds:0{3 + digits}.{digits}f}"
