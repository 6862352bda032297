"""What a measured curve depends on, as keys of content: equal where the amps must be equal."""

from __future__ import annotations

import json
from collections.abc import Hashable
from dataclasses import dataclass, replace
from functools import lru_cache
from weakref import WeakKeyDictionary

from effects import Scheme, Show
from layouts import House, house_data
from layouts.faults import Fault
from sim.frame import Rig

#: Of a house, what neither a frame nor its current depends on.
_ELSEWHERE = ("name", "drawing", "outputs", "places", "routes", "location", "history", "measures")


class Content:
    """A value told by what it holds, whose hash is made once: it is asked for at every turn."""

    def __init__(self, value: Hashable):
        self.value = value
        self._hash = hash(value)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return self is other or (isinstance(other, Content) and self.value == other.value)


@dataclass(frozen=True)
class Family:
    """A scheme on a house, at whatever brightness."""

    house: Hashable
    mixing: Hashable  # colour handling, white use, gamma
    scheme: str
    faults: tuple[Fault, ...] = ()  # what is broken of the house for a trial


@dataclass(frozen=True)
class LoadKey:
    """A curve: a family at a brightness."""

    family: Family
    brightness: float

    def broken(self, faults: tuple[Fault, ...]) -> LoadKey:
        """The curve of the same house with these faults, and no others."""
        return self if faults == self.family.faults else replace(
            self, family=replace(self.family, faults=faults))  # fmt: skip


class LoadKeys:
    """Makes keys; that of a house is made once as long as the house lives."""

    def __init__(self) -> None:
        self._houses: WeakKeyDictionary[House, Hashable] = WeakKeyDictionary()
        self._scheme = lru_cache(maxsize=8)(_scheme)

    def key(self, rig: Rig, show: Show, brightness: float) -> LoadKey:
        """The key of the curve of a show on a rig."""
        house = self._houses.get(rig.house)
        if house is None:
            house = self._houses[rig.house] = _house(rig.house)
        # The mixer of the stage on show, which may be older than the wish of the scheme's edits.
        mixing = (rig.mixer.colour, rig.mixer.white, rig.mixer.gamma)
        return LoadKey(Family(house, mixing, self._scheme(show)), round(float(brightness), 6))


def _house(house: House) -> Hashable:
    data = {name: value for name, value in house_data(house).items() if name not in _ELSEWHERE}
    text = json.dumps(data, default=str, sort_keys=True)
    kinds = tuple(run.kind for run in house.runs)  # by value, whatever they are called
    return Content((text, kinds))


def _scheme(show: Show) -> str:
    plain: Scheme = replace(show.scheme, name="", file="", brightness=1.0)
    return repr(plain)
