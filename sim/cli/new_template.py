"""`evenfall new DIR --from-template house.yaml --set width="14 m"`: the same house, other measures.

The text of the template is copied with the named measures replaced; all else stays to the byte.
What lies beside it and is part of it goes along: its photograph, the schemes and seasons that
load with the new house, and the parts and prices. Where no scheme does, a plain one is written.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layouts.errors import EvenfallError, InputError
from layouts.expression import Quantity
from layouts.file_names import PARTS, PRICES, SCHEME_ENDING, SCHEMES
from layouts.files.names import nearest
from layouts.measures import measures_of, quantity_of
from layouts.starter import write_new
from sim.cli.common import say
from sim.cli.new_files import PLAIN_SCHEME

if TYPE_CHECKING:
    from layouts.records import House

SEASONS = "*.season.yaml"


def from_template(folder: Path, template: Path, sets: list[str]) -> list[Path]:
    """Writes the house that `template` becomes with the measures `sets`, each `name=value`.

    Returns the files written, the house first; what lies beside the template and is left out is
    told on stderr. Raises EvenfallError, before anything is written, for a measure that the
    template has not, a value that is of another sort than the template's, measures with which the
    house does not hold, and for a file that is there already.
    """
    from layouts.files.document import parse
    from layouts.files.edits import Put, edited
    from layouts.known import Known
    from layouts.load import house_of, load_house

    before = load_house(template)
    raw = template.read_bytes()
    mark = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
    text = raw.decode("utf-8-sig")
    values = _values(before, template, sets)
    text = edited(text, [Put(("measures", name), new) for name, new in values.items()])
    try:
        house = house_of(parse(text, str(template)), Known())
    except InputError as error:
        given = ", ".join(f"{name} {_shown(new)}" for name, new in values.items())
        raise EvenfallError(f"with {given} this house does not hold:\n{error}") from None
    _check_sides(before, house, values)
    beside, left_out = _beside(house, template)
    if not any(name.endswith(SCHEME_ENDING) for name, _ in beside):
        beside.append((f"evening{SCHEME_ENDING}", PLAIN_SCHEME.encode()))
    written = write_new(folder, {"house.yaml": mark + text.encode(), **dict(beside)})
    for name, why in left_out:
        say(f"left out: {name}, {why}")
    return list(written)


def _check_sides(before: House, house: House, values: dict[str, Any]) -> None:
    """Raises EvenfallError where a part is turned inside out: its measures passed each other."""
    from layouts.polygon import area_m2

    was = [area_m2(each.outline_m) for each in before.drawing.surfaces]
    parts = zip(house.drawing.surfaces, was, strict=True)
    lost = [each.name for each, area in parts if area_m2(each.outline_m) * area <= 0]
    if lost:
        given = ", ".join(f"{name} {_shown(new)}" for name, new in values.items())
        more = f" and {len(lost) - 1} more" if len(lost) > 1 else ""
        raise EvenfallError(
            f"with {given} this house does not hold: '{lost[0]}'{more} would be turned inside out;"
            " give a value nearer to the template's"
        )


def _values(house: House, template: Path, sets: list[str]) -> dict[str, Any]:
    """What to write under each measure that is set. Raises EvenfallError with all that is wrong."""
    there = dict(house.measures)
    problems, values = [], {}
    for each in sets:
        name, equals, text = (part.strip() for part in each.partition("="))
        if not equals or not name or not text:
            problems.append(f"--set {each}: write it like --set width=14m")
        elif not there:
            problems.append(f"--set {each}: {template} has no measures that could be set")
        elif name not in there:
            listed = ", ".join(f"{key} ({_shown(value)})" for key, value in there.items())
            near = nearest(name, there)
            meant = f"did you mean '{near}'? " if near else ""
            what = f"there is no measure '{name}'; {meant}there are: {listed}"
            problems.append(f"--set {each}: {what}")
        elif name in values:
            problems.append(f"--set {each}: '{name}' is set twice; set it once")
        else:
            try:
                values[name] = _value(name, text, house)
            except ValueError as error:
                problems.append(f"--set {each}: {error}")
    if problems:
        raise EvenfallError("\n".join(problems))
    return values


def _value(name: str, text: str, house: House) -> Any:
    """`text` as it is written under the measure: of the same sort as what stands there.

    A bare number for a length is one in the house's units. Raises ValueError.
    """
    was = measures_of(dict(house.measures))[0].values[name]
    number = _number(text)
    if number is not None:
        if was.power == 1:
            return f"{text} {house.units}"
        new, written = Quantity(Fraction(repr(number)), plain=True), number
    else:
        new, written = _reckoned(name, text, house)
    if new.power == was.power:
        return written
    if was.power == 1 and new.plain:
        return f"{written} * 1 {house.units}"
    raise ValueError(f"this is {new.what}; '{name}' is {was.what}: {_shown(house.measures[name])}")


def _reckoned(name: str, text: str, house: House) -> tuple[Quantity, Any]:
    """What a length, or an expression with or without its =, comes to and how it is written."""
    try:
        return quantity_of(text), text
    except ValueError:
        written = text if text.startswith("=") else f"= {text}"
    made, troubles = measures_of({**house.measures, name: written})
    if name not in made.values:  # another's trouble with it is told with the house
        raise ValueError("; ".join((troubles[0].what, troubles[0].do)))
    return made.values[name], written


def _number(text: str) -> int | float | None:
    from layouts.files.nodes import meant

    made = meant(text)
    is_number = isinstance(made, int | float) and not isinstance(made, bool)
    return made if is_number and abs(made) < 1e9 else None


def _shown(value: Any) -> str:
    return f"{value}".strip()


def _beside(house: House, template: Path) -> tuple[list[tuple[str, bytes]], list[tuple[str, str]]]:
    """The files that go along, by the name they get, and those that do not, with the reason."""
    from effects import load_scheme

    here = template.resolve().parent
    taken: list[tuple[str, bytes]] = []
    left: list[tuple[str, str]] = []
    schemes: set[str] = set()
    for path in sorted(template.parent.glob(SCHEMES)):
        try:
            load_scheme(path, house)
        except EvenfallError as error:
            left.append((path.name, f"which does not load with this house: {_first(error)}"))
            continue
        schemes.add(path.name)
        taken.append((path.name, path.read_bytes()))
    for path in sorted(template.parent.glob(SEASONS)):
        lost = _schemes_lost(path, house, schemes)
        if lost:
            left.append((path.name, lost))
        else:
            taken.append((path.name, path.read_bytes()))
    taken += [(n, (here / n).read_bytes()) for n in (PARTS, PRICES) if (here / n).is_file()]
    if house.drawing.photo is not None:
        photo = Path(house.drawing.photo.file)
        taken.append((str(photo.relative_to(here)), photo.read_bytes()))
    return taken, left


def _schemes_lost(path: Path, house: House, schemes: set[str]) -> str:
    """Why a season is left out; "" where it loads with the house and all its schemes go along."""
    from datetime import datetime

    from sim.season import load_season

    try:
        season = load_season(path, house, year=datetime.now().year)
    except EvenfallError as error:
        return f"which does not load with this house: {_first(error)}"
    named = {Path(each.file).name for each in season.schemes.values()}
    lost = sorted(named - schemes)
    return f"for its scheme {lost[0]} is not there" if lost else ""


def _first(error: EvenfallError) -> str:
    return str(error).splitlines()[0]
