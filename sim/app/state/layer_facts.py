"""Between layers as records, as marks and as facts: what can be set of a layer, and its values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, cast

from effects import Layer, Parameter, effects, palettes
from effects.effect import Effect
from effects.place import DIRECTIONS
from sim.app.state.layers import (
    ALWAYS,
    OWN_COLOURS,
    LayerMark,
    Value,
    rest_value,
    zones_of,
    zones_value,
)
from sim.app.state.record import LayerFacts, ParameterFacts

BLENDS = ("over", "lighten", "add", "multiply")
#: The longest time of a layer that can be set [s]; that of the scheme file.
DAY_S = 86_400.0

_HELP = {
    "effect": "what moves; each is drawn on this house before it is taken",
    "zones": "where the layer lies: parts of the house, joined in this order to one path",
    "blend": "over: covers what lies below; lighten: the brighter of both; add: the sum of both; "
    "multiply: a filter over what lies below",
    "direction": "which way it runs along its path; inward and outward meet at the middle",
    "from": "second of the scheme at which the layer comes",
    "until": "second of the scheme at which it goes",
    "ease": "seconds that it takes to come and to go",
}


def layer_facts(layer: Layer) -> LayerFacts:
    """What can be set of a layer, and how it stands."""
    names = tuple(palettes())
    own = isinstance(layer.palette, tuple)
    palette = OWN_COLOURS if own else str(layer.palette)
    found = [
        ParameterFacts("palette", palette, choices=(OWN_COLOURS, *names) if own else names),
        ParameterFacts("opacity", layer.opacity, "%", help="how much of what lies below it covers",
                       usual=1.0),
    ]  # fmt: skip
    for parameter in effects()[layer.effect].parameters:
        found.append(
            ParameterFacts(
                parameter.name,
                layer.settings[parameter.name],
                _unit(parameter),
                parameter.low,
                parameter.high,
                help=parameter.help,
                whole=parameter.whole,
                usual=parameter.default,
            )
        )
    # The seed is left out: where the file gives none it is the layer's number.
    found += [
        ParameterFacts("effect", layer.effect, choices=tuple(effects()), help=_HELP["effect"]),
        ParameterFacts("zones", zones_value(layer.zones), help=_HELP["zones"]),
        ParameterFacts("blend", layer.blend, choices=BLENDS, help=_HELP["blend"]),
        ParameterFacts("direction", layer.direction, choices=DIRECTIONS, help=_HELP["direction"]),
        *(ParameterFacts(name, ALWAYS if value is None else value, "s", 0.0, DAY_S,
                         help=_HELP[name])
          for name, value in (("from", layer.from_s), ("until", layer.until_s),
                              ("ease", layer.ease_s))),
    ]  # fmt: skip
    colours = layer.palette if isinstance(layer.palette, tuple) else ()
    return LayerFacts(layer.effect, layer.zones, tuple(found), colours)


def _unit(parameter: Parameter) -> str:
    """The unit on show: shares of a whole are told in percent, as brightness is."""
    share = parameter.high == 1 and parameter.low >= 0 and not parameter.whole
    return "%" if share and not parameter.unit else parameter.unit


def layer_of(mark: LayerMark, seed: int = 0) -> Layer:
    """The layer that a mark tells of."""
    held = dict(mark.settings)
    opacity = float(held.pop("opacity", 1.0))
    settings = {name: float(value) for name, value in held.items()}
    made = Layer(mark.effect, mark.zones, mark.palette, MappingProxyType(settings),
                 opacity=opacity, seed=seed)  # fmt: skip
    return with_layer_values(made, {name: rest_value(name, text) for name, text in mark.rest})


def with_layer_values(layer: Layer, changes: Mapping[str, Value]) -> Layer:
    """The layer with these values; those that its effect does not know do nothing."""
    if "effect" in changes:
        layer = drawn_by(layer, str(changes["effect"]))
    known = {one.name for one in effects()[layer.effect].parameters}
    settings = dict(layer.settings)
    of_layer: dict[str, Any] = {}
    for name, value in changes.items():
        if name == "palette":
            of_layer["palette"] = layer.palette if value == OWN_COLOURS else value
        elif name == "zones":
            of_layer["zones"] = zones_of(value)
        elif name in ("from", "until"):
            of_layer[f"{name}_s"] = None if value == ALWAYS else float(value)
        elif name == "ease":
            of_layer["ease_s"] = float(value)
        elif name in ("opacity", "blend", "direction"):
            of_layer[name] = value
        elif name in known:
            settings[name] = float(value)
    return replace(layer, settings=MappingProxyType(settings), **of_layer)


def drawn_by(layer: Layer, name: str) -> Layer:
    """The layer with another effect: values that it knows too stay, others are its usual ones."""
    effect = effects().get(name)
    if effect is None or name == layer.effect:
        return layer
    old = effects()[layer.effect]
    kept = {one: value for one, value in layer.settings.items() if fits(old, effect, one, value)}
    return replace(layer, effect=name, settings=MappingProxyType(effect.settle(kept)))


def fits(old: Effect, new: Effect, name: str, value: float) -> bool:
    """Whether a parameter means the same under another effect, and may have this value there."""
    before, after = old.parameter(name), new.parameter(name)
    if before is None or after is None or before.unit != after.unit:
        return False
    return after.wrong(value) is None


def facts_with(own: LayerMark, changes: Mapping[str, Value]) -> LayerFacts:
    """The facts of the layer `own` once its effect and zones are those of the window."""
    shape = {name: changes[name] for name in ("effect", "zones") if name in changes}
    made = layer_facts(with_layer_values(layer_of(own), shape))
    # The file's own values of both stay to be told from the window's.
    filed = {"effect": cast(Value, own.effect), "zones": zones_value(own.zones)}
    parameters = tuple(replace(one, value=filed.get(one.name, one.value))
                       for one in made.parameters)  # fmt: skip
    return replace(made, parameters=parameters, own=own)
