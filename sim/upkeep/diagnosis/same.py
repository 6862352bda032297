"""Which causes no test tells apart: a dark pixel and a dead one where data has a second line, say.

How bad a joint, a short or a sagging supply is is not known, and what is seen hangs on it as much
as on the place. So one thing that is bad in several degrees is one suspect, and neighbouring places
of a run are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from layouts.records import House
from layouts.sightings import During
from sim.circuit.build import Network

from .causes import Breakage
from .likelihood import VAGUE, volts_sigma, watts_sigma
from .next_test import first_dark
from .predicted import DIMMER, LIT, Predicted
from .priors import Priors
from .trials import blown, bridged, swapped

#: Readings closer than so many standard deviations are the same; half of what tests go by.
_SAME = 1.5


def same(
    net: Network,
    causes: Sequence[Breakage],
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
    degrees: list[tuple[Breakage, list[int]]] = []
    for g in np.argsort(-p, kind="stable").tolist():
        mine = next((group for head, group in degrees if _one_thing(head, causes[g])), None)
        if mine is not None:
            mine.append(g)
            continue
        key = trials[g].tobytes() + b"".join(each[g].tobytes() for each in looks)
        key += _open(causes[g], house).encode()
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
            degrees.append((causes[g], groups[-1]))
    return [np.array(group) for groups in buckets.values() for group in groups]


def _open(cause: Breakage, house: House) -> str:
    """Which conductors are broken, where continuity can be checked: it tells each from all else."""
    found = []
    for fault in cause.faults:
        if fault.kind != "open":
            continue
        if fault.run is not None:
            run, at = house.run(fault.run), fault.position or 0
            if at >= run.count or not run.has_pixel[at]:
                continue
        found.append(f"{fault.conductor} {fault.wire} {fault.run} {fault.position}")
    return "; ".join(sorted(found))


def _one_thing(one: Breakage, other: Breakage) -> bool:
    """Whether two causes are one thing that is more or less bad, at one place or beside it."""
    if one.parts or other.parts or one.kind != other.kind:
        return False
    a, b = one.faults[0], other.faults[0]
    if a.kind not in VAGUE or (a.wire, a.supply, a.run) != (b.wire, b.supply, b.run):
        return False
    return a.run is None or (one.first <= other.last + 1 and other.first <= one.last + 1)


def _alike(
    one_v: np.ndarray, other_v: np.ndarray, one_w: float, other_w: float, top: float, priors: Priors
) -> bool:
    if abs(one_w - other_w) > _SAME * watts_sigma(np.array(other_w), priors):
        return False
    return bool((np.abs(one_v - other_v) <= _SAME * volts_sigma(other_v, top, priors)).all())
