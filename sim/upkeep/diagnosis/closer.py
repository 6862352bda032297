"""Causes that are more or less bad, in many degrees and at every place, where they are likely.

A few degrees and places stand for all while every cause of a house is tried; of those that are
left, a bad joint of 0.3 Ω before one pixel is told from one of 0.5 Ω before the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from layouts.records import House

from .causes import Breakage
from .likelihood import VAGUE

#: [Ω] of joints and shorts, [share] of a sagging supply's volts.
_JOINT = np.geomspace(0.07, 5.0, 12)
_SHORT = np.geomspace(0.015, 0.3, 5)
_SAG = np.linspace(0.52, 0.97, 16)
#: Less probable causes are left as they are; so many are looked at more closely.
_LEAST, _MOST = 3e-3, 10


def closer(
    house: House, causes: Sequence[Breakage], p: np.ndarray
) -> tuple[list[int], list[Breakage]]:
    """Numbers of `causes` (F,) of probabilities `p` that are replaced, and by which.

    All degrees of one thing at one place are replaced at once; weights stay in sum.
    """
    things: dict[tuple[object, ...], list[int]] = {}
    for f, cause in enumerate(causes):
        if len(cause.faults) == 1 and cause.faults[0].kind in VAGUE[:3] and not cause.fine:
            things.setdefault(_thing(cause), []).append(f)
    share = {key: float(p[numbers].sum()) for key, numbers in things.items()}
    chosen = sorted((key for key in share if share[key] > _LEAST), key=lambda key: -share[key])
    gone: list[int] = []
    fresh: list[Breakage] = []
    for key in chosen[:_MOST]:
        numbers = things[key]
        gone += numbers
        weight = sum(causes[f].weight for f in numbers)
        fresh += _finer(house, causes[numbers[0]], weight)
    return gone, fresh


def _thing(cause: Breakage) -> tuple[object, ...]:
    fault = cause.faults[0]
    return cause.kind, fault.wire, fault.supply, fault.run, cause.first, cause.last


def _finer(house: House, cause: Breakage, weight: float) -> list[Breakage]:
    fault = cause.faults[0]
    if fault.kind == "sag":
        volts = next(s.volts for s in house.supplies if s.name == fault.supply)
        made = [replace(fault, volts=float(volts * share)) for share in _SAG]
    else:
        ohms = _JOINT if fault.kind == "joint" else _SHORT
        places = range(cause.first, cause.last + 1) if fault.run is not None else [None]
        made = [replace(fault, position=n, ohm=float(ohm)) for n in places for ohm in ohms]
    each = weight / len(made)
    return [
        replace(
            cause,
            faults=(one,),
            weight=each,
            first=one.position or 0,
            last=one.position or 0,
            fine=True,
        )
        for one in made
    ]
