"""Which causes no test tells apart: an open before a pixel and the joint that is open there, say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from layouts.sightings import During
from sim.circuit.build import Network

from .causes import Cause
from .likelihood import blown, bridged, swapped, volts_sigma, watts_sigma
from .next_test import first_dark
from .predicted import DIMMER, LIT, Predicted
from .priors import Priors

#: Readings closer than so many standard deviations are the same; half of what tests go by.
_SAME = 1.5


def same(
    net: Network,
    causes: Sequence[Cause],
    shown: Mapping[During, Predicted],
    p: np.ndarray,
    priors: Priors,
) -> list[np.ndarray]:
    """Numbers of `causes` (G,) in groups, the most probable of each first."""
    house = net.house
    top = max((supply.volts for supply in house.supplies), default=1.0)
    first = next(iter(shown.values()))
    marks = [blown(causes, first, wire) for wire in range(len(house.wires))]
    marks += [swapped(house, causes, first, output) for output in range(len(house.outputs))]
    marks += [bridged(house, causes, first, pixel) for pixel in first_dark(house, first, p)]
    trials = np.stack(marks, axis=1) if marks else np.zeros((len(causes), 0), dtype=bool)
    looks = [np.where(there.looks == DIMMER, LIT, there.looks) for there in shown.values()]
    volts = [there.node_v[there.row][:, : net.nodes] for there in shown.values()]
    watts = [there.watts() for there in shown.values()]
    buckets: dict[bytes, list[list[int]]] = {}
    for g in np.argsort(-p, kind="stable").tolist():
        key = trials[g].tobytes() + b"".join(each[g].tobytes() for each in looks)
        groups = buckets.setdefault(key, [])
        for group in groups:
            head = group[0]
            if all(
                _alike(v[g], v[head], w[g], w[head], top, priors)
                for v, w in zip(volts, watts, strict=True)
            ):
                group.append(g)
                break
        else:
            groups.append([g])
    return [np.array(group) for groups in buckets.values() for group in groups]


def _alike(
    one_v: np.ndarray, other_v: np.ndarray, one_w: float, other_w: float, top: float, priors: Priors
) -> bool:
    if abs(one_w - other_w) > _SAME * watts_sigma(np.array(other_w), priors):
        return False
    return bool((np.abs(one_v - other_v) <= _SAME * volts_sigma(other_v, top, priors)).all())
