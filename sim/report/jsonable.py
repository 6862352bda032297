"""Records as plain dicts and lists, ready for JSON."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import PurePath
from typing import Any


def jsonable(value: Any) -> Any:
    """Dataclasses and mappings become dicts, tuples and arrays lists; functions are left out.

    Numbers keep nine significant digits.
    """
    if is_dataclass(value):
        pairs = {field.name: getattr(value, field.name) for field in fields(value)}
        return {name: jsonable(each) for name, each in pairs.items() if not callable(each)}
    if isinstance(value, Mapping):
        return {str(name): jsonable(each) for name, each in value.items()}
    if isinstance(value, (tuple, list)):
        return [jsonable(each) for each in value]
    if isinstance(value, PurePath):
        return str(value)
    if hasattr(value, "tolist"):
        return jsonable(value.tolist())
    if isinstance(value, float) and math.isfinite(value):
        return float(f"{value:.9g}")  # what comes after is the arithmetic's, not the house's
    return value
