"""The least slowing of a scheme that keeps the flash limits."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from effects import Layer, Parameter, Scheme, effects
from layouts.records import House
from sim.light.cells import Cells
from sim.report.flashing import Flash, street, watch_flash

_RATES = ("m/s", "/s", "/min")
_SLOWEST = 0.05
_SEARCHED_S = 10.0  # of a scheme without a period, while searching
_HALVINGS = 5  # of the factor's interval: it is found within about 10 %
#: What was found on a part of the view and time is slowed further until the whole passes.
_MARGINS = (1.0, 0.85, 0.7)


@dataclass(frozen=True)
class Slowed:
    """A scheme with some layers slowed until it passes."""

    scheme: Scheme
    factor: float  # of the speed, below 1
    layers: tuple[int, ...]


def slowest_needed(house: House, scheme: Scheme, flash: Flash) -> Slowed | None:
    """The scheme with one layer slowed as little as will do, or all of them where one is not
    enough; None where no speed passes.

    The search looks at the cells that flashed, the result is judged on the whole view.
    """
    hot = np.union1d(flash.general.hot_cells, flash.red.hot_cells)
    cells = street(house).only(hot)
    moving = [n for n, layer in enumerate(scheme.layers) if _paces(layer)]
    tries = [
        found
        for number in moving
        if (found := _fastest_that_passes(house, scheme, (number,), cells)) is not None
    ]
    if not tries and len(moving) > 1:
        together = _fastest_that_passes(house, scheme, tuple(moving), cells)
        tries = [together] if together else []
    for found in sorted(tries, key=lambda slowed: -slowed.factor):
        for less in _MARGINS:
            slowed = _slowed(scheme, found.layers, found.factor * less)
            if watch_flash(house, slowed).passes:
                return Slowed(slowed, found.factor * less, found.layers)
    return None


#: Of one layer: its number from 0, its effect, and (parameter, new, unit, old) of what changes.
Change = tuple[int, str, tuple[tuple[str, float, str, float], ...]]


def changes(slowed: Slowed | None, scheme: Scheme) -> tuple[Change, ...]:
    """What to write in the scheme file so that it passes; () where no speed does."""
    if slowed is None:
        return ()
    return tuple(
        (number, scheme.layers[number].effect, _changed(scheme, slowed.scheme, number))
        for number in slowed.layers
    )


def _changed(
    scheme: Scheme, slowed: Scheme, number: int
) -> tuple[tuple[str, float, str, float], ...]:
    old, new = _settled(scheme.layers[number]), slowed.layers[number].settings
    return tuple(
        (each.name, new[each.name], each.unit, old[each.name])
        for each in _paces(scheme.layers[number])
        if new[each.name] != old[each.name]
    )


def _fastest_that_passes(
    house: House, scheme: Scheme, layers: tuple[int, ...], cells: Cells
) -> Slowed | None:
    """Bisection over the factor, on a logarithmic scale."""

    def tried(factor: float) -> Slowed | None:
        slowed = Slowed(_slowed(scheme, layers, factor), factor, layers)
        flash = watch_flash(house, slowed.scheme, cells=cells, seconds=_SEARCHED_S)
        return slowed if flash.passes else None

    best = tried(_SLOWEST)
    if best is None:
        return None
    low, high = math.log(_SLOWEST), 0.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        found = tried(math.exp(middle))
        if found is None:
            high = middle
        else:
            best, low = found, middle
    return best


def _slowed(scheme: Scheme, layers: tuple[int, ...], factor: float) -> Scheme:
    changed = [
        replace(layer, settings=_at_pace(layer, factor)) if number in layers else layer
        for number, layer in enumerate(scheme.layers)
    ]
    return replace(scheme, layers=tuple(changed))


def _at_pace(layer: Layer, factor: float) -> Mapping[str, float]:
    """The layer's settings at `factor` of their speed, rounded to what one would write."""
    settings = _settled(layer)
    for parameter in _paces(layer):
        value = settings[parameter.name]
        rate = parameter.unit in _RATES
        value = (
            _rounded(value * factor, math.floor) if rate else _rounded(value / factor, math.ceil)
        )
        settings[parameter.name] = min(max(value, parameter.low), parameter.high)
    return MappingProxyType(settings)


def _paces(layer: Layer) -> list[Parameter]:
    """The parameters that say how fast a layer changes."""
    return [p for p in effects()[layer.effect].parameters if p.unit in (*_RATES, "s")]


def _settled(layer: Layer) -> dict[str, float]:
    return effects()[layer.effect].settle(layer.settings)


def _rounded(value: float, towards: Callable[[float], int]) -> float:
    """Two significant digits, the size of the number rounded as `towards` does."""
    if value == 0:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(abs(value))) - 1)
    size = towards(abs(value) / step * (1 + 1e-12)) * step
    return math.copysign(round(size, 10), value)
