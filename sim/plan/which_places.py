"""Which places get supplies: sets of them, the most promising first, by rough prices."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .fed import Fed, with_units
from .line_plan import Verdict, of_stretches
from .packing import Unit
from .records import Line, Market
from .solve_lines import rough_plan

#: Up to so many places sets of them are tried from one place up; places are gone through so often.
_FEW_PLACES, _SWEEPS = 6, 3
_NONE = np.empty(0)


def ranked_places(lines: list[Line], market: Market) -> list[tuple[float, np.ndarray]]:
    """Sets of supply choices (K,) bool that may be used, the most promising first: all places, or
    one alone; with a rough price. Of choices that differ in size alone one stands for all."""
    supplies = market.supplies
    per_a = price_per_a(market)
    alike: dict[tuple[str, float, float], int] = {}
    for k, s in enumerate(supplies):
        key = (s.place, s.volts, s.source_ohm)
        if key not in alike or per_a[k] < per_a[alike[key]]:
            alike[key] = k
    stands = np.zeros(len(supplies), dtype=bool)
    stands[list(alike.values())] = True
    places = np.array([s.place for s in supplies])
    names = list(dict.fromkeys(places.tolist()))
    if len(names) == 1:
        return [(0.0, stands)]
    known: dict[frozenset[str], float] = {}
    rough_of = _Rough(lines, market, per_a, stands, places)

    def rough(some: frozenset[str]) -> float:
        if some not in known:
            known[some] = rough_of(some)
        return known[some]

    # All places, then one fewer at a time, since what a supply at one more place costs is not seen
    # by the lines. Of few places each alone too, and one more at a time.
    few = len(names) <= _FEW_PLACES
    best = frozenset(names)
    rough(best)
    if few:
        best = min((frozenset((name,)) for name in names), key=rough)
        best = min((frozenset(names), best), key=rough)
    for _ in range(_SWEEPS):
        before = best
        for name in names:
            if (
                (name in best or few)
                and (changed := best ^ {name})
                and rough(changed) < rough(best)
            ):
                best = changed
        if best == before:
            break
    ranked = [
        (price, stands & np.isin(places, list(some)))
        for some, price in known.items()
        if np.isfinite(price)
    ]
    ranked.sort(key=lambda each: each[0])
    return ranked or [(0.0, stands)]


class _Rough:
    """Roughly what `lines` would cost with supplies at some places only; inf: not to be had."""

    def __init__(
        self,
        lines: list[Line],
        market: Market,
        per_a: np.ndarray,
        stands: np.ndarray,
        places: np.ndarray,
    ):
        self._lines, self._market, self._per_a = lines, market, per_a
        self._stands, self._places = stands, places
        self._known: list[list[tuple[frozenset[str], frozenset[str], Fed]]] = [[] for _ in lines]
        self._units: dict[tuple[bytes, tuple[int, ...]], tuple[tuple[Unit, ...], float] | None] = {}

    def __call__(self, some: frozenset[str]) -> float:
        fed = []
        for number in range(len(self._lines)):
            each = self._fed(number, some)
            if each is None:
                return np.inf
            fed.append(each)
        made = with_units(fed, self._market, self._units)
        return np.inf if made is None else made.price

    def _fed(self, number: int, some: frozenset[str]) -> Fed | None:
        # What was best among more places is best among fewer, if all that it uses are left.
        for among, used, fed in self._known[number]:
            if used <= some <= among:
                return fed
        line, usable = self._lines[number], self._stands & np.isin(self._places, list(some))
        (narrowed,) = only_with([line], usable)
        stretches = rough_plan(
            narrowed, self._market, self._per_a, np.zeros(len(self._market.supplies))
        )
        if not stretches:
            return None
        fuse = tuple(s.fuse for s in sorted(stretches, key=lambda s: s.pad))
        verdict = Verdict(True, fuse, _NONE, 0.0, 0, _NONE, {})
        fed = Fed(line, of_stretches(stretches, line), verdict)
        used = frozenset(str(self._places[s.supply]) for s in stretches)
        self._known[number].append((some, used, fed))
        return fed


def only_with(lines: list[Line], usable: np.ndarray) -> list[Line]:
    return [
        replace(line, reach_m=np.where(usable[:, None], line.reach_m, np.inf)) for line in lines
    ]


def price_per_a(market: Market) -> np.ndarray:
    """(K,) what a planned ampere of each supply choice costs."""
    load = market.rules.supply_load
    return np.array([s.price / (load * s.rated_a) for s in market.supplies])
