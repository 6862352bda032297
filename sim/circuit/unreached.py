"""Pixels that no supply reaches: dark, and told."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from layouts.finding import Finding, Remedy

from .build import Network


def unreached_findings(network: Network) -> tuple[Finding, ...]:
    """Code `unreached`: one finding for each run of which some pixel has no way to a supply.

    Nothing is unreached in a house without supplies, nor where a pixel is cut out: it asks for
    no feed, and parts nothing that is dark on both sides of it.
    """
    if network.reach.whole or not len(network.fixed_v):
        return ()
    found = []
    for run in network.house.runs:
        there = np.flatnonzero(run.has_pixel)
        dark = np.flatnonzero(~network.reach.live[run.pixels][there])
        if len(dark):
            pieces = [(int(there[first]), int(there[last])) for first, last in _pieces(dark)]
            remedies = tuple(Remedy("add-feed", f"{run.name}[{first}]") for first, _ in pieces)
            found.append(
                Finding(
                    "warning",
                    "unreached",
                    run.name,
                    value=float(len(dark)),
                    limit=0.0,
                    unit="pixels",
                    remedies=remedies,
                    detail={"pieces": tuple(pieces), "count": run.count},
                )
            )
    return tuple(found)


def _pieces(numbers: np.ndarray) -> list[tuple[int, int]]:
    """First and last of each unbroken series."""
    series = [
        [int(number) for _, number in group]
        for _, group in groupby(enumerate(numbers), lambda pair: pair[1] - pair[0])
    ]
    return [(part[0], part[-1]) for part in series]
