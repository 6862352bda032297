"""Numbers as a person reads them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence

from layouts.records import House

#: Of a share told as percent: what is the arithmetic's and not the share's.
_ROUNDING = 1e-9
#: More decimals tell nothing that a person measures.
_MOST_DECIMALS = 9


def number(value: float, digits: int = 3) -> str:
    """`value` with about `digits` significant digits, thousands spaced; never an exponent."""
    if value == 0:
        return "0"
    size = abs(value)
    whole = len(str(int(size))) if size >= 1 else 0
    decimals = max(digits - whole, 0) if size >= 0.01 else digits + 1
    return f"{value:,.{decimals}f}".replace(",", " ")


def count(value: int) -> str:
    """A whole number, thousands spaced."""
    return f"{value:,}".replace(",", " ")


def amps(value_a: float) -> str:
    """A current as a person reads it."""
    return f"{value_a * 1000:.0f} mA" if 0 < abs(value_a) < 0.1 else f"{number(value_a)} A"


def ratings_row(ratings_a: Sequence[float]) -> str:
    """Fuses beside each other, the largest first: 10 A + 2 × 7.5 A."""
    many = Counter(ratings_a)
    each = ((many[rating], f"{rating:g} A") for rating in sorted(many, reverse=True))
    return " + ".join(said if n == 1 else f"{n} × {said}" for n, said in each)


def clock(time_s: float) -> str:
    """A time as `--at` takes it: 12.4s, 1m12s, 1h03m20s."""
    hours, rest = divmod(round(time_s * 1000), 3_600_000)
    minutes, milliseconds = divmod(rest, 60_000)
    seconds = f"{milliseconds / 1000:g}s"
    if not hours and not minutes:
        return seconds
    padded = f"0{seconds}" if milliseconds < 10_000 else seconds
    return f"{hours}h{minutes:02}m{padded}" if hours else f"{minutes}m{padded}"


def pixel_name(house: House, pixel: int) -> str:
    """A pixel as a house file names it: `gable[12]`."""
    run = house.runs[house.pixels.run[pixel]]
    return f"{run.name}[{pixel - run.first}]"


def percent(share: float) -> str:
    """A share as whole percent."""
    return f"{share * 100:.0f} %"


def ceiling_percent(share: float) -> str:
    """A ceiling as percent, never more than it is: what is printed, typed as brightness, keeps
    every limit. Whole percent; below 10 % tenths."""
    step = 1 if share >= 0.1 else 10
    return f"{math.floor(100 * share * step + _ROUNDING) / step:g} %"


def brightness_percent(share: float) -> str:
    """A brightness as percent: whole where it is, else tenths, since 41.5 % is not 42 %."""
    return _percent_text(100 * share, 1)


def beside_ceilings(brightness: float, ceilings: Sequence[float]) -> tuple[str, list[str]]:
    """A brightness and the ceilings that stand beside it, all 0..1, as percent.

    They have digits enough that each ceiling compares with the brightness as it does; no ceiling
    is rounded up.
    """
    told, held = brightness_percent(brightness), [ceiling_percent(each) for each in ceilings]
    for places in range(1, _MOST_DECIMALS):
        alike = "." not in told or places > 1  # tenths stand beside tenths
        if alike and all(map(_compares(told, brightness), held, ceilings)):
            break
        part = 10**places
        floors = [math.floor(100 * each * part + _ROUNDING) / part for each in ceilings]
        told = _percent_text(100 * brightness, places)
        held = [_percent_text(each, places) for each in floors]
    return told, held


def _compares(told: str, brightness: float) -> Callable[[str, float], bool]:
    """Whether a ceiling as told is passed where it is."""
    return lambda held, ceiling: (float(told[:-2]) <= float(held[:-2])) == (brightness <= ceiling)


def _percent_text(value: float, places: int) -> str:
    told = f"{value:.{places}f}"
    return (told.rstrip("0").removesuffix(".") if places else told) + " %"


def apart(value: float, limit: float, decimals: int) -> tuple[str, str]:
    """A figure and the limit it is compared with, both told so that they differ as they do.

    The figure has `decimals`, or as many more as it takes; the limit is told as it is where two
    decimals do that, else like the figure.
    """
    whole = f"{round(limit, 2):g}"
    exact = float(whole) == round(limit, _MOST_DECIMALS)
    for places in range(decimals, _MOST_DECIMALS):
        told = f"{value:.{places}f}"
        held = whole if exact else f"{limit:.{places}f}"
        shown = float(told) - float(held)
        if value == limit or (shown > 0 if value > limit else shown < 0):
            break
    return told, held


def apart_percent(share: float, limit: float, decimals: int = 0) -> tuple[str, str]:
    """Two shares as percent in a sentence, as `apart` tells a figure and its limit."""
    told, held = apart(100 * share, 100 * limit, decimals)
    return f"{told}%", f"{held}%"
