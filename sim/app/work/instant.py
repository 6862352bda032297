"""What each layer asks of the current in one frame."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from effects import Show
from sim.app.state.ribbon_view import LayerShares
from sim.circuit import Loads, loads
from sim.frame import Rig, on_wire


def total_of(part: Loads, fed: bool) -> np.ndarray:
    """(T,) [A] out of all supplies, or, without any, into all runs."""
    return np.asarray((part.supply_a if fed else part.run_a).sum(axis=1))


def instant(rig: Rig, show: Show, frame: int, brightness: float) -> LayerShares:
    """The total of a frame, and by how much it falls with each layer hidden in turn.

    Everything is solved together: what is drawn with all layers, with each left out, in the dark.
    """
    fed = bool(rig.house.supplies)
    at_s = np.array([frame / show.fps])
    shows = [show] + [
        replace(show, layers=show.layers[:index] + show.layers[index + 1 :])
        for index in range(len(show.layers))
    ]
    codes = [on_wire(rig, one, at_s, brightness) for one in shows]
    codes.append(np.zeros_like(codes[0]))
    total_a = total_of(loads(rig.network, np.concatenate(codes)), fed)
    names = [f"{bound.effect.name} on {', '.join(bound.layer.zones)}" for bound in show.layers]
    each = tuple(
        (name, float(total_a[0] - without_a))
        for name, without_a in zip(names, total_a[1:-1], strict=True)
    )
    return LayerShares(frame, float(total_a[0]), float(total_a[-1]), each)
