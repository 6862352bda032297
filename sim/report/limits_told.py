"""Which limits a ceiling keeps, with their numbers, in words."""

from __future__ import annotations

from math import floor

from layouts.catalogue import limits
from sim.circuit import Ceiling

from .text import ceiling_percent, percent

#: A band is wide where it reaches so many times as far as its ceiling.
_WIDE = 1.5
#: What is asked hardly grows where full brightness takes it no further past its limit than this.
_HARDLY = 1.25


def first_limit(ceiling: Ceiling) -> str:
    """What is passed first above a ceiling, and how much it may bear."""
    return f"{ceiling.limit} comes first{_in_brackets(ceiling)}"


def limit_told(ceiling: Ceiling) -> str:
    """The limit by name and number."""
    return f"{ceiling.limit}{_in_brackets(ceiling)}"


def all_limits() -> str:
    """Every limit that a ceiling keeps, whatever binds."""
    held_to = limits()
    return (
        f"{percent(held_to.supply_load)} of a supply, {percent(held_to.fuse_load)} of a fuse,"
        f" {percent(held_to.wire_load)} of what a wire carries, {percent(held_to.drop_warning)} of"
        " the voltage lost"
    )


def why_wide(ceiling: Ceiling, most: float) -> str:
    """Why a band that reaches up to `most` is so wide; "" where it is not, or for another reason.

    A scheme whose channels are full hardly asks for more at a higher brightness: it then passes
    its limit by so little that parts a little better than their sheets keep it at any.
    """
    if not 0 < ceiling.brightness * _WIDE < most or not 1 < ceiling.at_full <= _HARDLY:
        return ""
    past = f"{100 * (ceiling.at_full - 1):.2g}"
    return (
        f"the band of the ceiling is wide because above {ceiling_percent(ceiling.brightness)} the"
        f" scheme hardly asks for more: full brightness goes past that limit by {past} %"
    )


def against_ceiling(brightness: float, ceiling: Ceiling) -> tuple[str, str]:
    """A brightness and the ceiling as percent, with digits enough that both compare as they are;
    the ceiling never rounded up."""
    share, most = 100 * brightness, 100 * ceiling.brightness
    told, held = percent(brightness), ceiling_percent(ceiling.brightness)
    for places in range(1, 7):
        if (float(told[:-2]) <= float(held[:-2])) == (brightness <= ceiling.brightness):
            break
        part = 10**places
        told, held = f"{share:.{places}f} %", f"{floor(most * part + 1e-9) / part:.{places}f} %"
    return told, held


def _in_brackets(ceiling: Ceiling) -> str:
    return f" ({ceiling.bound})" if ceiling.bound else ""
