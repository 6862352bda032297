"""The places named on the command line, and how a place is told: in the house's own units."""

from __future__ import annotations

from collections.abc import Sequence

from sim.cli.common import fail

Place = tuple[float, float]  # x, y [m]


def places_of(texts: Sequence[str], unit: str) -> tuple[Place, ...]:
    """`2.5,1.2` in `unit`, or lengths with their own: `8 ft,4 ft 6 in` -> ((x, y) [m], …).

    Ends with status 2 where a text is no place.
    """
    return tuple(_place(text, unit) for text in texts)


def _place(text: str, unit: str) -> Place:
    from layouts.units import length_m

    try:
        x, y = (length_m(_number(part), unit) for part in text.split(","))
    except ValueError:
        fail(f"--probe {text}: write it as X,Y in {unit} or with units, e.g. 2.5,1.2 or 8 ft,4 ft")
    return x, y


def _number(text: str) -> float | str:
    """A bare number as one, anything else as it is."""
    try:
        return float(text)
    except ValueError:
        return text


def place_text(place: Place, unit: str) -> str:
    """A place as it is read by who measures in `unit`: `2.5 m, 1.2 m`."""
    from layouts.units import length_text

    return ", ".join(length_text(each, unit) for each in place)
