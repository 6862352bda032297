"""The rows that the layers of a scheme add to the table of controls."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from sim.app.state.layer_order import rearranged
from sim.app.state.layers import REST, LayerMark, Value, same
from sim.app.state.record import Facts, LayerFacts, ParameterFacts, State
from sim.app.state.scales import round_step
from sim.app.state.setting import Form, InFile, Setting

#: What stands in a layer itself; anything else is in its `set`.
_OF_LAYER = frozenset({"effect", "zones", "palette", "opacity", "blend", "from", "until", "ease"})
_TIMES = ("from", "until", "ease")
_FIRST = {"effect": 0, "palette": 1, "zones": 2}


def layer_rows(facts: Facts) -> tuple[Setting, ...]:
    """Two switches for every layer, then its palette, opacity and the effect's parameters."""
    found: list[Setting] = []
    for index, (layer, mark) in enumerate(zip(facts.layers, facts.marks, strict=True)):
        section = f"{index + 1}  {layer.effect} · {', '.join(layer.zones)}"
        found += _switches(index, layer, mark, section)
        shown = sorted(layer.parameters, key=lambda one: _FIRST.get(one.name, len(_FIRST)))
        found += [_parameter(index, layer, mark, one, section) for one in shown]
    return tuple(found)


def _of(index: int, layer: LayerFacts) -> str:
    return f"layer {index + 1}, {layer.effect} on {', '.join(layer.zones)}"


def _switches(
    index: int, layer: LayerFacts, mark: LayerMark, section: str
) -> tuple[Setting, Setting]:
    def only(state: State, on: Value) -> State:
        return replace(state, only=mark if on else None)

    def hide(state: State, on: Value) -> State:
        return replace(state, hidden=state.hidden | {mark} if on else state.hidden - {mark})

    return (
        Setting(f"{index}.only", "Only this", section, "switch", lambda state: state.only == mark,
                only, f"Show only {_of(index, layer)}", beside=True,
                help="Only this: shows this layer alone, to look at it; nothing is written."),
        Setting(f"{index}.hide", "Hide", section, "switch", lambda state: mark in state.hidden,
                hide, f"Hide {_of(index, layer)}", beside=True,
                help="Hide: shows the scheme without this layer; nothing is written."),
    )  # fmt: skip


def _parameter(
    index: int, layer: LayerFacts, mark: LayerMark, parameter: ParameterFacts, section: str
) -> Setting:
    name = parameter.name
    label = name.replace("_", " ").capitalize()
    top = name in _OF_LAYER
    where = ("layers", index, name) if top else ("layers", index, "set", name)

    def mine(state: State) -> Value | None:
        return state.edits.get((mark, name)) if state.edits else None

    def read(state: State) -> Value:
        edit = mine(state)
        return parameter.value if edit is None else edit

    def put(state: State, value: Value) -> State:
        edits = {key: kept for key, kept in state.edits.items() if key != (mark, name)}
        if not same(value, parameter.value):
            edits[mark, name] = value
        state = replace(state, edits=MappingProxyType(edits))
        return rearranged(state) if name in ("effect", "zones") else state

    step = round_step((parameter.high - parameter.low) / 100)
    return Setting(
        key=f"{index}.{name}",
        label=label,
        section=section,
        form=_form(parameter),
        read=read,
        put=put,
        spoken=f"{label} of {_of(index, layer)}",
        options=lambda _: parameter.choices,
        low=parameter.low,
        high=parameter.high,
        step=0.5 if name in _TIMES else max(round(step), 1) if parameter.whole else step,
        knee=knee_of(parameter),
        unit=parameter.unit,
        help=f"{label}: {parameter.help.rstrip('.')}." if parameter.help else "",
        file=InFile(where, lambda _: parameter.value, mine),
        # What is seldom changed stands on the page of layers alone.
        shown=lambda _: name not in REST,
        opens=f"{name}s" if name in ("palette", "effect") else name if name == "zones" else "",
        whole=parameter.whole,
        usual=None if parameter.choices or isinstance(parameter.value, str) else parameter.usual,
    )


def _form(parameter: ParameterFacts) -> Form:
    if parameter.choices or parameter.name == "zones":
        return "choice"
    return "field" if parameter.name in _TIMES else "slider"


def knee_of(parameter: ParameterFacts) -> float:
    """0 for an even slider. Lengths, times and speeds that reach far beyond what is usual get one
    that is fine around the usual: asinh, which is even below the knee and logarithmic above it."""
    usual = abs(parameter.usual)
    if parameter.whole or parameter.unit in ("", "%", "deg") or usual <= 0:
        return 0.0
    return usual / 2 if parameter.high > 8 * usual else 0.0
