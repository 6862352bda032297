"""Supplies asked for more than they give: the voltage that their limit leaves.

While it is on, an overloaded supply gives its greatest current and no more, whatever the voltage
becomes (constant current): V is sought at which

    I(V) = 1.5 · rating

The current asked for never falls with V, so there is one such V between nothing and the set point;
it is found by false position (Illinois), the house solved each time with what of its data is lost.
Where a loss makes the current jump over the limit, it is the V below the jump. Of several frames
the one that asks most decides.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sim.circuit import Network, with_values

from .fault_limits import MOST, overloaded
from .settled import Settled

#: A current within this share of its limit is at it.
_CLOSE = 1e-6
#: [V] so near to a jump is on it.
_NEAR_V = 1e-7
_ROUNDS, _STEPS = 20, 60


def held_down(
    net: Network, first: Settled, solved: Callable[[Network], Settled]
) -> tuple[Network, Settled, tuple[str, ...]]:
    """The circuit with every overloaded supply at its limit, its state, and those supplies.

    `first` is the state of `net` without limits, `solved` gives that of any circuit. A supply that
    another one's limit overloads is held down too.
    """
    names = [supply.name for supply in net.house.supplies]
    limit_a = np.array([MOST * supply.rated_a for supply in net.house.supplies])
    tripped = list(overloaded(first.solution))
    state, now = first, net
    for _ in range(_ROUNDS):
        asked_a = _most_a(state)
        tripped += [name for name in overloaded(state.solution) if name not in tripped]
        held = [names.index(name) for name in tripped]
        off = [s for s in held if not _at_limit(now, net, s, asked_a[s], limit_a[s])]
        if not off:
            break
        for s in off:
            now, state = _limited(now, net, s, float(limit_a[s]), solved)
    return now, state, tuple(tripped)


def _at_limit(now: Network, whole: Network, s: int, asked_a: float, limit_a: float) -> bool:
    free = now.values.source_v[s] >= whole.values.source_v[s]
    return abs(asked_a - limit_a) <= 2 * _CLOSE * limit_a or (free and asked_a <= limit_a)


def _most_a(state: Settled) -> np.ndarray:
    return np.asarray(state.solution.supply_a.max(axis=0))


def _with(net: Network, s: int, volts: float) -> Network:
    source_v = net.values.source_v.copy()
    source_v[s] = volts
    return with_values(net, source_v=source_v)


def _limited(
    now: Network, whole: Network, s: int, limit_a: float, solved: Callable[[Network], Settled]
) -> tuple[Network, Settled]:
    """The circuit with one supply at its limit, the others as they are."""
    high_v = float(whole.values.source_v[s])
    made = _with(now, s, high_v)
    state = solved(made)
    over = float(_most_a(state)[s]) - limit_a
    if over <= 0:
        return made, state
    low_v, under = 0.0, -limit_a
    below, there = _with(now, s, low_v), None
    side = 0
    for step in range(_STEPS):
        if high_v - low_v <= _NEAR_V:
            break
        volts = low_v - under * (high_v - low_v) / (over - under)
        if not low_v < volts < high_v or step > _STEPS // 2:
            volts = (low_v + high_v) / 2
        made = _with(now, s, volts)
        state = solved(made)
        beyond = float(_most_a(state)[s]) - limit_a
        if abs(beyond) <= _CLOSE * limit_a:
            return made, state
        if beyond > 0:
            high_v, over = volts, beyond
            under = under / 2 if side > 0 else under
            side = 1
        else:
            low_v, under, below, there = volts, beyond, made, state
            over = over / 2 if side < 0 else over
            side = -1
    return below, solved(below) if there is None else there
