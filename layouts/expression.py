"""Reckoning that people write where a number stands: `= width / 2 - 30 cm`.

    sum     = product (("+" | "-") product)*
    product = signed (("*" | "/") signed)*
    signed  = ("-" | "+")* (number [unit] | name | "(" sum ")")

Nothing else. A text is parsed once into steps for a stack and reckoned in exact fractions, so that
`10 cm * 3` is 30 cm to the last digit. How long, how deep and how large it may be is bounded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from layouts.errors import PlacedError
from layouts.units import METRES, exact_m

MAX_CHARACTERS = 1000
MAX_DEPTH = 40
#: A result may reach 10^12 [m or 1], and have so many bits above and below its fraction stroke.
MAX_RESULT = 10**12
MAX_BITS = 8192
MAX_POWER = 9

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_FEET = rf"{_NUMBER}\s*(?:ft\b|['′’])"
_INCHES = rf"(?:\d+\s+\d+/\d+|{_NUMBER})\s*(?:in\b|[\"″”])"
_FEET_INCHES = rf"{_FEET}\s*(?:\d+/\d+\s*(?:in\b|[\"″”])|{_INCHES})"
_TOKEN = re.compile(
    rf"(?P<length>{_FEET_INCHES}|{_FEET}|{_INCHES}|{_NUMBER}\s*(?:m|cm|mm)\b)"
    rf"|(?P<number>{_NUMBER})"
    r"|(?P<name>[^\W\d]\w*)"
    r"|(?P<sign>[-+*/()])"
)
_INSTEAD = {
    "−": "write a plain minus: -",
    "–": "write a plain minus: -",
    "×": "write *",
    "·": "write *",
    "÷": "write /",
    ",": "write a decimal point",
}


@dataclass(frozen=True)
class Quantity:
    """A number and what it measures: `power` 0 a number, 1 a length [m], 2 an area.

    `plain` is a number in which no unit took part: it may stand for a length in the file's units.
    """

    value: Fraction
    power: int = 0
    plain: bool = False

    @property
    def what(self) -> str:
        """In words: a number, a length, an area …"""
        words = {0: "a number without a unit", 1: "a length", 2: "an area", 3: "a volume"}
        return words.get(self.power, f"a length to the power of {self.power}")


class ExpressionError(PlacedError):
    """What is wrong with an expression, from which of its characters on; what to do after `;`."""


#: One step on the stack: its sign, the character it stands at, and what a number or name says.
Step = tuple[str, int, Quantity | str | None]


@dataclass(frozen=True)
class Expression:
    """A text that was parsed: steps in the order in which they are reckoned."""

    text: str
    steps: tuple[Step, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The measures it refers to, each once, in the order in which they are written."""
        named = (said for _, _, said in self.steps if isinstance(said, str))
        return tuple(dict.fromkeys(named))

    @property
    def is_literal(self) -> bool:
        """Whether it is one number or length and nothing to reckon."""
        return len(self.steps) == 1 and not self.names


def is_expression(value: object) -> bool:
    """Whether a value of a file is to be reckoned: a text that starts with `=`."""
    return isinstance(value, str) and value.lstrip().startswith("=")


def parse(text: str) -> Expression:
    """The expression that `text` is, with or without its `=`. Raises ExpressionError."""
    if len(text) > MAX_CHARACTERS:
        what = f"an expression of {len(text)} characters, where {MAX_CHARACTERS} are allowed"
        raise ExpressionError(f"{what}; name its parts under 'measures'", 0)
    return Expression(text, tuple(_Parser(text).whole()))


