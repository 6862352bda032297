"""Expressions against Python's own grammar (`ast`) and exact fractions (`fractions`)."""

from __future__ import annotations

import ast
import time
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from layouts.expression import (
    MAX_CHARACTERS,
    MAX_DEPTH,
    MAX_RESULT,
    ExpressionError,
    Quantity,
    parse,
    reckoned,
)

VALUES = {"w": Fraction(12), "h": Fraction("2.6"), "naïve_1": Fraction(3, 7)}
SPACE = st.sampled_from(["", " ", "  "])
LEAF = st.one_of(
    st.integers(0, 999).map(str),
    st.decimals(0, 99, places=3).map(str),
    st.sampled_from(list(VALUES)),
)


def _wider(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    joined = st.tuples(inner, SPACE, st.sampled_from("+-*/"), SPACE, inner).map("".join)
    return st.one_of(joined, inner.map("({})".format), inner.map("-{}".format))


EXPRESSIONS = st.recursive(LEAF, _wider, max_leaves=25)


def reference(text: str) -> Fraction:
    """What Python's grammar and `fractions` make of it. Raises ZeroDivisionError."""
    does = {
        ast.Add: lambda a, b: a + b,
        ast.Sub: lambda a, b: a - b,
        ast.Mult: lambda a, b: a * b,
        ast.Div: lambda a, b: a / b,
    }

    def value(node: ast.expr) -> Fraction:
        if isinstance(node, ast.BinOp):
            return does[type(node.op)](value(node.left), value(node.right))
        if isinstance(node, ast.UnaryOp):
            assert isinstance(node.op, ast.USub)
            return -value(node.operand)
        if isinstance(node, ast.Name):
            return VALUES[node.id]
        assert isinstance(node, ast.Constant)
        # the digits as written: a float would have rounded them
        return Fraction(ast.get_source_segment(source, node) or "")

    source = text.strip()
    return value(ast.parse(source, mode="eval").body)


@given(EXPRESSIONS)
def test_numbers_come_to_what_python_makes_of_them(text: str) -> None:
    values = {name: Quantity(value) for name, value in VALUES.items()}
    try:
        wanted = reference(text)
    except ZeroDivisionError:
        with pytest.raises(ExpressionError, match="divides by zero"):
            reckoned(parse(text), values)
        return
    assume(abs(wanted) < MAX_RESULT)
    try:
        found = reckoned(parse("= " + text), values).value
    except ExpressionError as error:  # it, or a part of it, is beyond the bounds
        beyond = str(error)
    else:
        beyond = ""
        assert found == wanted
    assert not beyond or "more than a house can have" in beyond


@given(EXPRESSIONS)
def test_lengths_have_the_power_that_logarithms_give(text: str) -> None:
    """The power of a product is the sum of powers: by reckoning with two sizes of the metre."""
    values = {name: Quantity(value, 1) for name, value in VALUES.items()}
    scaled = {name: Quantity(value * 2, 1) for name, value in VALUES.items()}
    try:
        one, two = reckoned(parse(text), values), reckoned(parse(text), scaled)
    except ExpressionError:
        return
    # a quantity of power p grows by 2^p when every length doubles
    assert two.value == one.value * Fraction(2) ** one.power


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        # by hand, with 1 in = 25.4 mm and 1 ft = 304.8 mm exactly (1959)
        ("= 30 cm", "0.3"),
        ("= 10 cm * 3", "0.3"),
        ("=2.5 m-40mm", "2.46"),
        ("= 12 ft 6 in", "3.81"),
        ("= 12 ft - 6 in", "3.5052"),
        ("= 12' 6\" / 2", "1.905"),
        ("= 9' 6 1/2\"", "2.9083"),
        ("= 9 ft 1/2 in", "2.7559"),
        ("= -(3 ft)", "-0.9144"),
        ("= --1 m", "1"),
        ("= 2 * 3 m * 4 m / (1 m)", "24"),
        ("= (.5 m)", "0.5"),
    ],
)
def test_lengths(text: str, metres: str) -> None:
    assert reckoned(parse(text), {}) == Quantity(Fraction(metres), 1)


