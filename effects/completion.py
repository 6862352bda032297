"""The JSON Schema of a scheme, with which an editor completes keys, effects and parameters."""

from __future__ import annotations

from typing import Any

from effects.effect import Effect, Parameter
from effects.palette import palettes
from effects.place import DIRECTIONS
from effects.registry import effects


def scheme_schema() -> dict[str, Any]:
    """JSON Schema of a scheme file: its keys, the effects there are and what each can be told."""
    from effects.schema import SchemeFile

    schema = SchemeFile.model_json_schema()
    layer = schema["$defs"]["LayerFile"]
    layer["properties"]["effect"]["enum"] = list(effects())
    layer["properties"]["palette"]["examples"] = list(palettes())
    layer["allOf"] = [_rule(effect) for effect in effects().values()]
    return schema


def _rule(effect: Effect) -> dict[str, Any]:
    """What may stand under `set` where the layer's effect is this one."""
    told: dict[str, Any] = {
        parameter.name: _parameter(parameter) for parameter in effect.parameters
    }
    told["direction"] = {
        "enum": list(DIRECTIONS),
        "description": "which way the zone is travelled; inward and outward mirror it",
    }
    told["seed"] = {
        "type": "integer",
        "minimum": 0,
        "description": "another number, another draw of what is random",
    }
    return {
        "if": {"properties": {"effect": {"const": effect.name}}},
        "then": {"properties": {"set": {"properties": told, "additionalProperties": False}}},
    }


def _parameter(parameter: Parameter) -> dict[str, Any]:
    number = {
        "type": "integer" if parameter.whole else "number",
        "minimum": parameter.low,
        "maximum": parameter.high,
    }
    unit = f"{parameter.unit}: " if parameter.unit else ""
    return {
        "anyOf": [number, {"type": "string", "description": "a number with its unit"}],
        "default": parameter.default,
        "description": unit + parameter.help,
    }
