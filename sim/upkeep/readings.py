"""The readings file: what a plug-in meter showed of each supply with this or that lit."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BeforeValidator, Field

from effects import Scheme, bind, load_scheme
from effects.course import span_s
from layouts.errors import InputError, Problem
from layouts.file_names import SCHEMES
from layouts.files.document import Document, check, read
from layouts.files.names import did_you_mean
from layouts.quantities import Amps, In, Name, Watts
from layouts.records import CHANNELS, House
from layouts.schema import StrictModel
from sim.frame import on_wire, plain_codes, rig_for

#: What may be lit besides a scheme. `unplugged`: the supply alone, its pixels taken off.
PLAIN = ("unplugged", "off", *CHANNELS, "all", "half")
#: A scheme's watts are the mean over so many instants of its course, evenly spread.
_INSTANTS = 240

_Share = Annotated[float, Field(ge=0, le=0.5), In("", "3 %")]
#: YAML reads a bare `off` as false.
_Look = Annotated[str, BeforeValidator(lambda lit: "off" if lit is False else lit)]
_Level = Annotated[float, Field(gt=0, le=1), In("", "60 %")]


class AccuracyEntry(StrictModel):
    """How far a meter may be off: a share of what it shows, and so many watts."""

    share: _Share
    watts: Watts = 0.5


class ReadingEntry(StrictModel):
    """What the meter showed; the mean of some ten looks after ten minutes."""

    supply: Name | None = Field(None, description="plugged into the meter; may be the only one")
    lit: _Look = Field(
        description="unplugged, off, r, g, b, w, c, all, half, or a scheme file beside this one",
        examples=[*PLAIN, "evening.scheme.yaml"],
    )
    brightness: _Level | None = Field(None, description="of a scheme, in place of its own")
    watts: Watts = Field(description="at the wall [W]")
    alone: bool = Field(
        False, description="every other supply unplugged; for a run that two of them feed"
    )
    amps: Amps | None = Field(None, description="out of the supply, if a clamp showed it [A]")


class ReadingsFile(StrictModel):
    """Readings of a meter between the wall and a supply."""

    format: Literal["evenfall-readings/1"]
    note: str = Field("", description="which meter, on which day, how warm it was")
    meter: Literal["checked", "unknown"] | AccuracyEntry = Field(
        "unknown", description="checked: ±3 % ±0.5 W; unknown: ±15 % ±0.5 W"
    )
    readings: Annotated[list[ReadingEntry], Field(min_length=1)]


@dataclass(frozen=True)
class Accuracy:
    """Limits of a meter: a share of what it shows, the same for all readings, and watts of each."""

    share: float
    watts: float


#: Independent tests of nine plug-in meters found mean errors of 3 to 19 %, mostly under (HIIT TR
#: 2009-1 [published]); these limits stand for it [common practice, no source].
ACCURACY = {"checked": Accuracy(0.03, 0.5), "unknown": Accuracy(0.15, 0.5)}


@dataclass(frozen=True, eq=False)
class Reading:
    """One line of the file, with the codes of the house while it was read."""

    supply: str
    lit: str
    brightness: float | None
    watts: float
    amps: float | None
    codes: np.ndarray  # (T, N, C) uint8
    at: tuple[str | int, ...]  # its place in the document
    alone: bool = False  # no other supply is plugged in

    @property
    def said(self) -> str:
        """What was lit, in words."""
        if self.brightness is None:
            return self.lit
        return f"{self.lit} at {100 * self.brightness:g}%"


@dataclass(frozen=True, eq=False)
class Readings:
    """All of a readings file."""

    file: str
    document: Document
    accuracy: Accuracy
    readings: tuple[Reading, ...]


def readings_schema() -> dict[str, Any]:
    """The JSON Schema of the readings file."""
    made = ReadingsFile.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}


def load_readings(path: str | os.PathLike[str], house: House) -> Readings:
    """The readings at `path` of `house`; raises InputError with every problem of the file."""
    document = read(path)
    file = check(document, ReadingsFile)
    problems: list[Problem] = []
    made = [
        _reading(document, number, entry, house, problems)
        for number, entry in enumerate(file.readings)
    ]
    if problems:
        raise InputError(problems)
    accuracy = file.meter
    return Readings(
        file=document.file,
        document=document,
        accuracy=ACCURACY[accuracy]
        if isinstance(accuracy, str)
        else Accuracy(accuracy.share, accuracy.watts),
        readings=tuple(each for each in made if each is not None),
    )


def _reading(
    document: Document, number: int, entry: ReadingEntry, house: House, problems: list[Problem]
) -> Reading | None:
    path = ("readings", number)
    names = [supply.name for supply in house.supplies]
    supply = entry.supply or (names[0] if len(names) == 1 else "")
    if supply not in names:
        if not names:
            what, do = "the house has no supplies", "add them to the house file"
        elif not supply:
            what = "which supply is plugged into the meter?"
            do = f"add 'supply': {', '.join(names)}"
        else:
            what, do = f"there is no supply '{supply}'", did_you_mean(supply, names)
        problems.append(document.problem((*path, "supply"), what, do))
        return None
    scheme = _scheme(document, (*path, "lit"), entry.lit, house, problems)
    if entry.lit not in PLAIN and scheme is None:
        return None
    if entry.brightness is not None and scheme is None:
        what = f"'{entry.lit}' has no brightness"
        do = "leave it out, or name a scheme"
        problems.append(document.problem((*path, "brightness"), what, do))
        return None
    if entry.watts <= 0:
        what, do = "a supply in a socket takes more than 0 W", "leave out what the meter cannot see"
        problems.append(document.problem((*path, "watts"), what, do))
        return None
    codes = _plain(house, entry.lit) if scheme is None else _shown(house, scheme, entry.brightness)
    if entry.lit in CHANNELS and not codes.any():
        what = f"no pixel of the house has the channel {entry.lit}"
        problems.append(document.problem((*path, "lit"), what, "take this reading out"))
        return None
    at = (*path, "watts")
    return Reading(supply, entry.lit, entry.brightness, entry.watts, entry.amps, codes, at,
                   entry.alone)  # fmt: skip


def _scheme(
    document: Document, path: tuple[str | int, ...], lit: str, house: House, problems: list[Problem]
) -> Scheme | None:
    if lit in PLAIN:
        return None
    folder = Path(document.file).parent
    if not (folder / lit).is_file():
        known = [*PLAIN, *(each.name for each in sorted(folder.glob(SCHEMES)))]
        here = Path(document.file).name
        what = f"'{lit}' is no way to be lit, and no scheme file beside {here}"
        problems.append(document.problem(path, what, did_you_mean(lit, known)))
        return None
    try:
        return load_scheme(folder / lit, house)
    except InputError as error:
        problems += error.problems
        return None


def _plain(house: House, lit: str) -> np.ndarray:
    """The codes (1, N, C) of a plain look; channels that a kind has not stay dark."""
    level = {"unplugged": 0, "off": 0, "half": 128}.get(lit, 255)
    return plain_codes(house, level, CHANNELS if lit in ("all", "half") else (lit,))


def _shown(house: House, scheme: Scheme, brightness: float | None) -> np.ndarray:
    """The codes (T, N, C) of a scheme over its course."""
    rig, show = rig_for(house, scheme), bind(house, scheme)
    still = show.period_s == 0
    times = np.arange(1 if still else _INSTANTS) / _INSTANTS * span_s(show)
    return on_wire(rig, show, np.rint(times * show.fps) / show.fps, brightness)
