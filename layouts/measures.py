"""Measures of a house file: named numbers and lengths, and what is reckoned with them.

`measures: {width: 12 m, half: = width / 2}` gives names that an expression may use wherever the
file has a number. An expression is worth what the number would be that it stands for, written bare
in the file's units.
"""

from __future__ import annotations

import graphlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from layouts.errors import PlacedError, ToldElsewhere
from layouts.expression import (
    MAX_RESULT,
    Expression,
    ExpressionError,
    Quantity,
    is_expression,
    parse,
    reckoned,
)
from layouts.files.names import did_you_mean
from layouts.files.numerals import mended
from layouts.files.written import Path, Written
from layouts.units import METRES, exact_m, length_m

MAX_MEASURES = 1000

_NAME = re.compile(r"[^\W\d]\w*")


@dataclass(frozen=True)
class Trouble:
    """What is wrong with what stands at `path` of the file, from which character on."""

    path: Path
    what: str
    do: str
    offset: int = 0
    key: bool = False


@dataclass(frozen=True)
class Measures:
    """The measures of one file that are sound, and the names of all that are written."""

    values: Mapping[str, Quantity] = field(default_factory=dict)
    names: tuple[str, ...] = ()
    readable: bool = True  # whether the names are known at all

    def length(self, text: str, unit: str) -> float:
        """The length [m] that the expression `text` comes to in a file in `unit`.

        Raises ExpressionError where it is none, ToldElsewhere where a measure in it is broken.
        """
        result = self.quantity(text)
        if result.power != 1 and not result.plain:
            what = f"this comes to {result.what}, where a length belongs"
            do = "the lengths cancel" if not result.power else "one length too many is multiplied"
            do = do if result.power in (0, 2) else "look at what is multiplied and divided"
            raise ExpressionError(f"{what}; {do}", _start(text))
        exact = result.value / (_exact(METRES[unit]) if result.power else 1)
        try:
            return length_m(float(exact), unit)
        except ValueError as error:
            raise ExpressionError(str(error), _start(text)) from None

    def number(self, text: str) -> float:
        """The number without a unit that `text` comes to. Raises like `length`."""
        result = self.quantity(text)
        if result.power:
            do = "divide it by a length"
            what = f"this comes to {result.what}, where a number without a unit belongs"
            raise ExpressionError(f"{what}; {do}", _start(text))
        return float(result.value)

    def quantity(self, text: str) -> Quantity:
        """What the expression `text` comes to. Raises like `length`."""
        return self._reckoned(parse(text))

    def _reckoned(self, expression: Expression) -> Quantity:
        for _, place, name in expression.steps:
            if isinstance(name, str) and self.readable and name not in self.names:
                raise ExpressionError(_unknown(name, self.names), place)
        if any(name not in self.values for name in expression.names):
            raise ToldElsewhere("a measure of this expression is broken")
        return reckoned(expression, self.values)


NONE = Measures()


def measures_of(written: Any) -> tuple[Measures, list[Trouble]]:
    """The measures in the mapping that a file has under `measures`, and all that is wrong.

    What is no mapping at all is told by the model of the file. Measures may stand in any order.
    """
    if written is None or not isinstance(written, dict):
        return Measures(readable=written is None), []
    troubles: list[Trouble] = []
    if len(written) > MAX_MEASURES:
        what = f"{len(written)} measures, where {MAX_MEASURES} are allowed"
        return Measures(readable=False), [Trouble(("measures",), what, "leave some out", key=True)]
    names = tuple(str(name) for name in written)
    parsed: dict[str, Expression] = {}
    values: dict[str, Quantity] = {}
    for name, value in written.items():
        wrong = _wrong_name(str(name))
        if wrong:
            troubles.append(Trouble(("measures", name), *wrong, key=True))
        try:
            if is_expression(value):
                parsed[name] = parse(value)
            else:
                values[name] = quantity_of(value)
        except ValueError as error:
            troubles.append(_trouble(name, error))
    order, circles = _order(parsed)
    for circle in circles:
        path = ("measures", circle[0])
        what = f"measures that refer to each other in a circle: {' → '.join(circle)}"
        troubles.append(Trouble(path, what, "give one of them a value of its own"))
    for name in order:
        try:
            values[name] = Measures(values, names)._reckoned(parsed[name])
        except ToldElsewhere:
            continue
        except ValueError as error:
            troubles.append(_trouble(name, error))
    return Measures(values, names), troubles


