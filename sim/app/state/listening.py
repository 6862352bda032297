"""What a window knows of packets that arrive: pure, fed once a second and with every frame.

The codes on show are those that arrived last, or those of the worst instant so far while a person
looks at it. Sockets and threads are elsewhere; a frame is made of the codes as of any others, by
`sim.frame.frame_of`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.app.state.ribbon import Load
from sim.report.limits_told import limit_told
from sim.report.listen import LiveSecond

#: The ribbon holds at least this, and the last so much [s].
LEAST_SPAN_S, MOST_SPAN_S = 60, 3600


@dataclass(frozen=True)
class Instant:
    """What one second asked."""

    peak_a: float
    supply_a: tuple[float, ...]
    used: float
    limit: str


class HeardLoad(Load):
    """A load that grows: what is still to come is no work that waits."""

    ready = 1.0  # type: ignore[assignment]


@dataclass(frozen=True, eq=False)
class Listened:
    """What arrived so far at a house of N pixels."""

    second: LiveSecond | None = None  # the last that was told
    codes: np.ndarray | None = None  # (N, C) uint8, shown last; None: nothing came
    worst_codes: np.ndarray | None = None  # (N, C) of the instant with the most amperes
    worst_a: float = 0.0
    worst_s: float = 0.0
    at_worst: bool = False  # a person looks at the worst instant
    past: tuple[Instant, ...] = ()  # second by second, for the ribbon

    @property
    def shown(self) -> np.ndarray | None:
        """(N, C) uint8 what the house shows; None: it is dark, for nothing came."""
        return self.worst_codes if self.at_worst else self.codes


def told(state: Listened, second: LiveSecond) -> Listened:
    """The state after a second was told; the worst instant is kept with its codes."""
    load = second.load
    if load is None:
        past = (*state.past, Instant(np.nan, (), np.nan, ""))[-MOST_SPAN_S:]
        return replace(state, second=second, past=past)
    each_a = tuple(most_a for _, most_a, _ in load.supplies)
    instant = Instant(load.peak_a, each_a, load.used, limit_told(load))
    past = (*state.past, instant)[-MOST_SPAN_S:]
    after = replace(state, second=second, codes=load.codes, past=past)
    if load.peak_a > state.worst_a or state.worst_codes is None:
        return replace(
            after,
            worst_codes=load.peak_codes,
            worst_a=load.peak_a,
            worst_s=second.time_s,
        )
    return after


def shown_now(state: Listened, codes: np.ndarray) -> Listened:
    """The state after a frame arrived, between two seconds: (N, C) uint8."""
    return replace(state, codes=codes)


def looks_at_worst(state: Listened, wanted: bool) -> Listened:
    """The worst instant on show, or what arrives; there is no worst before anything came."""
    return replace(state, at_worst=wanted and state.worst_codes is not None)


def heard_load(state: Listened, names: tuple[str, ...], rated_a: np.ndarray) -> Load | None:
    """The past as the ribbon draws it, a value a second; None before anything came."""
    if all(np.isnan(instant.peak_a) for instant in state.past):
        return None
    span = max(len(state.past), LEAST_SPAN_S)
    total = np.full(span, np.nan)
    each = np.full((span, len(names)), np.nan)
    used = np.full(span, np.nan)
    for second, instant in enumerate(state.past):
        if not np.isnan(instant.peak_a):
            total[second], each[second] = instant.peak_a, instant.supply_a
            used[second] = instant.used
    worst = state.past[int(np.nanargmax(used))]
    return HeardLoad(total, each, used, worst.limit, rated_a, names, 1.0)
