"""Holding a document against a model, and saying what is wrong in the user's words."""

from __future__ import annotations

import types
import typing
from typing import TYPE_CHECKING, Any

from layouts.errors import InputError, PlacedError, Problem, ToldElsewhere
from layouts.files.names import MANY, did_you_mean, nearest
from layouts.files.numerals import number_hint
from layouts.files.typos import cut_by_comma, lost_colour, too_many_by_commas

if TYPE_CHECKING:
    from pydantic import BaseModel

    from layouts.files.written import Path, Written

M = typing.TypeVar("M", bound="BaseModel")

_FOUND = {
    str: "text",
    bool: "true/false",
    int: "a number",
    float: "a number",
    list: "a list",
    dict: "a mapping",
    type(None): "nothing",
}
_EXPECTED = {
    "string_type": "text",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "list_type": "a list",
    "dict_type": "a mapping of keys to values",
    "model_type": "a mapping of keys to values",
    "model_attributes_type": "a mapping of keys to values",
}
_BOUNDS = {
    "greater_than": "gt",
    "greater_than_equal": "ge",
    "less_than": "lt",
    "less_than_equal": "le",
}
_BOUND_WORDS = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}


def check(document: Written, model: type[M], context: Any = None) -> M:
    """The document as an instance of `model`.

    Raises InputError with every way in which it does not fit, each at its line and column, and
    with what the reader of the file found. A validator's ValueError may say what to do after a
    semicolon.
    """
    from pydantic import ValidationError

    wrong = wrong_format(document, model)
    if wrong is not None:
        raise InputError([wrong])
    try:
        made = model.model_validate(document.data, context=context)
    except ValidationError as error:
        errors = error.errors(include_url=False)
        raise InputError(all_problems(document, model, errors)) from None
    if document.problems:
        raise InputError(document.problems)
    return made


def wrong_format(document: Written, model: type[BaseModel]) -> Problem | None:
    """The one problem of a file of another format, where the rest would be noise."""
    if not isinstance(document.data, dict):
        found = _FOUND.get(type(document.data), "something else")
        return document.problem(
            (), f"expected keys and values, found {found}", "see the demo files"
        )
    field = model.model_fields.get("format")
    written = document.data.get("format")
    if field is None or not isinstance(written, str):
        return None
    wanted = typing.get_args(field.annotation)
    if written in wanted:
        return None
    what = f"this is a file of format '{written}'"
    return document.problem(("format",), what, f"expected '{wanted[0]}'")


def all_problems(document: Written, model: type[BaseModel], errors: list[Any]) -> list[Problem]:
    """What the reader found and the model's `errors`, one problem a place.

    The branches of a union are told as alternatives.
    """
    told: dict[tuple[Any, ...], tuple[bool, list[str], str]] = {}
    offsets: dict[tuple[Any, ...], int] = {}
    paths = [existing(document.data, error["loc"]) for error in errors]
    extra = [n for n, error in enumerate(errors) if error["type"] == "extra_forbidden"]
    guessed = set(extra[:MANY])  # a name is looked for of so many, or a file could ask for ever
    meant = _meant(model, [paths[n] for n in guessed])
    passed = {path[:depth] for path in paths for depth in range(len(path))}
    for number, (path, error) in enumerate(zip(paths, errors, strict=True)):
        if error["type"] in _EXPECTED and path in passed:
            continue  # one branch of a union; another got deeper
        if error["type"] == "missing" and (*path, error["loc"][-1]) in meant:
            continue  # the misspelt key is told
        cause = error.get("ctx", {}).get("error")
        if isinstance(cause, ToldElsewhere):
            continue
        if error["type"] == "extra_forbidden" and number not in guessed:
            at_key, what, do = True, f"unknown key '{path[-1]}'", ""
        else:
            at_key, what, do = _words(document, model, path, error)
        where = (path, what) if at_key or not what.startswith("expected ") else (path, "expected")
        _, whats, _ = told.setdefault(where, (at_key, [], do))
        if what not in whats:
            whats.append(what)
        if isinstance(cause, PlacedError):
            offsets[where] = cause.offset
    problems = list(document.problems)
    seen = {(problem.line, problem.column) for problem in problems}
    for where, (at_key, whats, do) in told.items():
        offset = offsets.get(where, 0)
        problem = document.problem(where[0], _either(whats), do, key=at_key, offset=offset)
        if (problem.line, problem.column) not in seen:
            problems.append(problem)
    return problems


def _meant(model: type[BaseModel], unknown: list[Path]) -> set[Path]:
    """The paths that the misspelt keys `unknown` were meant for."""
    meant: set[Path] = set()
    for path in unknown:
        near = nearest(str(path[-1]), keys_at(model, path))
        if near is not None:
            meant.add((*path[:-1], near))
    return meant


def broken(data: Any, errors: list[Any]) -> list[tuple[Path, str]]:
    """Where in `data` each of `errors` is, and its type."""
    return [(existing(data, error["loc"]), error["type"]) for error in errors]


def existing(data: Any, loc: tuple[Any, ...]) -> Path:
    """`loc` without what the model adds: the names of union branches and of missing keys."""
    path: Path = ()
    for step in loc:
        is_key = isinstance(data, dict) and step in data
        is_index = isinstance(data, list) and isinstance(step, int) and 0 <= step < len(data)
        if is_key or is_index:
            path, data = (*path, step), data[step]
    return path


