"""What is unknown of a house: one number for every reel, reel of wire and supply, and each pixel.

Runs of one kind are taken to be of one reel unless the house file says which were cut from which,
and wires of one size of one reel: then they err together, which is the worse case for a supply.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layouts.catalogue import spread_factors
from layouts.copper import ohm_per_m
from layouts.records import CHANNELS, House
from layouts.spread import Distribution, Factor

#: Highest over computed resistance of a size without a published limit: as the neighbours have it.
_USUAL_MOST = 1.04


@dataclass(frozen=True)
class Unknown:
    """One number of one part that nobody has measured."""

    factor: str
    part: str  # of which reel, supply or size of wire
    shape: Distribution

    @property
    def name(self) -> str:
        """How it is told apart."""
        return f"{self.factor} of {self.part}"


@dataclass(frozen=True, eq=False)
class Unknowns:
    """All of a house: U common ones, and what every pixel has of its own."""

    house: House
    common: tuple[Unknown, ...]
    current_each: Distribution
    flux_each: Distribution
    reels: tuple[str, ...]
    reel_of: np.ndarray  # (R,) the reel of each run
    sizes: tuple[str, ...]
    size_of: np.ndarray  # (W,) the reel of each wire

    @cached_property
    def _at(self) -> dict[tuple[str, str], int]:
        return {(each.factor, each.part): index for index, each in enumerate(self.common)}

    def columns(self, factor: str, parts: tuple[str, ...]) -> np.ndarray:
        """Where the values of a factor of these parts stand; −1 where it is none of theirs."""
        return np.array([self._at.get((factor, part), -1) for part in parts], dtype=np.int64)

    @property
    def nominal(self) -> np.ndarray:
        """(U,) what the sheets say: 1 or 0, and of what the sheet gives as a limit the mean."""
        return np.array([_as_the_sheet(self.house, each) for each in self.common])

    @property
    def means(self) -> np.ndarray:
        """(U,) expectations."""
        return np.array([each.shape.mean for each in self.common])

    @property
    def sds(self) -> np.ndarray:
        """(U,) standard uncertainties."""
        return np.array([each.shape.sd for each in self.common])


def unknowns(house: House) -> Unknowns:
    """What is unknown of `house`, as the catalogue has it and its file says."""
    table = spread_factors()
    shapes = {name: house.spread.shapes.get(name, row.shape) for name, row in table.items()}
    reels, reel_of = _reels(house)
    sizes = tuple(dict.fromkeys(wire.size.name for wire in house.wires))
    size_of = np.array([sizes.index(wire.size.name) for wire in house.wires], dtype=np.int64)
    common: list[Unknown] = []
    for name, row in table.items():
        for part in _parts(house, row, reels, reel_of, sizes):
            common.append(
                Unknown(name, part, _measured(house, name, part, reels, reel_of) or shapes[name])
            )
    return Unknowns(
        house=house,
        common=tuple(common),
        current_each=shapes["current_each"],
        flux_each=shapes["flux_each"],
        reels=reels,
        reel_of=reel_of,
        sizes=sizes,
        size_of=size_of,
    )


def _reels(house: House) -> tuple[tuple[str, ...], np.ndarray]:
    """Names of the reels, and the one of each run; a reel is of one kind."""
    named = {run: index + 1 for index, reel in enumerate(house.spread.reels) for run in reel}
    keys = [(run.kind, named.get(run.name, 0)) for run in house.runs]
    distinct = list(dict.fromkeys(keys))
    names: list[str] = []
    for kind, number in distinct:
        name = f"reel {number}" if number else kind.name
        while name in names:
            name += "'"
        names.append(name)
    return tuple(names), np.array([distinct.index(key) for key in keys], dtype=np.int64)


def _parts(
    house: House, row: Factor, reels: tuple[str, ...], reel_of: np.ndarray, sizes: tuple[str, ...]
) -> list[str]:
    """The parts of a house that have a number of this factor."""
    if row.scope == "wire":
        return list(sizes)
    if row.scope == "supply":
        droops = row.name == "supply_droop"
        return [each.name for each in house.supplies if not (droops and each.source_ohm > 0)]
    if row.scope == "pixel":
        return []
    channel = row.name.rpartition("_")[2]
    made = []
    for index, reel in enumerate(reels):
        kind = house.runs[int(np.flatnonzero(reel_of == index)[0])].kind
        has = kind.channel(channel) if channel in CHANNELS else True
        if row.name.startswith("nm_") and has and has.dominant_nm is None:  # type: ignore[union-attr]
            continue
        if has:
            made.append(reel)
    return made


def _measured(
    house: House, factor: str, part: str, reels: tuple[str, ...], reel_of: np.ndarray
) -> Distribution | None:
    """What a meter left unknown of a reel's current, where all its runs were measured."""
    if factor != "current" or "current" in house.spread.shapes:
        return None
    runs = [run for index, run in enumerate(house.runs) if reels[reel_of[index]] == part]
    sds = []
    for run in runs:
        found = [each for each in house.calibration if each.holds_for(run)]
        known = [
            found[0].uncertainty[c] / found[0].currents.get(c, 1.0)
            for c in CHANNELS
            if found and c in found[0].uncertainty
        ]
        if not known:
            return None
        sds.append(max(known))
    return Distribution("normal", 1.0, max(sds))


def wire_most(house: House) -> np.ndarray:
    """(W,) the standard's highest resistance of each wire over what is computed for it."""
    made = []
    for wire in house.wires:
        most = wire.size.max_ohm_per_km
        computed = 1000 * ohm_per_m(wire.size.area_mm2, 20.0)
        made.append(_USUAL_MOST if most is None else most / computed)
    return np.array(made)


def _as_the_sheet(house: House, each: Unknown) -> float:
    if each.factor == "wire_ohm":
        sizes = [wire.size.name for wire in house.wires]
        return float(1 / wire_most(house)[sizes.index(each.part)])
    return 0.0 if each.factor.startswith(("vf_", "nm_")) or each.factor == "supply_droop" else 1.0
