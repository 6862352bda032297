"""Levels of the data line as they are written: `0.7 vdd`, `2.7 V`."""

from __future__ import annotations

import re
from typing import Any

from layouts.records import LogicLevel

_LEVEL = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*(vdd|v)\s*", re.IGNORECASE)
_MOST = {"vdd": 1.0, "v": 60.0}


def logic_level(text: Any) -> LogicLevel:
    """The level that `0.7 vdd` (a share of the pixel's own supply) or `2.7 V` says.

    Raises ValueError for anything else.
    """
    found = _LEVEL.fullmatch(text) if isinstance(text, str) else None
    if found is None:
        raise ValueError(f"{text!r} is not a level of data; write '0.7 vdd' or '2.7 V'")
    value, unit = float(found[1]), found[2].lower()
    if not 0 < value <= _MOST[unit]:
        most = "1 vdd" if unit == "vdd" else "60 V"
        raise ValueError(f"'{text}' is out of range; write more than 0 and at most {most}")
    return LogicLevel(value, unit == "vdd")
