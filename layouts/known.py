"""What a house may name: the parts of the catalogue, and records given in their place.

A mapping made in code may hold a record wherever a file would name a part of the catalogue: a
`Kind`, a `Profile`, a `WireSize` or a `Material`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from layouts.catalogue import kinds, materials, profiles, wire_size, wire_sizes
from layouts.records import Kind, Material, Profile, WireSize

_LISTED: dict[type, Callable[[], Mapping[str, Any]]] = {
    Kind: kinds,
    Profile: profiles,
    WireSize: wire_sizes,
    Material: materials,
}
_RECORDS = tuple(_LISTED)


def _same(one: Any, other: Any) -> bool:
    return one is other or bool(one == other)


@dataclass
class Known:
    """The records of a house's own, by the name they are written with."""

    own: dict[type, dict[str, Any]] = field(default_factory=lambda: {each: {} for each in _RECORDS})

    def taken_out(self, data: Any) -> Any:
        """A copy of `data` with a name in the place of every record, which is kept here."""
        if isinstance(data, _RECORDS):
            return self.name(data)
        if isinstance(data, Mapping):
            return {key: self.taken_out(value) for key, value in data.items()}
        if isinstance(data, list | tuple):
            return [self.taken_out(value) for value in data]
        return data

    def name(self, record: Any) -> str:
        """The name that `record` is written with: its own, numbered where another has it."""
        own, listed = self.own[type(record)], _LISTED[type(record)]()
        name, number = record.name, 1
        while not _same(listed.get(name, record), record) or not _same(
            own.setdefault(name, record), record
        ):
            number += 1
            name = f"{record.name} ({number})"
        return str(name)

    @property
    def kinds(self) -> Mapping[str, Kind]:
        return {**kinds(), **self.own[Kind]}

    @property
    def profiles(self) -> Mapping[str, Profile]:
        return {**profiles(), **self.own[Profile]}

    @property
    def materials(self) -> Mapping[str, Material]:
        return {**materials(), **self.own[Material]}

    def wire(self, text: str) -> WireSize:
        """The wire of that size. Raises ValueError for what is not one."""
        own: WireSize | None = self.own[WireSize].get(text)
        return own if own is not None else wire_size(text)