def read_measures(written: Written) -> tuple[Measures, list[Any]]:
    """The measures of a house that somebody wrote, and the problems with them."""
    data = written.data
    if not isinstance(data, dict) or "measures" not in data:
        return NONE, []
    made, troubles = measures_of(data["measures"])
    told = [
        written.problem(each.path, each.what, each.do, key=each.key, offset=each.offset)
        for each in troubles
    ]
    return made, told


def quantity_of(value: Any) -> Quantity:
    """What a measure says that is no expression: a number, or a length with its unit.

    Raises ValueError for anything else.
    """
    if isinstance(value, int | float) and not isinstance(value, bool):
        if not abs(value) <= MAX_RESULT:
            raise ValueError("this number is beyond what a house can have; write a smaller one")
        return Quantity(Fraction(repr(value)), plain=True)
    if not isinstance(value, str):
        raise ValueError("a measure is a number or a length; write it like '12 m' or 0.5")
    try:
        length_m(value)
        return Quantity(exact_m(value), 1)
    except ValueError:
        pass
    try:
        parse(value)
    except ValueError:
        do = mended(value)[1] or "write it like '12 m' or 0.5, or start with ="
    else:
        do = f"to have it reckoned, write '= {value.strip()}'"
    raise ValueError(f"'{value}' is neither a number nor a length; {do}")


def _trouble(name: str, error: ValueError) -> Trouble:
    what, _, do = str(error).partition("; ")
    offset = error.offset if isinstance(error, PlacedError) else 0
    return Trouble(("measures", name), what, do, offset)


def _wrong_name(name: str) -> tuple[str, str] | None:
    if name in METRES:
        return f"'{name}' is a unit and cannot name a measure", "choose another name"
    if _NAME.fullmatch(name):
        return None
    do = "use letters, digits and _, a letter first"
    if "-" in name and _NAME.fullmatch(name.replace("-", "_")):
        do = f"a - would be a minus; write {name.replace('-', '_')}"
    return f"'{name}' cannot name a measure", do


def _unknown(name: str, names: tuple[str, ...]) -> str:
    if not names:
        do = f"write 'measures: {{{name}: …}}' at the top of the file"
        return f"there is no measure '{name}', for the file has none; {do}"
    return f"unknown measure '{name}'; {did_you_mean(name, names)}"


def _order(parsed: Mapping[str, Expression]) -> tuple[list[str], list[list[str]]]:
    """The order in which to reckon, without the measures that lie in circles, and those circles.

    A circle is told the way it refers: each uses the next, the last is the first again.
    """
    uses = {name: [n for n in each.names if n in parsed] for name, each in parsed.items()}
    circles: list[list[str]] = []
    while True:
        try:
            return list(graphlib.TopologicalSorter(uses).static_order()), circles
        except graphlib.CycleError as error:
            around = error.args[1][::-1][:-1]  # each is used by the next there
        first = min(range(len(around)), key=lambda i: list(parsed).index(around[i]))
        around = around[first:] + around[:first]
        circles.append([*around, around[0]])
        uses = {
            name: [n for n in used if n not in around]
            for name, used in uses.items()
            if name not in around
        }


def _exact(number: float) -> Fraction:
    return Fraction(str(number))


def _start(text: str) -> int:
    """Where the expression begins behind its `=`."""
    begin = text.find("=") + 1
    return begin + len(text[begin:]) - len(text[begin:].lstrip())
