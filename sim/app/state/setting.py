"""What giving a control a value does to the state."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from sim.app.state.controls import HOUSE_KINDS, scale_name, white_name
from sim.app.state.record import SCALES, EditKey, Facts, State, Value


def set_control(state: State, name: str, value: Value) -> State:
    """The state after the control `name` was given a value; what the file says is no edit."""
    facts = state.facts
    if facts is None:
        return state
    if name == "scheme":
        paths = [path for path, scheme in facts.schemes if scheme == value]
        return replace(state, scheme_path=paths[0], time_s=0.0) if paths else state
    if name == "brightness":
        bright = min(max(float(value), 0.0), 1.0)
        return replace(state, brightness=None if alike(bright, facts.brightness) else bright)
    if name == "colour":
        return replace(state, colour=None if value == facts.colour else str(value))
    if name == "white":
        own = value == white_name(facts.white)
        return replace(state, white=None if own else str(value))
    if name == "kind":
        return replace(state, kind=None if value == HOUSE_KINDS else str(value))
    if name == "other":
        return replace(state, other=None if value == HOUSE_KINDS else str(value))
    if name == "compare":
        return compare(state, bool(value))
    if name == "hour":
        return replace(state, hour=str(value))
    if name == "exposure":
        return replace(state, exposure_offset_ev=-float(value))
    if name == "calm":
        return replace(state, calm=bool(value))
    if name == "type":
        scale = next(one for one in SCALES if scale_name(one) == value)
        return replace(state, scale=scale, scroll=0.0)
    layer, _, parameter = name.partition(".")
    return _set_layer(state, int(layer), parameter, value) if parameter else state


def _set_layer(state: State, layer: int, name: str, value: Value) -> State:
    if name == "only":
        return replace(state, only=layer if value else None)
    if name == "hide":
        hidden = state.hidden | {layer} if value else state.hidden - {layer}
        return replace(state, hidden=hidden)
    assert state.facts is not None
    edits = {**state.edits, (layer, name): value}
    return replace(state, edits=without_file_values(state.facts, edits))


def compare(state: State, on: bool) -> State:
    """Comparing needs another kind: the first that has a white channel where this has none, or
    the other way round."""
    facts = state.facts
    other = state.other
    if on and facts and other is None:
        shown = {state.kind} if state.kind else set(facts.own_kinds)
        white = any("rgbw" in kind for kind in shown)
        others = [kind for kind in facts.kinds if kind not in shown]
        across = [kind for kind in others if ("rgbw" in kind) != white]
        other = next(iter(across or others), None)
    return replace(state, compare=on, other=other)


def without_file_values(facts: Facts, edits: Mapping[EditKey, Value]) -> dict[EditKey, Value]:
    """Edits that the file does not hold already."""
    held = {
        (index, parameter.name): parameter.value
        for index, layer in enumerate(facts.layers)
        for parameter in layer.parameters
    }
    return {key: value for key, value in edits.items() if not alike(held.get(key), value)}


def alike(a: Value | None, b: Value | None) -> bool:
    """Whether two values are the same as a file would write them."""
    if isinstance(a, int | float) and isinstance(b, int | float):
        return math.isclose(a, b, rel_tol=1e-5, abs_tol=1e-9)
    return a == b
