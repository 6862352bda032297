"""Mean watts of every scheme of a season on a house."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from layouts.records import House
from sim.season.bill import Watts
from sim.season.records import Season

#: A mean needs far fewer frames than a peak: so many are spread over what is watched. A prime
#: keeps them from falling in step with a round period inside it.
_FRAMES = 251


def scheme_watts(
    house: House, season: Season, progress: Callable[[float, float], None] | None = None
) -> Watts:
    """What each scheme takes from the mains on average, and the house with every pixel dark."""
    from effects import bind
    from sim.frame import rig_for
    from sim.scan import DEFAULT_SECONDS, scan

    lit: dict[str, float] = {}
    for name, scheme in season.schemes.items():
        show = bind(house, scheme)
        watched_s = show.period_s or DEFAULT_SECONDS
        rate = max(1.0 / watched_s, min(show.fps, _FRAMES / watched_s))
        watched = scan(rig_for(house, scheme), show, seconds=watched_s, fps=rate)
        lit[name] = watched.energy.wall_w_mean
        if progress:
            progress(len(lit), len(season.schemes))
    return Watts(lit, _idle_w(house))


def _idle_w(house: House) -> float:
    """Wall watts with every pixel dark and the supplies on."""
    from sim.circuit import build, energy, loads

    network = build(house)
    dark = loads(network, np.zeros((1, len(house.pixels), 4), np.uint8))
    return energy(network, dark, dark).idle_wall_w
