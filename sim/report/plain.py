"""Records as plain dicts and lists, ready for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any


def plain(value: Any) -> Any:
    """Dataclasses and mappings become dicts, tuples and arrays lists; functions are left out."""
    if is_dataclass(value):
        pairs = {field.name: getattr(value, field.name) for field in fields(value)}
        return {name: plain(each) for name, each in pairs.items() if not callable(each)}
    if isinstance(value, Mapping):
        return {str(name): plain(each) for name, each in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(each) for each in value]
    if hasattr(value, "tolist"):
        return value.tolist()
    return value
