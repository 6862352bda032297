"""What of a house is broken: one record a fault, and the file that lists them.

Positions number the pixels of a run as everywhere. A conductor breaks, and a joint is bad, *before*
a position, as a cut stands before one: 0 is between the start pad and the first pixel, the count of
the run between the last pixel and the end pad.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from layouts.errors import InputError
from layouts.files.document import Document, parse, read
from layouts.files.recovery import recover
from layouts.files.refusals import Refusals
from layouts.records import House

FaultKind = Literal[
    "dark", "dead", "stuck", "open", "joint", "short", "blown", "off", "sag", "hiccup", "garbage"
]
Conductor = Literal["plus", "minus", "data"]

#: Every kind of fault, in the order in which they are listed.
KINDS: tuple[FaultKind, ...] = (
    *("dark", "dead", "stuck", "open", "joint", "short", "blown", "off", "sag", "hiccup"),
    "garbage",
)  # type: ignore[assignment]
COLOUR = re.compile("#[0-9a-fA-F]{6}")
#: [s] on and off of a supply in hiccup, where the file does not say; common practice, no source.
HICCUP_S = (0.1, 0.9)


@dataclass(frozen=True)
class Fault:
    """One thing broken; what does not belong to its kind is None.

    | kind | where | how |
    |---|---|---|
    | dark, dead, stuck, garbage | run, position: a pixel | stuck: colour |
    | open | run, position: before it; or wire | conductor |
    | joint | run, position: before it; or wire | ohm, conductor (None: both) |
    | short | run, position: at a pixel; or wire: at its end | ohm |
    | blown | wire | |
    | off, sag, hiccup | supply | sag: volts; hiccup: on_s, pause_s |
    """

    kind: FaultKind
    run: str | None = None
    position: int | None = None
    conductor: Conductor | None = None
    wire: int | None = None  # index into House.wires
    supply: str | None = None
    ohm: float | None = None  # [Ω]
    volts: float | None = None  # [V]
    colour: tuple[int, int, int] | None = None  # codes of r, g, b
    on_s: float | None = None  # [s]
    pause_s: float | None = None  # [s]

    @property
    def on_share(self) -> float:
        """Share of the time that a supply in hiccup is on."""
        on_s, pause_s = self.on_s or HICCUP_S[0], self.pause_s or HICCUP_S[1]
        return on_s / (on_s + pause_s)


def load_faults(path: str | os.PathLike[str], house: House) -> tuple[Fault, ...]:
    """The faults in the file at `path`, in its order; of several pixels at once, one a pixel.

    Raises InputError with every problem of the file.
    """
    return _faults(read(path), house)


def faults_from_text(text: str, file: str, house: House) -> tuple[Fault, ...]:
    """The faults that a file called `file` holds with this text. Raises like `load_faults`."""
    return _faults(parse(text, file), house)


def faults_schema() -> Mapping[str, Any]:
    """JSON Schema of a faults file, for editors that complete keys."""
    from layouts.faults_schema import FaultsFile

    return FaultsFile.model_json_schema()


def _faults(document: Document, house: House) -> tuple[Fault, ...]:
    from layouts.fault_entries import faults_of
    from layouts.faults_schema import FaultsFile

    made = recover(document, FaultsFile, None, {"format": "evenfall-faults/1", "faults": []})
    if made.model is None:
        raise InputError(made.problems)
    refusals = Refusals(made)
    touched = {path[:2] for path in made.dropped}
    at = [("faults", index) for index in range(len(made.model.faults))]
    found = faults_of(made.model, house, refusals, {p for p in at if made.original(p) in touched})
    refusals.raise_any()
    return found
