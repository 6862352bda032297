"""From `spread:` of a house file to the record, and back."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, cast

import numpy as np

from layouts.files.refusals import Refusals
from layouts.spread import Distribution, Factor, Form, HouseSpread

if TYPE_CHECKING:
    from layouts.schema import HouseFile
    from layouts.spread_schema import ShapeEntry

#: Factors that multiply a resistance, a voltage or a light: below this they are no part any more.
_LEAST = 0.01


def build_spread(file: HouseFile, refusals: Refusals) -> HouseSpread:
    """What the file says; runs, factors and correlations that make no sense are refused."""
    from layouts.catalogue import spread_factors

    table = spread_factors()
    shapes = {}
    for name in table:
        entry = getattr(file.spread.factors, name)
        if entry is None:
            continue
        shapes[name] = made = _shape(entry)
        lowest = made.a - 5 * made.b if made.form == "normal" else made.a
        if "times" in table[name].unit and lowest < _LEAST:
            what = f"{name} multiplies; it would reach {lowest:g}"
            refusals.add(("spread", "factors", name), what, f"keep it above {_LEAST:g}")
    return HouseSpread(
        shapes=MappingProxyType(shapes),
        correlations=_correlations(file, table, refusals),
        reels=_reels(file, refusals),
    )


def _shape(entry: ShapeEntry) -> Distribution:
    (form, value), *_ = entry.model_dump(exclude_none=True).items()
    if form == "exact":
        return Distribution("exact", value, value)
    return Distribution(cast(Form, form), value[0], value[1])


def _correlations(
    file: HouseFile, table: Mapping[str, Factor], refusals: Refusals
) -> tuple[tuple[str, str, float], ...]:
    made: list[tuple[str, str, float]] = []
    for index, entry in enumerate(file.spread.correlations):
        path = ("spread", "correlations", index)
        (a, b), sound = entry.between, True
        for at, name in enumerate(entry.between):
            if name not in table:
                refusals.unknown((*path, "between", at), "factor", name, table)
                sound = False
        if not sound:
            continue
        if a == b or {a, b} in [{x, y} for x, y, _ in made]:
            refusals.add((*path, "between"), f"{a} and {b} are told already", "take this out")
        elif table[a].scope != table[b].scope:
            what = f"{a} is of a {table[a].scope}, {b} of a {table[b].scope}"
            refusals.add((*path, "between"), what, "name two factors of the same part")
        else:
            made.append((a, b, entry.r))
    least = least_eigenvalue(made)
    if least < -1e-12:
        what = f"these correlations cannot all hold: their least eigenvalue is {least:.3g}"
        refusals.add(("spread", "correlations"), what, "bring them nearer to 0")
    return tuple(made)


def least_eigenvalue(correlations: list[tuple[str, str, float]]) -> float:
    """Of the matrix of correlations; below 0 nothing can be distributed so. 1 without any."""
    names = sorted({name for a, b, _ in correlations for name in (a, b)})
    matrix = np.eye(len(names))
    for a, b, r in correlations:
        i, j = names.index(a), names.index(b)
        matrix[i, j] = matrix[j, i] = r
    return float(np.linalg.eigvalsh(matrix)[0]) if names else 1.0


def _reels(file: HouseFile, refusals: Refusals) -> tuple[tuple[str, ...], ...]:
    runs = refusals.names("runs")
    taken: set[str] = set()
    for index, reel in enumerate(file.spread.reels):
        for at, run in enumerate(reel):
            path = ("spread", "reels", index, at)
            if run not in runs:
                refusals.unknown_run(path, run)
            elif run in taken:
                refusals.add(path, f"run '{run}' is of a reel already", "take one of the two out")
            taken.add(run)
    return tuple(tuple(reel) for reel in file.spread.reels)


def spread_entry(spread: HouseSpread) -> dict[str, Any]:
    """What a house says of its spread, as its file has it."""
    factors = {
        name: {shape.form: shape.a if shape.form == "exact" else [shape.a, shape.b]}
        for name, shape in spread.shapes.items()
    }
    correlations = [{"between": [a, b], "r": r} for a, b, r in spread.correlations]
    made = {
        "factors": factors,
        "correlations": correlations,
        "reels": [list(reel) for reel in spread.reels],
    }
    return {key: value for key, value in made.items() if value}
