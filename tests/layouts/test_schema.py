"""The JSON Schema says what the loader accepts."""

from __future__ import annotations

import json
from typing import Any

import pytest

from layouts import house_schema

SCHEMA = house_schema()


def definition(name: str) -> dict[str, Any]:
    found: dict[str, Any] = SCHEMA["$defs"][name]
    return found


def test_it_is_json_and_names_the_format() -> None:
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA
    assert SCHEMA["properties"]["format"]["const"] == "evenfall-house/1"
    assert SCHEMA["required"] == ["format", "name", "drawing", "runs"]
    assert SCHEMA["additionalProperties"] is False


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        (
            "RunEntry",
            "name pixels path count aim standoff profile spare_first set_ma cuts missing lens",
        ),
        ("SupplyEntry", "name volts amps efficiency no_load_w source_ohm at adjust_v"),
        ("WireEntry", "from to wire length fuse"),
        ("OutputEntry", "name chain universe address fps at lead logic_v series_ohm common_minus"),
        ("DrawingEntry", "size viewer surfaces photo ground lit_windows bounces"),
        ("SurfaceEntry", "name outline material depth lit faces"),
        ("ChannelEntry", "ma vf nm cct fwhm_nm lm resistor_ohm"),
    ],
)
def test_keys_are_those_of_the_file(name: str, keys: str) -> None:
    assert list(definition(name)["properties"]) == keys.split()
    assert definition(name)["additionalProperties"] is False


def test_every_reference_leads_somewhere() -> None:
    def references(node: object) -> list[str]:
        if isinstance(node, list):
            return [ref for value in node for ref in references(value)]
        if isinstance(node, dict):
            own = [node["$ref"]] if "$ref" in node else []
            return own + [ref for value in node.values() for ref in references(value)]
        return []

    for reference in references(SCHEMA):
        assert reference.removeprefix("#/$defs/") in SCHEMA["$defs"]


def test_lengths_are_numbers_or_text() -> None:
    length = definition("WireEntry")["properties"]["length"]
    assert [choice["type"] for choice in length["anyOf"]] == ["number", "string"]
    assert definition("RunEntry")["properties"]["aim"]["anyOf"][0]["enum"] == [
        "down",
        "up",
        "wall",
        "out",
    ]


def test_names_of_the_catalogue_are_completed() -> None:
    assert "brick-red" in definition("SurfaceEntry")["properties"]["material"]["enum"]
    assert "eave-track" in definition("RunEntry")["properties"]["profile"]["enum"]
    assert "ws2815" in definition("RunEntry")["properties"]["pixels"]["examples"]
    assert "16 AWG" in definition("WireEntry")["properties"]["wire"]["examples"]
