"""Drawing: seeded values of every unknown, and the circuit that has them.

A draw is known by its seed and its number alone: asking for more, or for them in other blocks,
changes none, and neither does another unknown. Correlated factors of a part are drawn from a joint
Gaussian and then given their own distributions: r is that of the Gaussians, and the rank
correlation is (6/π)·asin(r/2) whatever the distributions are (Pearson 1907). For Gaussian factors
this is JCGM 101:2008, 6.4.8.
"""

from __future__ import annotations

from dataclasses import dataclass
from zlib import crc32

import numpy as np

from sim.circuit import Network
from sim.circuit.drawn import DrawnCircuit
from sim.circuit.values import fuse_ohm, wire_ohm

from .shapes import quantile, to_chance, to_normal
from .unknowns import Unknowns, wire_most

#: So many draws come from one stream of an unknown.
_BLOCK = 1024


@dataclass(frozen=True, eq=False)
class Draws:
    """D draws of U common unknowns and of N pixels."""

    unknowns: Unknowns
    seed: int
    first: int  # number of the first draw
    common: np.ndarray  # (D, U)
    current_each: np.ndarray  # (D, N)

    def __len__(self) -> int:
        return len(self.common)

    def of(self, factor: str, parts: tuple[str, ...], usual: float) -> np.ndarray:
        """(D, parts) the values of a factor; `usual` where a part has none."""
        at = self.unknowns.columns(factor, parts)
        return np.where(at >= 0, self.common[:, at], usual)


def draws(known: Unknowns, count: int, seed: int = 0, first: int = 0) -> Draws:
    """Draws `first` to `first + count − 1` of everything that is unknown."""
    common = common_draws(known, count, seed, first)
    pixels = len(known.house.pixels)
    each_chance = own_chances(seed, "current_each", first, count, pixels)
    return Draws(known, seed, first, common, quantile(known.current_each, each_chance))


def common_draws(known: Unknowns, count: int, seed: int = 0, first: int = 0) -> np.ndarray:
    """(count, U) of the common unknowns alone."""
    chance = np.empty((count, len(known.common)))
    for column, each in enumerate(known.common):
        chance[:, column] = _stream(seed, each.name, first, count)
    _correlate(known, chance)
    common = np.empty_like(chance)
    for column, each in enumerate(known.common):
        common[:, column] = quantile(each.shape, chance[:, column])
    return common


def flux_each(drawn: Draws) -> np.ndarray:
    """(D, N, channels) the light of every channel of every pixel, times that of its reel."""
    known, count = drawn.unknowns, len(drawn)
    pixels, wide = len(known.house.pixels), len(known.house.channels)
    chance = own_chances(drawn.seed, "flux_each", drawn.first, count, wide * pixels)
    chance = chance.reshape(count, pixels, wide)
    for a, b, r in known.house.spread.correlations:
        if {a, b} == {"current_each", "flux_each"}:
            with_ = own_chances(drawn.seed, "current_each", drawn.first, count, pixels)
            mixed = r * to_normal(with_)[..., None] + np.sqrt(1 - r * r) * to_normal(chance)
            chance = to_chance(mixed)
    return quantile(known.flux_each, chance)


def own_chances(seed: int, name: str, first: int, count: int, size: int) -> np.ndarray:
    """(count, size) chances; every draw has a stream of its own."""
    word = crc32(name.encode())
    return np.stack(
        [np.random.default_rng([seed, word, first + n]).random(size) for n in range(count)]
    )


def _stream(seed: int, name: str, first: int, count: int) -> np.ndarray:
    """(count,) chances of one unknown."""
    word = crc32(name.encode())
    blocks = range(first // _BLOCK, (first + count - 1) // _BLOCK + 1)
    drawn = [np.random.default_rng([seed, word, block]).random(_BLOCK) for block in blocks]
    start = first - blocks[0] * _BLOCK
    return np.concatenate(drawn)[start : start + count]


def _correlate(known: Unknowns, chance: np.ndarray) -> None:
    """Makes the chances of correlated factors of the same part go together, in place."""
    said = known.house.spread.correlations
    if not said:
        return
    for part in dict.fromkeys(each.part for each in known.common):
        at = {each.factor: n for n, each in enumerate(known.common) if each.part == part}
        names = [f for f in at if any(f in (a, b) and {a, b} <= at.keys() for a, b, _ in said)]
        if not names:
            continue
        matrix = np.eye(len(names))
        for a, b, r in said:
            if a in names and b in names:
                i, j = names.index(a), names.index(b)
                matrix[i, j] = matrix[j, i] = r
        columns = [at[name] for name in names]
        # Not by Cholesky: that needs more than "not negative", and ±1 may be said.
        values, vectors = np.linalg.eigh(matrix)
        root = vectors * np.sqrt(np.maximum(values, 0.0)) @ vectors.T
        chance[:, columns] = to_chance(to_normal(chance[:, columns]) @ root)


def circuit_of(
    network: Network, drawn: Draws, supply_load: np.ndarray | None = None
) -> DrawnCircuit:
    """The circuits that these draws make of a network.

    `supply_load` (S,) is the share of its rating that each supply gives, for its droop; 0 without.
    """
    known, house = drawn.unknowns, network.house
    now, wiring = network.values, network.topology
    names = tuple(supply.name for supply in house.supplies)
    rail = drawn.of("rail_ohm", known.reels, 1.0)[:, known.reel_of]
    counts = [run.count - 1 for run in house.runs]
    strip = np.concatenate([np.repeat(rail, counts, axis=1), rail[:, wiring.pad_run]], axis=1)
    wires = slice(wiring.first_wire, wiring.first_source)
    plus = np.repeat(now.plus_s[None], len(drawn), axis=0)
    minus = np.repeat(now.minus_s[None], len(drawn), axis=0)
    plus[:, : wiring.first_wire] /= strip
    minus[:, : wiring.first_wire] /= strip
    if house.wires:
        hot = house.temperature_c
        ohm = np.array([wire_ohm(wire, hot) for wire in house.wires])
        fuse = np.array([fuse_ohm(wire) for wire in house.wires])
        times = drawn.of("wire_ohm", known.sizes, 1.0)[:, known.size_of] * wire_most(house)
        # Of what conducts at all; a broken conductor stays broken.
        plus[:, wires] = np.where(now.plus_s[wires] > 0, 1 / (ohm * times + fuse), 0.0)
        minus[:, wires] = np.where(now.minus_s[wires] > 0, 1 / (ohm * times), 0.0)
    load = np.zeros(len(names)) if supply_load is None else supply_load
    volts = now.source_v * drawn.of("supply_v", names, 1.0)
    volts = volts * (1 - drawn.of("supply_droop", names, 0.0) * load)
    current = drawn.of("current", known.reels, 1.0)[:, known.reel_of]
    times = current[:, house.pixels.run] * drawn.current_each
    add = np.stack(
        [drawn.of(f"vf_{c}", known.reels, 0.0)[:, known.reel_of] for c in house.channels],
        axis=2,
    )
    return DrawnCircuit(plus, minus, volts, times, add)


def fixed(known: Unknowns, values: np.ndarray, current_each: np.ndarray | None = None) -> Draws:
    """Draws with given values (D, U), to try what one does; pixels are alike unless given."""
    own = np.ones((len(values), len(known.house.pixels))) if current_each is None else current_each
    return Draws(known, 0, 0, values, own)
