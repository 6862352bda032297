"""Which slot of which universe feeds which channel of which pixel, and codes to levels and back.

Chains fill universes as `layouts.addresses` says: a pixel does not straddle two of them. The slots
of a pixel follow the order of its kind's data line, as the controller passes them on. Spare pixels
have slots like any other; positions that are cut out have none.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from layouts.addresses import addresses, frame_time_s, pixel_bits
from layouts.records import CHANNELS, House, Run

from .packets import SLOTS


@dataclass(frozen=True, eq=False)
class HousePatch:
    """N pixels of a house, U universes, M slots in use."""

    house: House
    output: np.ndarray  # (N,) index into House.outputs, -1 for none
    place: np.ndarray  # (N,) its number on the chain, from 0; -1 for none
    universe: np.ndarray  # (N,) from 1; 0 for none
    slot: np.ndarray  # (N,) of its first channel, from 1; 0 for none
    universes: tuple[int, ...]  # all that the house uses, rising
    counts: tuple[int, ...]  # slots to send of each: up to the last in use
    row: np.ndarray  # (M,) index into `universes`
    column: np.ndarray  # (M,) slot, from 0
    pixel: np.ndarray  # (M,)
    channel: np.ndarray  # (M,) index into CHANNELS

    @property
    def unaddressed(self) -> int:
        """Pixels without a universe; positions that are cut out are none."""
        return int((self.house.has_pixel & (self.universe == 0)).sum())


@dataclass(frozen=True)
class Refresh:
    """How often an output can renew its pixels, beside what is asked of it."""

    output: str
    pixels: int
    bits: int
    reset_us: float
    frame_ms: float
    most_hz: float
    asked_hz: float | None


def patch_of(house: House) -> HousePatch:
    """The patch of a house; whoever has no universe is in no slot."""
    found = addresses(house)
    numbers = np.unique(found.universe[found.universe > 0])
    parts = []
    for run in house.runs:
        pixels = np.arange(run.first, run.first + run.count)
        pixels = pixels[found.universe[pixels] > 0]
        for behind, which in enumerate(order_of(run)):
            columns = found.address[pixels] - 1 + behind
            rows = np.searchsorted(numbers, found.universe[pixels])
            parts.append((rows, columns, pixels, np.full(len(pixels), which)))
    parts = parts or [(np.empty(0, dtype=int),) * 4]
    row, column, pixel, channel = (np.concatenate(each) for each in zip(*parts, strict=True))
    counts = np.zeros(len(numbers), dtype=int)
    np.maximum.at(counts, row, column + 1)
    return HousePatch(
        house,
        found.output,
        found.place,
        found.universe,
        found.address,
        tuple(numbers.tolist()),
        tuple(counts.tolist()),
        row,
        column,
        pixel,
        channel,
    )


def order_of(run: Run) -> tuple[int, ...]:
    """The channels of a run's pixels as they follow on the data line, as indices of CHANNELS."""
    return tuple(CHANNELS.index(letter) for letter in run.kind.order)


def levels_from(patch: HousePatch, codes: np.ndarray) -> np.ndarray:
    """(T, U, 512) uint8 levels of the universes that carry codes (T, N, C) uint8."""
    levels = np.zeros((len(codes), len(patch.universes), SLOTS), dtype=np.uint8)
    levels[:, patch.row, patch.column] = codes[:, patch.pixel, patch.channel]
    return levels


def codes_from(patch: HousePatch, levels: np.ndarray) -> np.ndarray:
    """(T, N, C) uint8 codes of levels (T, U, 512); 0 where a pixel has no universe."""
    codes = np.zeros(
        (len(levels), len(patch.house.pixels), len(patch.house.channels)), dtype=np.uint8
    )
    codes[:, patch.pixel, patch.channel] = levels[:, patch.row, patch.column]
    return codes


def stacked(patch: HousePatch, levels: Mapping[int, bytes]) -> np.ndarray:
    """(U, 512) uint8 of the levels by universe; dark where one is missing."""
    rows = [levels.get(number, b"")[:SLOTS].ljust(SLOTS, b"\0") for number in patch.universes]
    return np.frombuffer(b"".join(rows), dtype=np.uint8).reshape(-1, SLOTS)


def refreshes(house: House) -> tuple[Refresh, ...]:
    """Every output's refresh rate, timed as the data sheets do: Σ bits · bit time + reset."""
    return tuple(
        _refresh(output.name, [house.run(name) for name in output.chain], output.fps)
        for output in house.outputs
    )


def _refresh(name: str, chain: Sequence[Run], asked_hz: float | None) -> Refresh:
    seconds = frame_time_s(chain)
    return Refresh(
        name,
        sum(run.present for run in chain),
        math.ceil(sum(run.present * pixel_bits(run.kind) for run in chain))
        + max(run.kind.frame_bits for run in chain),
        max(run.kind.reset_us for run in chain),
        seconds * 1000,
        1 / seconds,
        asked_hz,
    )