@pytest.mark.parametrize(
    ("text", "offset", "problem"),
    [
        ("=", 1, "there is nothing to reckon; write it like '= width / 2'"),
        ("= 1 +", 5, "expected a value, found the end"),
        ("= 1 2", 4, "expected + - * or /, found '2'"),
        ("= (1 + 2", 2, "this '(' is not closed; write a ')'"),
        ("= 1)", 3, "this ')' closes nothing; take it out"),
        ("= ()", 3, "expected a value, found ')'"),
        ("= 2 ** 3", 5, "expected a value, found '*'"),
        ("= 2 ^ 3", 4, "'^' has no place in an expression"),
        ("= 7 % 3", 4, "'%' has no place"),
        ("= 7 // 3", 5, "expected a value, found '/'"),
        ("= w × 2", 4, "'×' has no place in an expression; write *"),
        ("= w − 2", 4, "'−' has no place in an expression; write a plain minus: -"),
        ("= 2,5 m", 3, "',' has no place in an expression; write a decimal point"),
        ("= sin(w)", 2, "there is no 'sin( )' here; write it out"),
        ("= __import__('os')", 2, "there is no '__import__( )' here"),
        ("= w.real", 3, "'.' has no place"),
        ("= w[0]", 3, "'[' has no place"),
        ("= 3 yd", 4, "expected + - * or /, found 'yd'"),
        ("= 3yd", 3, "'yd' is no unit of length; write one of m, cm, mm, ft, in"),
        ("= 1e3", 3, "'e3' is no unit of length"),
        ("= w if w else 1", 4, "expected + - * or /, found 'if'"),
        ("= 1 m + 2", 6, "a number without a unit cannot be added to a length; write the unit"),
        ("= 1 m - 2 m * 3 m", 6, "an area cannot be taken from a length; look at what is"),
        ("= 1 / (2 - 2)", 4, "this divides by zero"),
        ("= 1 m / (1 m - 100 cm)", 6, "this divides by zero"),
        ("= 1 / 0.000", 4, "this divides by zero"),
        ("= 9 1/0 in", 2, "'9 1/0 in' is not a length"),
        ("= 1000000 * 10000000", 10, "this comes to more than a house can have"),
        ("= " + "9" * 500, 2, "this comes to more than a house can have"),
        ("= " + " * ".join(["1 m"] * 11), 54, "too many lengths are multiplied"),
    ],
)
def test_what_is_wrong_is_told_at_its_character(text: str, offset: int, problem: str) -> None:
    values = {"w": Quantity(Fraction(1))}
    with pytest.raises(ExpressionError) as caught:
        reckoned(parse(text), values)
    assert str(caught.value).startswith(problem)
    assert caught.value.offset == offset


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("= " + "(" * 400 + "1" + ")" * 400, f"brackets more than {MAX_DEPTH} deep"),
        ("= " + "-(" * 300 + "1" + ")" * 300, f"brackets more than {MAX_DEPTH} deep"),
        ("= " + "1+" * 5000 + "1", f"characters, where {MAX_CHARACTERS} are allowed"),
        ("(" * 10_000_000, f"characters, where {MAX_CHARACTERS} are allowed"),
    ],
)
def test_what_is_hostile_is_refused_at_once(text: str, problem: str) -> None:
    began = time.process_time()
    with pytest.raises(ExpressionError, match=problem):
        parse(text)
    assert time.process_time() - began < 1


def test_signs_without_end_need_no_stack() -> None:
    assert reckoned(parse("= " + "-" * 900 + "1"), {}).value == 1


def test_digits_without_end_are_refused() -> None:
    x = Quantity(Fraction(10**15 + 1, 10**15 + 3))
    with pytest.raises(ExpressionError, match="more digits than can be reckoned with"):
        reckoned(parse("=" + "*".join(["x"] * 499)), {"x": x})


@given(st.text(max_size=60))
def test_any_text_is_parsed_or_refused_in_words(text: str) -> None:
    told = None
    try:
        made = parse("=" + text)
        reckoned(made, dict.fromkeys(made.names, Quantity(Fraction(1), 1)))
    except ExpressionError as error:
        told = error
    if told is not None:
        assert 0 <= told.offset <= len(text) + 1
        assert "; " in str(told)
