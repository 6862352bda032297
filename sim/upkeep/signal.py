"""The pixels of a house one after another on their data lines, and what arrives at each.

A pixel takes its own bits and sends the rest on; so one that does not work ends its chain. A kind
with a backup line has a second input, which is joined by a plain track to the first input of the
pixel before: it takes over where the first is silent. So one dead pixel is passed over, and behind
two neighbours all is lost.

A run on no output is taken as a chain of its own. Cut-out positions are on none.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.kept_with import kept_with_first
from layouts.records import House
from sim.kernels import njit

#: What arrives at a pixel.
NOTHING, DATA, GARBAGE = 0, 1, 2


@dataclass(frozen=True, eq=False)
class Chains:
    """P pixels that are there, chain after chain in data order."""

    pixel: np.ndarray  # (P,) index into House.pixels
    place: np.ndarray  # (N,) where each pixel stands in `pixel`; −1: on no chain
    first: np.ndarray  # (P,) bool: the first of a chain
    output: np.ndarray  # (P,) index into House.outputs; −1: none
    backup: np.ndarray  # (P,) bool: has a second input, joined to the pixel before
    joins: np.ndarray  # (P,) bool: the pixel before belongs to another run


@kept_with_first
def chains(house: House) -> Chains:
    """The chains of a house, outputs first; found once for a house."""
    runs = {run.name: run for run in house.runs}
    named = [(index, each.chain) for index, each in enumerate(house.outputs)]
    chained = {name for _, chain in named for name in chain}
    named += [(-1, (run.name,)) for run in house.runs if run.name not in chained]
    pixel, first, output, backup, joins = [], [], [], [], []
    for index, names in named:
        before = None
        for name in names:
            run = runs[name]
            own = run.first + np.flatnonzero(run.has_pixel)
            begins = np.arange(len(own)) == 0
            pixel.append(own)
            first.append(begins & (before is None))
            joins.append(begins & (before is not None))
            output.append(np.full(len(own), index))
            line = run.kind.backup_data
            there = before is not None and line and before.kind.backup_data
            backup.append(np.where(begins, there, line))
            before = run
    found = np.concatenate(pixel)
    place = np.full(len(house.pixels), -1)
    place[found] = np.arange(len(found))
    return Chains(
        found,
        place,
        *(np.concatenate(each) for each in (first, output, backup, joins)),
    )


@njit(cache=True, nogil=True)
def arriving(
    first: np.ndarray,
    backup: np.ndarray,
    link: np.ndarray,
    works: np.ndarray,
    garbled: np.ndarray,
    spoils: np.ndarray,
) -> np.ndarray:
    """(T, P) NOTHING, DATA or GARBAGE at each pixel.

    first, backup : (P,) bool
    link : (T, P) bool; the conductor from the pixel before is whole
    works : (T, P) bool; a pixel that does not sends nothing on
    garbled : (T, P) bool; the line to the pixel is not read as it was sent
    spoils : (T, P) bool; the pixel itself sends garbage on
    """
    frames, pixels = works.shape
    out = np.zeros((frames, pixels), dtype=np.int8)
    for t in range(frames):
        sent, before = DATA, NOTHING  # by the pixel before; at its own first input
        for p in range(pixels):
            if first[p]:
                sent, before = DATA, NOTHING
            here = sent if link[t, p] else NOTHING
            if here == DATA and garbled[t, p]:
                here = GARBAGE
            heard = here
            if here == NOTHING and backup[p] and not first[p]:
                heard = before
            out[t, p] = heard
            sent = heard if works[t, p] else NOTHING
            if sent == DATA and spoils[t, p]:
                sent = GARBAGE
            before = here
    return out
