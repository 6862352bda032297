"""Edited layers as edits of their scheme file: what stays is moved as it is, with its remarks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from effects import effects
from effects.quantity import quantity
from layouts.files.document import parse
from layouts.files.edits import Append, Edit, Put, Remove, Reorder
from sim.app.state.layer_facts import fits, layer_of
from sim.app.state.layers import (
    ALWAYS,
    OWN_COLOURS,
    LayerMark,
    Value,
    zones_of,
)
from sim.app.state.record import Facts, State
from sim.app.state.settings import changes_of

#: What a layer is where its file says nothing; it is then not written either.
_USUAL = {"blend": "over", "direction": "forward", "opacity": 1.0}


def edits_of(state: State, text: str) -> list[Edit]:
    """What to do to the scheme file that holds `text` so that it has the window's layers."""
    facts = state.facts
    assert facts is not None
    filed, order = list(facts.file_marks), list(facts.marks)
    done: list[Edit] = []
    for index in reversed(range(len(filed))):
        # The last one goes when another has come: a list is never empty meanwhile.
        if filed[index] not in order and len(filed) > 1:
            done.append(Remove(("layers", index)))
            del filed[index]
    late = next((mark for mark in filed if mark not in order), None)
    for mark in order:
        if mark not in filed:
            done.append(Append(("layers",), _entry(mark)))
            filed.append(mark)
    if late is not None:
        done.append(Remove(("layers", filed.index(late))))
        filed.remove(late)
    for to, mark in enumerate(order):
        at = filed.index(mark)
        if at != to:
            done.append(Reorder(("layers", at), to))
            filed.insert(to, filed.pop(at))
    held = _sets(text, facts)
    for index, mark in enumerate(order):
        done += _other_effect(state, index, mark, held.get(mark, _set(mark)))
    for where, value in changes_of(state).items():
        done += _put(where, value)
    return done


def _put(where: tuple[str | int, ...], value: Value) -> Iterator[Edit]:
    """One value put in its place, or nothing more there."""
    name = where[-1]
    if name == "zones":
        zones = zones_of(value)
        yield Put(where, zones[0] if len(zones) == 1 else list(zones))
    elif name in ("from", "until") and value == ALWAYS:
        yield Remove(where)
    elif name == "palette" and value == OWN_COLOURS:
        return
    else:
        yield Put(where, float(f"{value:.6g}") if isinstance(value, float) else value)


def _other_effect(
    state: State, index: int, mark: LayerMark, given: Mapping[str, Any]
) -> Iterator[Edit]:
    """What the layer's `set` says that the effect it has now does not know."""
    name = state.edits.get((mark, "effect"))
    if name is None:
        return
    old, new = effects()[mark.effect], effects()[str(name)]
    kept = dict(given)
    for key, value in given.items():
        parameter = old.parameter(key)
        if parameter is not None and not fits(old, new, key, quantity(value, parameter.unit)):
            del kept[key]
    if given and not kept:
        yield Remove(("layers", index, "set"))
        return
    for key in given:
        if key not in kept:
            yield Remove(("layers", index, "set", key))


def _sets(text: str, facts: Facts) -> dict[LayerMark, dict[str, Any]]:
    """What the file says in `set` of each of its layers."""
    data = parse(text, facts.scheme_file).data
    layers = data.get("layers", []) if isinstance(data, dict) else []
    return {mark: dict(layer.get("set") or {})
            for mark, layer in zip(facts.file_marks, layers, strict=False)}  # fmt: skip


def _set(mark: LayerMark) -> dict[str, Any]:
    """The `set` of a layer made here: what differs from the usual."""
    layer = layer_of(mark)
    usual = effects()[mark.effect].settle({})
    found: dict[str, Any] = {name: _rounded(value) for name, value in layer.settings.items()
                             if value != usual[name]}  # fmt: skip
    if layer.direction != _USUAL["direction"]:
        found["direction"] = layer.direction
    return found


def _entry(mark: LayerMark) -> dict[str, Any]:
    """A layer made here as the file says it."""
    layer = layer_of(mark)
    found: dict[str, Any] = {
        "zones": layer.zones[0] if len(layer.zones) == 1 else list(layer.zones),
        "effect": layer.effect,
        "palette": layer.palette if isinstance(layer.palette, str) else list(layer.palette),
    }
    if given := _set(mark):
        found["set"] = given
    if layer.blend != _USUAL["blend"]:
        found["blend"] = layer.blend
    if layer.opacity != _USUAL["opacity"]:
        found["opacity"] = _rounded(layer.opacity)
    for name, value in (("from", layer.from_s), ("until", layer.until_s)):
        if value is not None:
            found[name] = value
    if layer.ease_s:
        found["ease"] = layer.ease_s
    return found


def _rounded(value: float) -> float:
    return float(f"{value:.6g}")
