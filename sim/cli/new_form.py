"""`evenfall new DIR --form FORM …`: measurements as they are typed, a drawn house, two schemes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layouts.errors import InputError, Problem
from layouts.units import METRES, length_m

if TYPE_CHECKING:
    from layouts.forms import Measures

#: Flags that are lengths, by the field of `Measures` that each fills.
LENGTHS = ("width", "eave", "depth", "overhang", "garage_width", "porch", "porch_depth")
WORDS = ("form", "facing", "garage", "chimney", "wall", "roof", "kind", "name")
COUNTS = ("storeys", "dormers")
_NUMBER = r"(\d+(?:\.\d*)?|\.\d+)"
_RATIO = re.compile(rf"{_NUMBER}\s*(?:/|:|in)\s*{_NUMBER}")
_DEGREES = re.compile(rf"{_NUMBER}\s*(?:°|deg|degrees)")
_PERCENT = re.compile(rf"{_NUMBER}\s*%")
_BARE = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)")
_IMPERIAL = re.compile(r"ft|in|['\"′″’”]", re.IGNORECASE)
REMARKS = """\
Made from measurements: a drawing by rule, not your house to the centimetre. Change what differs.

  evenfall plan house.yaml                            what wiring it needs, and why
  evenfall preview house.yaml evening.scheme.yaml     see it

Mains work is for a licensed electrician, outdoor circuits go behind a GFCI/RCD, and every wire
that leaves a supply gets a fuse at the supply's end."""


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
        self.problems.append(Problem(f"--{flag.replace('_', '-')}", 0, 0, what, do))

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


def measures_of(texts: Mapping[str, str], units: str | None, *, lit: bool = True) -> Measures:
    """The measures that the flags say. Raises InputError with all that is wrong with them."""
    from layouts.forms import Measures

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
    if "width" not in texts:
        do = "write --width '40 ft' or --width '12 m', from corner to corner"
        reader.refuse("width", "how wide is the front", do)
    wrong = {problem.file for problem in reader.problems}
    for key, needs in (("garage_width", "garage"), ("porch_depth", "porch")):
        if key in texts and given.get(needs, "none") == "none" and f"--{needs}" not in wrong:
            reader.refuse(key, f"there is no {needs}", f"write --{needs} too, or leave this out")
    made_units = units if units in METRES else _units_of(texts)
    known = {key: value for key, value in given.items() if value is not None}
    try:
        known.setdefault("width", 12.0)  # stands in, so that the other measures are looked at too
        made = Measures(**known, units=made_units, lit=lit)
    except InputError as error:
        flags = [
            Problem(f"--{each.file.replace('_', '-')}", 0, 0, each.what, each.do)
            for each in error.problems
        ]
        raise InputError([*reader.problems, *flags]) from None
    if reader.problems:
        raise InputError(reader.problems)
    return made


def _units_of(texts: Mapping[str, str]) -> str:
    """Feet where the front was measured in feet or inches, else metres."""
    return "ft" if _IMPERIAL.search(texts.get("width", "")) else "m"


def from_form(folder: Path, measures: Measures) -> list[Path]:
    """Writes house and schemes. Raises EvenfallError, before that, where one is there already."""
    from layouts.forms import drawn_form
    from layouts.new_file import house_text
    from layouts.starter import write_new

    data, over = drawn_form(measures)
    files = {
        "house.yaml": house_text(data, remarks=REMARKS, over=over),
        "evening.scheme.yaml": EVENING,
        "holiday.scheme.yaml": holiday(data),
    }
    return list(write_new(folder, {name: text.encode() for name, text in files.items()}))


EVENING = """\
# A plain warm evening, any day of the year.
format: evenfall-scheme/1
name: Warm evening
brightness: 0.4
layers:
  - {zones: all, effect: steady, palette: ["3000 K"]}
"""


def holiday(data: Mapping[str, Any]) -> str:
    """Red and green that wander along the roof, a warm entrance, a little snow-light over all."""
    zones = {*data["zones"], *(run["name"] for run in data["runs"])}
    roof = [zone for zone in ("eaves", "gables") if zone in zones]
    layers = [
        f"""\
  - zones: {zone}
    effect: chase
    palette: hollybush
    set: {{band: 0.6, gap: 0.25, speed: 0.12, soft: 0.4}}
"""
        for zone in roof
    ]
    if "entrance" in zones:
        layers.append('  - {zones: entrance, effect: steady, palette: ["2700 K"], opacity: 0.6}\n')
    return f"""\
# Red and green along the roof, as for Christmas. `evenfall list palettes` names others.
format: evenfall-scheme/1
name: Holiday
brightness: 0.85
layers:
{"".join(layers)}\
  - zones: all
    effect: glint
    palette: ["#ffffff"]
    set: {{rate: 0.8, length: 0.8}}
    blend: lighten
"""
