"""What an effect is: a pure field of time and place, and what it can be told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from effects.place import LayerPlace
from layouts.errors import EvenfallError
from layouts.files.names import did_you_mean

Settings = Mapping[str, float]

#: (time_s (T, 1) float64, place, settings, colours of the palette, seed) → (position, level).
#: Position is in palette units and wraps round: a whole number is a colour of the palette
#: itself, a part lies between neighbours. Level 0..1 is how much of it there is. Both float32
#: that broadcast to (T, M).
Field = Callable[[np.ndarray, LayerPlace, Settings, int, int], tuple[np.ndarray, np.ndarray]]


@dataclass(frozen=True)
class Parameter:
    """One number an effect can be told."""

    name: str
    unit: str  # "m", "m/s", "s", "deg", "/min", "/s" or "" for a share or a count
    low: float
    high: float
    default: float
    help: str
    whole: bool = False

    @property
    def range(self) -> str:
        """How messages and lists name what is allowed."""
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.low:g}..{self.high:g}{unit}"

    def wrong(self, value: object) -> str | None:
        """What is wrong with `value`, in words, or None."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            return f"{value!r} is not a number"
        if self.whole and value != int(value):
            return f"{value:g} is not a whole number"
        if not self.low <= value <= self.high:
            return f"{value:g} is outside {self.range}"
        return None


@dataclass(frozen=True)
class Effect:
    """A named field with its parameters."""

    name: str
    help: str
    field: Field
    parameters: tuple[Parameter, ...]
    #: (settings, colours, place) → the time after which it repeats [s]; None where it never does,
    #: 0 where it stands still
    period_s: Callable[[Settings, int, LayerPlace], float | None]
    #: (settings, colours, place) → the fastest change of level plus position [1/s]
    change_per_s: Callable[[Settings, int, LayerPlace], float]

    def parameter(self, name: str) -> Parameter | None:
        """The parameter called `name`, or None."""
        return next((p for p in self.parameters if p.name == name), None)

    def settle(self, given: Mapping[str, object]) -> dict[str, float]:
        """Every parameter's value: the given one, else the default.

        Raises EvenfallError for an unknown name or a value out of range.
        """
        settled: dict[str, float] = {p.name: p.default for p in self.parameters}
        for name, value in given.items():
            parameter = self.parameter(name)
            if parameter is None:
                hint = did_you_mean(name, settled)
                raise EvenfallError(f"unknown parameter '{name}' of {self.name}; {hint}")
            wrong = parameter.wrong(value)
            if wrong:
                raise EvenfallError(f"{self.name}: {name}: {wrong}")
            settled[name] = float(value)  # type: ignore[arg-type]
        return settled
