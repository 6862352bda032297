"""A plan for schemes: made for the frames that ask most, then watched over every frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from effects import Scheme, Show, bind
from layouts.records import House
from sim.circuit import build, utilisation
from sim.circuit.law import law
from sim.frame import Rig, on_wire, rig_for
from sim.parts.records import Parts
from sim.scan import Scan, scan

from .loadcase import worst_codes
from .plan import Plan, Wanted, plan_house, with_more_frames
from .proposal import Infeasible

Progress = Callable[[float, float], None]

#: How often frames that turn out to exceed a limit are planned for too, and how many at a time.
_ROUNDS, _MORE = 4, 8


def plan_for(
    house: House,
    schemes: Sequence[Scheme],
    parts: Parts,
    wanted: Wanted | None = None,
    *,
    brightness: float | None = None,
    seconds: float | None = None,
    progress: Progress | None = None,
) -> tuple[Plan, tuple[Scan, ...]]:
    """The plan that every frame of `schemes` keeps the limits of, and the wired house watched.

    `brightness` and `seconds` replace those of the schemes. Raises EvenfallError like `plan_house`.
    """
    shows = [(rig_for(house, scheme), bind(house, scheme)) for scheme in schemes]
    codes = worst_codes(shows, law(house), brightness, seconds, progress)
    for _ in range(_ROUNDS):
        made = plan_house(house, codes, parts, wanted, progress)
        watched, worse = [], []
        for rig, show in shows:
            on_it = replace(rig, house=made.house, network=build(made.house))
            seen = scan(on_it, show, seconds=seconds, brightness=brightness, progress=progress)
            watched.append(seen)
            worse += [_codes(on_it, show, seen, frames) for frames in [_beyond(made, seen)]]
        more = np.concatenate(worse)
        if not len(more):
            return made, tuple(watched)
        codes = with_more_frames(made, more)
    raise Infeasible(
        f"after {_ROUNDS} rounds frames of the schemes still exceed a limit of what was planned; "
        "plan with --for full"
    )


def _beyond(made: Plan, seen: Scan) -> np.ndarray:
    """Frames in which a limit is exceeded, for each of them the worst ones."""
    network, held = seen.rig.network, seen.loads
    used = utilisation(network, held)
    feed_v = network.feed_v[[run.first for run in made.house.runs]]
    lost = (feed_v - held.run_v) / (made.wanted.rules.most_drop * feed_v)
    used = np.concatenate([used, np.where(np.isfinite(lost), lost, 0.0)], axis=1)
    over = np.flatnonzero(used.max(axis=0) > 1 + 1e-6)
    frames = np.unique(used[:, over].argmax(axis=0))
    most = used[frames].max(axis=1, initial=0.0)
    return np.sort(frames[np.argsort(-most, kind="stable")][:_MORE])


def _codes(rig: Rig, show: Show, seen: Scan, frames: np.ndarray) -> np.ndarray:
    """(n, N, C) the codes of those frames."""
    return on_wire(rig, show, frames / seen.fps, seen.brightness)