def _either(whats: list[str]) -> str:
    if len(whats) == 1:
        return whats[0]
    wanted = [what.removeprefix("expected ").split(", found ")[0] for what in whats]
    found = whats[0].split(", found ")[-1]
    return f"expected {' or '.join(wanted)}, found {found}"


def _words(
    document: Written, model: type[BaseModel], path: Path, error: Any
) -> tuple[bool, str, str]:
    """Whether the key is meant, what is wrong and what to do."""
    kind, context, found = error["type"], error.get("ctx", {}), error["input"]
    if kind == "extra_forbidden":
        key = str(path[-1])
        comma = cut_by_comma(*document.line_at(path, key=True), key)
        return True, f"unknown key '{key}'", comma or did_you_mean(key, keys_at(model, path))
    if kind == "missing":
        return False, f"the key '{error['loc'][-1]}' is missing", "add it"
    if kind == "value_error":
        what, _, do = str(context["error"]).partition("; ")
        return error["loc"][-1] == "[key]", what, do
    if kind in _EXPECTED:
        do = _instead(document, model, path, error)
        return False, f"expected {_EXPECTED[kind]}, found {_shown(found)}", do
    if kind in _BOUNDS:
        key = _BOUNDS[kind]
        bounds = {key: context[key], **bounds_at(model, path)}
        said = [f"{_BOUND_WORDS[each]} {bounds[each]:g}" for each in _BOUND_WORDS if each in bounds]
        return False, f"{_shown(found)} is out of range", f"write {' and '.join(said)}"
    if kind == "literal_error":
        names = [part for part in context["expected"].split("'") if part not in ("", ", ", " or ")]
        return False, f"{_shown(found)} is not one of the choices", did_you_mean(str(found), names)
    if kind == "too_short":
        return False, _length(f"at least {context['min_length']}", context), "add some"
    if kind == "too_long":
        context = {**context, "actual_length": len(found)}  # not counted beyond the bound
        extra = context["actual_length"] - context["max_length"]
        commas = too_many_by_commas(*document.line_at(path), extra)
        wanted = f"at most {context['max_length']}"
        return False, _length(wanted, context), commas or "leave some out"
    return False, error["msg"], ""


def _instead(document: Written, model: type[BaseModel], path: Path, error: Any) -> str:
    """What to write in the place of a value of the wrong type."""
    kind, found = error["type"], error["input"]
    if kind == "string_type" and isinstance(found, int | float):
        return "put it in quotes"
    if kind in ("float_type", "int_type") and isinstance(found, str):
        return number_hint(found, str(path[-1]))
    if found is not None or not path:
        return ""
    colour = lost_colour(*document.line_at(path))
    if colour or not isinstance(path[-1], str):
        return colour
    empty = {"list_type": "[]", "dict_type": "{}"}.get(kind, "one")
    may_be_left_out = path[-1] in optional_at(model, path)
    return f"write {empty} or leave the key out" if may_be_left_out else "write one"


def _length(wanted: str, context: Any) -> str:
    what = "a mapping" if context.get("field_type") == "Dictionary" else "a list"
    return f"{what} of {context['actual_length']}, where {wanted} belong"


def _shown(value: Any) -> str:
    if isinstance(value, str):
        return f"'{value}'"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return f"{value:g}"
    return _FOUND.get(type(value), type(value).__name__)


def keys_at(model: Any, path: Path) -> list[str]:
    """The keys that `model` allows beside the last step of `path`."""
    return [info.alias or name for name, info in _fields_at(model, path)]


def optional_at(model: Any, path: Path) -> list[str]:
    """Those of them that may be left out."""
    fields = _fields_at(model, path)
    return [info.alias or name for name, info in fields if not info.is_required()]


def bounds_at(model: Any, path: Path) -> dict[str, float]:
    """The bounds (gt, ge, lt, le) of the number that `model` has at `path`."""
    found: dict[str, float] = {}
    for name, info in _fields_at(model, path):
        if path and path[-1] in (name, info.alias):
            for each in (*info.metadata, *_metadata(info.annotation)):
                for part in (each, *getattr(each, "metadata", ())):
                    found |= {key: getattr(part, key) for key in _BOUND_WORDS if hasattr(part, key)}
    return found


def _metadata(annotation: Any) -> list[Any]:
    """What stands in Annotated, through unions."""
    own = list(getattr(annotation, "__metadata__", ()))
    return own + [each for part in typing.get_args(annotation) for each in _metadata(part)]


def _fields_at(model: Any, path: Path) -> list[tuple[str, Any]]:
    models = _models(model)
    for step in path[:-1]:
        models = [found for each in models for found in _step(each, step)]
    return [field for each in models for field in each.model_fields.items()]


def _step(model: Any, step: str | int) -> list[Any]:
    for name, info in model.model_fields.items():
        if step in (name, info.alias):
            return _models(info.annotation)
    return [model]  # an index of a list or a name in a mapping leads to the same model


def _models(annotation: Any) -> list[Any]:
    """The models in `annotation`, through lists, mappings, unions and Annotated."""
    if isinstance(annotation, type) and hasattr(annotation, "model_fields"):
        return [annotation]
    generic = isinstance(annotation, types.GenericAlias | types.UnionType)
    if generic or typing.get_origin(annotation):
        return [model for part in typing.get_args(annotation) for model in _models(part)]
    return []