class _Parser:
    """Recursive descent over the tokens of one text; the stack of calls is bounded by brackets."""

    def __init__(self, text: str):
        self._text = text
        begin = len(text) - len(text.lstrip())
        self._at = begin + 1 if text[begin : begin + 1] == "=" else begin
        self._depth = 0
        self._kind, self._token, self._place = "", "", self._at
        self._next()

    def whole(self) -> list[Step]:
        if not self._kind:
            raise self._wrong("there is nothing to reckon", "write it like '= width / 2'")
        steps = self._sum()
        if self._token == ")":
            raise self._wrong("this ')' closes nothing", "take it out")
        if self._kind:
            raise self._wrong(
                f"expected + - * or /, found '{self._token}'", "write what joins the two"
            )
        return steps

    def _next(self) -> None:
        text = self._text
        while self._at < len(text) and text[self._at].isspace():
            self._at += 1
        self._place = self._at
        if self._at == len(text):
            self._kind = self._token = ""
            return
        found = _TOKEN.match(text, self._at)
        if found is None:
            what = f"'{text[self._at]}' has no place in an expression"
            may = "numbers, units, names of measures, + - * / and brackets"
            raise self._wrong(what, _INSTEAD.get(text[self._at], f"there may be {may}"))
        self._kind, self._token, self._at = str(found.lastgroup), found[0], found.end()

    def _wrong(self, what: str, do: str) -> ExpressionError:
        return ExpressionError(f"{what}; {do}", self._place)

    def _chain(self, signs: str, part: Callable[[], list[Step]]) -> list[Step]:
        steps = part()
        while self._kind == "sign" and self._token in signs:
            sign, place = self._token, self._place
            self._next()
            steps += [*part(), (sign, place, None)]
        return steps

    def _sum(self) -> list[Step]:
        return self._chain("+-", self._product)

    def _product(self) -> list[Step]:
        return self._chain("*/", self._signed)

    def _signed(self) -> list[Step]:
        minus, place = False, self._place
        while self._kind == "sign" and self._token in "+-":
            minus ^= self._token == "-"
            self._next()
        return [*self._atom(), ("minus", place, None)] if minus else self._atom()

    def _atom(self) -> list[Step]:
        kind, token, place = self._kind, self._token, self._place
        if token == "(":
            return self._bracket(place)
        if kind not in ("length", "number", "name"):
            found = f"'{token}'" if token else "the end"
            do = "write a number, a length or the name of a measure"
            raise self._wrong(f"expected a value, found {found}", do)
        self._next()
        if kind == "name":
            if self._token == "(":
                raise ExpressionError(f"there is no '{token}( )' here; write it out", place)
            return [("name", place, token)]
        if kind == "length":
            try:
                return [("value", place, Quantity(_bounded(exact_m(token), place), 1))]
            except ValueError as error:
                raise ExpressionError(str(error), place) from None
        if self._kind == "name" and self._place == place + len(token):
            unit = self._token
            do = f"write one of {', '.join(METRES)}, or * between a number and a name"
            raise self._wrong(f"'{unit}' is no unit of length", do)
        return [("value", place, Quantity(_bounded(Fraction(token), place), plain=True))]

    def _bracket(self, place: int) -> list[Step]:
        self._depth += 1
        if self._depth > MAX_DEPTH:
            do = "name its parts under 'measures'"
            raise self._wrong(f"brackets more than {MAX_DEPTH} deep", do)
        self._next()
        steps = self._sum()
        if self._token != ")":
            raise ExpressionError("this '(' is not closed; write a ')'", place)
        self._depth -= 1
        self._next()
        return steps


def reckoned(expression: Expression, values: Mapping[str, Quantity]) -> Quantity:
    """What `expression` comes to with the measures' `values`.

    Raises ExpressionError for lengths and numbers that are mixed up, a division by zero, and a
    result beyond the bounds. Every name must be among the values.
    """
    stack: list[Quantity] = []
    for sign, place, said in expression.steps:
        if isinstance(said, Quantity):
            stack.append(said)
        elif said is not None:
            stack.append(values[said])
        elif sign == "minus":
            top = stack.pop()
            stack.append(Quantity(-top.value, top.power, top.plain))
        else:
            right, left = stack.pop(), stack.pop()
            stack.append(_joined(sign, place, left, right))
    (result,) = stack
    return result


def _joined(sign: str, place: int, left: Quantity, right: Quantity) -> Quantity:
    plain = left.plain and right.plain
    if sign in "+-":
        if left.power != right.power:
            verb = "added to" if sign == "+" else "taken from"
            what = f"{right.what} cannot be {verb} {left.what}"
            number = 0 in (left.power, right.power)
            do = "write the unit behind the number" if number else "look at what is multiplied"
            raise ExpressionError(f"{what}; {do}", place)
        value = left.value + right.value if sign == "+" else left.value - right.value
        power = left.power
    elif sign == "*":
        value, power = left.value * right.value, left.power + right.power
    else:
        if not right.value:
            raise ExpressionError("this divides by zero; look at what stands behind it", place)
        value, power = left.value / right.value, left.power - right.power
    if abs(power) > MAX_POWER:
        raise ExpressionError("too many lengths are multiplied here; check the names", place)
    return Quantity(_bounded(value, place), power, plain)


def _bounded(value: Fraction, place: int) -> Fraction:
    if abs(value) > MAX_RESULT:
        raise ExpressionError("this comes to more than a house can have; check the units", place)
    if value.numerator.bit_length() + value.denominator.bit_length() > MAX_BITS:
        do = "write rounder numbers"
        raise ExpressionError(f"this comes to more digits than can be reckoned with; {do}", place)
    return value
