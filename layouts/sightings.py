"""What was seen and measured on a house with something broken: records, and the file of them.

A look names pixels and what they did; a reading names a point and a number; a trial names what was
done and what the pixels behind it then did. Everything is checked against the house.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any, Literal

import numpy as np

from layouts.errors import InputError
from layouts.files.document import Document, parse, read
from layouts.files.recovery import recover
from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.records import House

Look = Literal["lit", "dark", "wrong", "flickers"]
During = Literal["scheme", "white", "off"]

#: What pixels can be seen to do; the place in this order is the number used in arrays.
LOOKS: tuple[Look, ...] = ("lit", "dark", "wrong", "flickers")
#: Keys of which every entry has exactly one.
SEEN_KEYS = (
    *("dark", "lit", "wrong", "flickers", "volts", "watts", "bridge", "swap", "fuse"),
    *("new_fuse", "continuity", "ohms"),
)


@dataclass(frozen=True, eq=False)
class Sighting:
    """One thing seen. `what` is one of `SEEN_KEYS`.

    | what | means |
    |---|---|
    | a look | `pixels` (K,) numbers of pixels of the house did that |
    | volts, watts | `value` [V] [W]; volts at the point `at` |
    | ohms | `value` [Ω] between + and − at the point `at`, everything unplugged |
    | bridge | data was led to pixel `pixels[0]` from the last that works; `then` lit or dark |
    | swap | output `output` was fed from another port; `then` |
    | fuse | that of wire `wire` was looked at; `then` whole or blown |
    | new_fuse | one was put into wire `wire`; it holds or it blows |
    | continuity | of `conductor`, before pixel `pixels[0]` or of wire `wire`; whole or open |
    """

    what: str
    text: str  # as written: a stretch, a point, an output
    pixels: np.ndarray  # (K,) indices into House.pixels
    value: float | None = None  # [V], [W], [Ω]
    at: tuple[str, str, int] | None = None  # kind, name and pad of a point, as of WireEnd
    output: int | None = None  # index into House.outputs
    wire: int | None = None  # index into House.wires
    then: str | None = None
    conductor: str | None = None  # plus, minus or data
    during: During = "scheme"


@dataclass(frozen=True, eq=False)
class Sightings:
    """All of a file: what was shown, and what was seen, in its order."""

    scheme: FilePath | None
    seen: tuple[Sighting, ...]
    file: str


def load_sightings(path: str | os.PathLike[str], house: House) -> Sightings:
    """The sightings in the file at `path`. Raises InputError with every problem of the file."""
    return _sightings(read(path), house)


def sightings_from_text(text: str, file: str, house: House) -> Sightings:
    """What a file called `file` with this text says. Raises like `load_sightings`."""
    return _sightings(parse(text, file), house)


def sightings_schema() -> Mapping[str, Any]:
    """JSON Schema of a sightings file, for editors that complete keys."""
    from layouts.sightings_schema import SightingsFile

    return SightingsFile.model_json_schema()


def _sightings(document: Document, house: House) -> Sightings:
    from layouts.sighting_entries import seen_of
    from layouts.sightings_schema import SightingsFile

    made = recover(document, SightingsFile, None, {"format": "evenfall-sightings/1", "seen": []})
    if made.model is None:
        raise InputError(made.problems)
    refusals = Refusals(made)
    touched = {path[:2] for path in made.dropped}
    at = [("seen", index) for index in range(len(made.model.seen))]
    told: set[Path] = {path for path in at if made.original(path) in touched}
    seen = seen_of(made.model, house, refusals, told)
    scheme = None
    if made.model.scheme is not None:
        scheme = FilePath(document.file).parent / made.model.scheme
        if not scheme.is_file():
            what = f"there is no scheme file '{made.model.scheme}' beside this one"
            refusals.add(("scheme",), what, "name the file from this file's folder")
    refusals.raise_any()
    return Sightings(scheme, seen, document.file)
