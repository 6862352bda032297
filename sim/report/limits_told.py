"""Which limits a ceiling keeps, with their numbers, in words."""

from __future__ import annotations

from typing import Protocol

from layouts.catalogue import limits
from sim.circuit import Ceiling, Loads, Network
from sim.circuit.limits import limit_bound, limit_name

from .text import beside_ceilings, percent

#: A band is wide where it reaches so many times as far as its ceiling.
_WIDE = 1.5
#: What is asked hardly grows where full brightness takes it no further past its limit than this.
_HARDLY = 1.25


class Held(Protocol):
    """A ceiling: what is at its limit there, and how much that may bear, in words."""

    @property
    def limit(self) -> str:
        """By name."""

    @property
    def bound(self) -> str:
        """With its number; "" where it has none."""


def first_limit(ceiling: Held) -> str:
    """What is passed first above a ceiling, and how much it may bear."""
    return f"{ceiling.limit} comes first{_in_brackets(ceiling.bound)}"


def limit_told(ceiling: Held) -> str:
    """The limit by name and number."""
    return ceiling.limit + _in_brackets(ceiling.bound)


def limit_of(network: Network, seen: Loads, frame: int, column: int) -> str:
    """The same of a column of `sim.circuit.limits.utilisation`, as that frame binds."""
    bound = limit_bound(network, seen, frame, column)
    return limit_name(network, column) + _in_brackets(bound)


def all_limits() -> str:
    """Every limit that a ceiling keeps, whatever binds."""
    held_to = limits()
    return (
        f"{percent(held_to.supply_load)} of a supply, {percent(held_to.fuse_load)} of a fuse,"
        f" {percent(held_to.wire_load)} of what a wire carries, {percent(held_to.drop_warning)} of"
        " the voltage lost"
    )


def why_wide(ceiling: Ceiling, most: float, said: str) -> str:
    """Why a band that reaches up to `most` is so wide; "" where it is not, or for another reason.

    A scheme whose channels are full hardly asks for more at a higher brightness: it then passes
    its limit by so little that parts a little better than their sheets keep it at any. `said` is
    the ceiling as the report tells it.
    """
    if not 0 < ceiling.brightness * _WIDE < most or not 1 < ceiling.at_full <= _HARDLY:
        return ""
    past = f"{100 * (ceiling.at_full - 1):.2g}"
    return (
        f"the band of the ceiling is wide because above {said} the"
        f" scheme hardly asks for more: full brightness goes past that limit by {past} %"
    )


def against_ceiling(brightness: float, ceiling: Ceiling) -> tuple[str, str]:
    """A brightness and the ceiling as percent, with digits enough that both compare as they are;
    the ceiling never rounded up."""
    told, (held,) = beside_ceilings(brightness, [ceiling.brightness])
    return told, held


def _in_brackets(bound: str) -> str:
    return f" ({bound})" if bound else ""
