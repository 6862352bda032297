"""How many pixels a run of a document has."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from layouts import inherit
from layouts.catalogue import kind_entries, kinds
from layouts.place import count_and_pitch, path_length_m
from layouts.records import Kind
from sim.app.edit.lengths import units_of
from sim.app.edit.paper import NotDone, Paper


def kind_of(data: Mapping[str, Any], name: str) -> Kind:
    """The kind called `name`, of the catalogue or of the document's own. Raises NotDone."""
    found = kinds().get(name)
    if found is not None:
        return found
    try:
        return inherit.kind(name, inherit.merged(name, {**kind_entries(), **_own(data)}))
    except (inherit.KindError, KeyError, ValueError):
        raise NotDone(f"there is no kind '{name}'; choose one of the list of kinds") from None


def _own(data: Mapping[str, Any]) -> dict[str, Any]:
    from layouts.schema import KindEntry

    context = {"units": units_of(data), "wires": ()}
    return {
        name: KindEntry.model_validate(each, context=context).model_dump(exclude_none=True)
        for name, each in (data.get("kinds") or {}).items()
    }


def count_of(paper: Paper, entry: Mapping[str, Any]) -> tuple[int, float, float]:
    """Pixels, pitch [m] and length [m] of a run as its entry says. Raises NotDone for none."""
    points = [(paper.metres(x), paper.metres(y)) for x, y in entry["path"]]
    length_m = path_length_m(np.array(points))
    if length_m <= 0:
        raise NotDone(f"run '{entry['name']}' would have no length; put its points apart")
    kind = kind_of(paper.data, entry["pixels"])
    count, pitch_m = count_and_pitch(length_m, kind, entry.get("count"))
    if count == 0:
        raise NotDone(
            f"run '{entry['name']}' would be shorter than one pixel of {pitch_m * 1000:.4g} mm;"
            " lengthen it, or give it a count"
        )
    return count, pitch_m, length_m
