"""FormMeasures as people type them: `40 ft`, `6/12`, `right`; all that is wrong is told at once."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from layouts.errors import InputError, Problem
from layouts.forms.measures import FormMeasures
from layouts.forms.usual import FORMS
from layouts.units import METRES, length_m

#: Fields of `FormMeasures` by what is typed into them; pitch and units apart.
LENGTHS = ("width", "eave", "depth", "overhang", "garage_width", "porch", "porch_depth")
WORDS = ("form", "facing", "garage", "chimney", "wall", "roof", "kind", "name")
COUNTS = ("storeys", "dormers")
_NUMBER = r"(\d+(?:\.\d*)?|\.\d+)"
_RATIO = re.compile(rf"{_NUMBER}\s*(?:/|:|in)\s*{_NUMBER}")
_DEGREES = re.compile(rf"{_NUMBER}\s*(?:°|deg|degrees)")
_PERCENT = re.compile(rf"{_NUMBER}\s*%")
_BARE = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)")
_IMPERIAL = re.compile(r"ft|in|['\"′″’”]", re.IGNORECASE)


def pitch_of(text: str) -> float:
    """Rise over run from `6/12`, `30°` or `50 %`. Raises ValueError for anything else."""
    plain = text.strip()
    if match := _RATIO.fullmatch(plain):
        if not float(match[2]):
            raise ValueError(f"'{text}' divides by nothing; write it like 6/12")
        return float(match[1]) / float(match[2])
    if match := _DEGREES.fullmatch(plain):
        if float(match[1]) >= 89:
            raise ValueError(f"'{text}' is a wall; write it like 30°")
        return math.tan(math.radians(float(match[1])))
    if match := _PERCENT.fullmatch(plain):
        return float(match[1]) / 100
    raise ValueError(f"'{text}' is no pitch; write it like 6/12, 30° or '50 %'")


@dataclass
class _Reader:
    """Texts to values; what is wrong with each is kept, so that all is told at once."""

    units: str | None
    problems: list[Problem] = field(default_factory=list)

    def refuse(self, flag: str, what: str, do: str = "") -> None:
        self.problems.append(Problem(flag.replace("_", "-"), 0, 0, what, do))

    def read(self, flag: str, text: str, parse: Callable[[str], Any]) -> Any:
        try:
            return parse(text)
        except ValueError as error:
            what, _, do = str(error).partition("; ")
            self.refuse(flag, what, do)
            return None

    def length(self, text: str) -> float:
        """A length with its unit, or a bare number in the asked units [m]."""
        if _BARE.fullmatch(text.strip()):
            if self.units is None:
                raise ValueError(f"'{text}' has no unit; write '{text} ft' or '{text} m'")
            return length_m(float(text), self.units)
        return length_m(text)


def _whole(text: str) -> int:
    if not re.fullmatch(r"\s*\d{1,3}\s*", text):
        raise ValueError(f"'{text}' is no whole number; write it like 2")
    return int(text)


def measures_of(texts: Mapping[str, str], units: str | None, *, lit: bool = True) -> FormMeasures:
    """The measures that `texts` say, each under the name of its field.

    A bare number is in `units`; where these are not said, lengths carry their own, and the house
    is in feet where its front was measured in feet or inches, else in metres. Raises InputError
    with all that is wrong, each problem by its field as a flag is called: `porch-depth`.
    """
    reader = _Reader(units if units in METRES else None)
    if units is not None and units not in METRES:
        reader.refuse("units", f"'{units}' is no unit", f"write {', '.join(METRES)}")
    given: dict[str, Any] = {key: texts[key].strip() for key in WORDS if key in texts}
    for key in LENGTHS:
        if key in texts and not (key == "porch" and texts[key].strip() == "none"):
            given[key] = reader.read(key, texts[key], reader.length)
    for key in COUNTS:
        if key in texts:
            given[key] = reader.read(key, texts[key], _whole)
    if "pitch" in texts:
        given["pitch"] = reader.read("pitch", texts["pitch"], pitch_of)
    if "form" not in texts:
        reader.refuse("form", "what roof has it", f"write {' or '.join(FORMS)}")
    if "width" not in texts:
        do = "write --width '40 ft' or --width '12 m', from corner to corner"
        reader.refuse("width", "how wide is the front", do)
    wrong = {problem.file for problem in reader.problems}
    for key, needs in (("garage_width", "garage"), ("porch_depth", "porch")):
        if key in texts and given.get(needs, "none") == "none" and needs not in wrong:
            reader.refuse(key, f"there is no {needs}", f"write --{needs} too, or leave this out")
    made_units = units if units in METRES else units_of(texts)
    known = {key: value for key, value in given.items() if value is not None}
    try:
        # These stand in, so that the other measures are looked at too.
        known = {"form": "gable", "width": 12.0, **known}
        made = FormMeasures(**known, units=made_units, lit=lit)
    except InputError as error:
        raise InputError([*reader.problems, *error.problems]) from None
    if reader.problems:
        raise InputError(reader.problems)
    return made


def units_of(texts: Mapping[str, str]) -> str:
    """Feet where the front was measured in feet or inches, else metres."""
    return "ft" if _IMPERIAL.search(texts.get("width", "")) else "m"
