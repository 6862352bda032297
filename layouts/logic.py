"""Levels of the data line as they are written: `0.7 vdd`, `2.7 V`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import numpy as np

_LEVEL = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*(vdd|v)\s*", re.IGNORECASE)
_MOST = {"vdd": 1.0, "v": 60.0}


@dataclass(frozen=True)
class LogicLevel:
    """A level of the data line over the − of its pixel: volts, or a share of the pixel's own."""

    value: float
    of_vdd: bool

    def volts(self, vdd_v: np.ndarray) -> np.ndarray:
        """[V] of a pixel with `vdd_v` [V]."""
        return self.value * vdd_v if self.of_vdd else np.full_like(vdd_v, self.value)


#: What most data sheets say; a part gives the next its own supply for a one.
HIGH, LOW, OUT = LogicLevel(0.7, True), LogicLevel(0.3, True), LogicLevel(1.0, True)


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
