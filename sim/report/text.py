"""Numbers as a person reads them."""

from __future__ import annotations

from layouts.records import House


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
