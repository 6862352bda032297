"""The address of every pixel on its controller.

A chain fills universes of 512 slots from its first address on; a pixel never straddles two, so a
full universe holds 170 pixels of three channels, 128 of four or 102 of five (ANSI E1.31: 512 slots
after the start code; whole pixels are common practice, no source). Universes and addresses count
from 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from layouts.records import House, Kind, Output, Run

SLOTS = 512
MAX_UNIVERSE = 63999


@dataclass(frozen=True, eq=False)
class Addresses:
    """Where every pixel of a house is addressed; N pixels."""

    output: np.ndarray  # (N,) index into House.outputs, -1 for none
    place: np.ndarray  # (N,) its number on the chain, from 0; -1 for none
    universe: np.ndarray  # (N,) from 1; 0 where the output has no universe
    address: np.ndarray  # (N,) of its first channel, from 1; 0 where there is no universe


def addresses(house: House) -> Addresses:
    """The output, the number on its chain and the address of every pixel.

    A position whose pixel is cut out has none: the pixels behind it move up.
    """
    count = len(house.pixels)
    output, place = np.full(count, -1), np.full(count, -1)
    universe, address = np.zeros(count, dtype=int), np.zeros(count, dtype=int)
    runs = {run.name: run for run in house.runs}
    for index, each in enumerate(house.outputs):
        begun = 0
        slots = first_slots(each, runs)
        for name in each.chain:
            run = runs[name]
            there = run.first + np.flatnonzero(run.has_pixel)
            output[there] = index
            place[there] = begun + np.arange(run.present)
            if each.universe is not None:
                universe[there] = slots[begun : begun + run.present] // SLOTS + 1
                address[there] = slots[begun : begun + run.present] % SLOTS + 1
            begun += run.present
    return Addresses(output, place, universe, address)


def first_slots(output: Output, runs: Mapping[str, Run]) -> np.ndarray:
    """The first slot of every pixel of the chain that is there.

    Slots count from 0 at address 1 of universe 1 on through all universes.
    """
    at = ((output.universe or 1) - 1) * SLOTS + (output.address or 1) - 1
    parts = []
    for name in output.chain:
        width = len(runs[name].kind.channels)
        slots = _slots(at, runs[name].present, width)
        parts.append(slots)
        at = int(slots[-1]) + width
    return np.concatenate(parts)


def _slots(at: int, count: int, width: int) -> np.ndarray:
    """First slots of `count` pixels of `width` slots each, the first at `at` or after it."""
    number = np.arange(count)
    room = (SLOTS - at % SLOTS) // width  # whole pixels left in the universe begun
    later = number - room
    full = SLOTS // width
    next_universe = (at // SLOTS + 1) * SLOTS
    beyond = next_universe + later // full * SLOTS + later % full * width
    return np.where(number < room, at + number * width, beyond)


@dataclass(frozen=True)
class Overlap:
    """Output number `index` fills slots up to `last_universe` that `other` has already."""

    index: int
    other: str
    last_universe: int


def overlaps(outputs: Iterable[Output], runs: Mapping[str, Run]) -> list[Overlap]:
    """Outputs whose slots an earlier output has; those without a universe have none."""
    taken: list[tuple[int, int, str]] = []
    found = []
    for index, output in enumerate(outputs):
        if output.universe is None:
            continue
        slots = first_slots(output, runs)
        begin, end = int(slots[0]), int(slots[-1]) + len(runs[output.chain[-1]].kind.channels)
        for other_begin, other_end, other in taken:
            if begin < other_end and other_begin < end:
                found.append(Overlap(index, other, (end - 1) // SLOTS + 1))
                break
        taken.append((begin, end, output.name))
    return found


def frame_time_s(chain: Sequence[Run]) -> float:
    """Seconds for one frame of the runs on one output: Σ bits · bit time + the longest reset.

    As the data sheets time it: 300 pixels of 24 bits at 1.25 µs and 50 µs reset take 9.05 ms. Some
    parts want bits of their own once a frame, which counts for the chain.
    """
    pixels_us = sum(run.present * run.kind.bit_us * pixel_bits(run.kind) for run in chain)
    once_us = max(run.kind.frame_bits * run.kind.bit_us for run in chain)
    return (pixels_us + once_us + max(run.kind.reset_us for run in chain)) * 1e-6


def pixel_bits(kind: Kind) -> float:
    """What one pixel more costs on the data line [bits].

    Each pixel with a clock line hands data on half a clock late, so half a clock more is sent.
    """
    return kind.bits + (0.5 if kind.clock_line else 0.0)
