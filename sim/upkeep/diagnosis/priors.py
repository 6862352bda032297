"""How often what breaks, how well people see, what a test costs: read from a file, editable."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from layouts.errors import InputError
from layouts.files.document import read
from layouts.files.recovery import recover
from layouts.files.refusals import Refusals
from layouts.schema import StrictModel

_OWN = Path(__file__).with_name("priors.yaml")
#: Rows of `errors` that are tables of what is said, in the order of appearance numbers.
SAID = ("lit", "dark", "wrong", "flickers", "dimmer")

_Weight = Annotated[float, Field(ge=0, le=1e6)]
_Row = Annotated[list[Annotated[float, Field(gt=0, lt=1)]], Field(min_length=4, max_length=4)]
_Error = Annotated[float, Field(gt=0, lt=1)] | _Row
_Minutes = Annotated[float, Field(gt=0, le=10_000)]


class PriorsFile(StrictModel):
    """What may be written in a file of priors; what is left out stays as it is."""

    format: Literal["evenfall-priors/1"]
    source: str = ""
    weights: dict[str, _Weight] = Field({}, description="relative, of one place each")
    errors: dict[str, _Error] = Field({}, description="of people and meters")
    costs: dict[str, _Minutes] = Field({}, description="of tests [min]")
    repairs: dict[str, _Minutes] = Field({}, description="[min]")


@dataclass(frozen=True, eq=False)
class Priors:
    """All assumptions of a diagnosis."""

    weights: Mapping[str, float]
    errors: Mapping[str, float]
    said: np.ndarray  # (5, 4) P(said | is), `SAID` by the looks of a sightings file
    costs: Mapping[str, float]  # [min]
    repairs: Mapping[str, float]  # [min]
    source: str


def load_priors(path: str | os.PathLike[str] | None = None) -> Priors:
    """The priors of the project, or with what the file at `path` says otherwise.

    Raises InputError with every problem of the file.
    """
    own = _own()
    if path is None:
        return _made(own, own)
    return _made(own, _read(Path(path), own))


@cache
def _own() -> PriorsFile:
    return _read(_OWN, None)


def _read(path: Path, known: PriorsFile | None) -> PriorsFile:
    made = recover(read(path), PriorsFile, None, {"format": "evenfall-priors/1"})
    if made.model is None:
        raise InputError(made.problems)
    refusals = Refusals(made)
    for section in ("weights", "errors", "costs", "repairs") if known else ():
        names = getattr(known, section)
        for name, value in getattr(made.model, section).items():
            if name not in names:
                refusals.unknown((section, name), f"key of {section}", name, names)
            elif isinstance(value, list) != isinstance(names[name], list):
                do = "write four numbers" if isinstance(names[name], list) else "write one number"
                refusals.add((section, name), f"'{name}' has another form", do)
    refusals.raise_any()
    return made.model


def _made(own: PriorsFile, more: PriorsFile) -> Priors:
    errors = {**own.errors, **more.errors}
    said = np.array([errors[name] for name in SAID], dtype=float)
    return Priors(
        weights={**own.weights, **more.weights},
        errors={k: v for k, v in errors.items() if not isinstance(v, list)},
        said=said / said.sum(axis=1, keepdims=True),
        costs={**own.costs, **more.costs},
        repairs={**own.repairs, **more.repairs},
        source=more.source or own.source,
    )
