"""Going on with what is sound in a broken file, so that all that is wrong is told at once.

What does not fit the model is taken out, entry by entry until the rest is valid. Lists grow
shorter by that, so the places of what is left are looked up in the file as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from layouts.errors import InputError, Problem
from layouts.files.checking import all_problems, broken, wrong_format
from layouts.files.written import Path, Written

if TYPE_CHECKING:
    from pydantic import BaseModel

M = TypeVar("M", bound="BaseModel")

#: A wrong value, what lacks it then, and so on outwards.
MAX_ROUNDS = 6


@dataclass
class Recovery(Generic[M]):
    """What could be made of what was written; `model` is None where nothing could."""

    written: Written
    model: M | None
    problems: list[Problem] = field(default_factory=list)
    dropped: set[Path] = field(default_factory=set)  # what was taken out
    kept: dict[Path, list[int]] = field(default_factory=dict)  # list in the rest → old indices

    def complete(self, sections: tuple[str, ...]) -> bool:
        """Whether these lists at the top have lost no entry."""
        lost = {path[0] for path in self.dropped if len(path) <= 2}
        return lost.isdisjoint(sections)

    def original(self, path: Path) -> Path:
        """Where what stands at `path` in the rest stands in the file."""
        result: Path = ()
        for depth, step in enumerate(path):
            indices = self.kept.get(path[:depth])
            result = (*result, indices[step] if indices and isinstance(step, int) else step)
        return result


def recover(
    written: Written, model: type[M], context: Any, fallback: Mapping[str, Any]
) -> Recovery[M]:
    """Every problem of what was written, and a model of what is sound in it.

    `fallback` stands in for what the model needs and the file does not give. Raises
    InputError for a file of another format, whose problems would be noise.
    """
    from pydantic import ValidationError

    wrong = wrong_format(written, model)
    if wrong is not None:
        raise InputError([wrong])
    result: Recovery[M] = Recovery(written, None)
    for round_number in range(MAX_ROUNDS):
        result.kept = {}
        data = _without(written.data, (), (), result.dropped, result.kept)
        if round_number > 0:
            data = _filled(data, fallback)
        try:
            result.model = model.model_validate(data, context=context)
            break
        except ValidationError as error:
            errors = error.errors(include_url=False)
        if round_number == 0:
            result.problems = all_problems(written, model, errors)
        # A key missing at the top is filled in from `fallback`, and what it holds is not complete.
        lacking = {(error["loc"][0],) for error in errors if error["type"] == "missing"
                   and len(error["loc"]) == 1}  # fmt: skip
        paths = {
            result.original(_unit(data, path, kind))
            for path, kind in broken(data, errors)
            if not (kind == "missing" and path == () and lacking)
        } | {path for path in lacking if path[0] in fallback}
        if () in paths:
            break
        result.dropped |= paths
    if not result.problems:
        result.problems = list(written.problems)
    return result


def _filled(data: dict[str, Any], fallback: Mapping[str, Any]) -> dict[str, Any]:
    """`data` with what it lacks from `fallback`, mapping by mapping."""
    filled = {**fallback, **data}
    for key, deeper in fallback.items():
        if isinstance(deeper, dict) and isinstance(filled[key], dict):
            filled[key] = _filled(filled[key], deeper)
    return filled


def _unit(data: Any, path: Path, error: str) -> Path:
    """What to take out for an error at `path`.

    An unknown key alone; otherwise the entry it belongs to, for a default in the place of a wrong
    value would make more wrong: the innermost mapping in a list, or what a name or a key of the
    second level stands for.
    """
    if error == "extra_forbidden":
        return path
    unit = path[:2]
    for depth, step in enumerate(path):
        data = data[step]
        if isinstance(step, int) and isinstance(data, dict):
            unit = path[: depth + 1]
    return unit


def _without(
    value: Any, path: Path, new_path: Path, dropped: set[Path], kept: dict[Path, list[int]]
) -> Any:
    """`value` without what stands at `dropped`, itself where that is nothing; fills `kept`."""
    if not dropped:
        return value
    if isinstance(value, dict):
        return {
            key: _without(each, (*path, key), (*new_path, key), dropped, kept)
            for key, each in value.items()
            if (*path, key) not in dropped
        }
    if isinstance(value, list):
        indices = [index for index in range(len(value)) if (*path, index) not in dropped]
        if len(indices) < len(value):
            kept[new_path] = indices
        return [
            _without(value[index], (*path, index), (*new_path, place), dropped, kept)
            for place, index in enumerate(indices)
        ]
    return value
