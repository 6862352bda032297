"""Fuses that have opened, and what may still be tried under power: nothing that feeds a short.

A new fuse that blows says that + and − touch behind it. From then on no test powers that + again:
its fuse stays out, and where something else feeds it as well, only tests with everything unplugged
are left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from layouts.pieces import joined, point_of
from layouts.records import House
from layouts.sightings import Sighting

#: Tests that are made with the lights plugged in, or plugged in again.
POWERED = ("look", "volts", "watts", "swap", "bridge", "new_fuse")


@dataclass(frozen=True)
class FusesKeptOut:
    """Of a house in which some fuses have opened."""

    house: House
    opened: tuple[int, ...]  # wires whose fuse has opened, a new one in it or not
    shorted: tuple[int, ...]  # those of them whose new fuse blew too

    def stays_out(self, test: str, wire: int | None = None) -> tuple[int, ...]:
        """Wires whose fuses stay out during a test; a new fuse is put into `wire`, if any."""
        return tuple(each for each in self.opened if each != wire) if test in POWERED else ()

    def safe(self, test: str, wire: int | None = None) -> bool:
        """Whether a test feeds nothing that is known to be shorted."""
        if test not in POWERED or not self.shorted:
            return True
        out = self.stays_out(test, wire)
        left = tuple(each for number, each in enumerate(self.house.wires) if number not in out)
        networks, point = joined(replace(self.house, wires=left)), point_of(self.house)
        live = {networks.get(("supply", supply.name, 0)) for supply in self.house.supplies} - {None}

        def dead(number: int) -> bool:
            # What feeds the wire itself is on one side of its fuse, the short on the other.
            each = self.house.wires[number]
            ends = (end for end in (each.start, each.end) if end.kind != "supply")
            return any(networks.get(point(end)) not in live for end in ends)

        return all(dead(number) for number in self.shorted)


def left_out(house: House, seen: Sequence[Sighting]) -> FusesKeptOut:
    """What was seen of fuses: that a new one holds is the only thing that closes one again."""
    shorted: dict[int, bool] = {}
    for each in seen:
        if each.wire is None or each.what not in ("fuse", "new_fuse"):
            continue
        if each.then in ("blown", "blows"):
            shorted[each.wire] = shorted.get(each.wire, False) or each.then == "blows"
        elif each.then == "holds":
            shorted.pop(each.wire, None)
    return FusesKeptOut(house, tuple(shorted), tuple(wire for wire, new in shorted.items() if new))
