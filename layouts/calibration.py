"""What a meter at the wall found of the pixels on one supply, as the house file keeps it.

A house keeps the figures of its kinds and says beside them by how much its own parts differ, so
that both can be read. What is calibrated holds for the kinds it was measured with: a run that has
another kind now is reckoned as that kind's sheet says.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from layouts.channels import CHANNELS

if TYPE_CHECKING:
    from layouts.finding import Finding
    from layouts.records import House, Run, Supply


@dataclass(frozen=True)
class SupplyCurve:
    """What a supply takes from the mains for P out of it: a + b·P + c·P² [W]."""

    a_w: float
    b: float
    c_per_w: float = 0.0

    def mains_w(self, out_w: np.ndarray) -> np.ndarray:
        """[W] from the mains while it gives `out_w` [W]."""
        return np.asarray(self.a_w + self.b * out_w + self.c_per_w * out_w**2)


@dataclass(frozen=True)
class Calibration:
    """The pixels on one supply as measured, against the figures of their kinds."""

    supply: str  # "": the supply they were measured with is gone, their currents still hold
    volts: float  # of the supply when measured
    runs: Mapping[str, str] = field(hash=False)  # run -> its kind when measured
    idle: float = 1.0  # times the kind's idle current
    currents: Mapping[str, float] = field(default_factory=dict, hash=False)  # channel -> times
    curve: SupplyCurve | None = None
    uncertainty: Mapping[str, float] = field(default_factory=dict, hash=False)  # one sigma
    readings: str = ""  # the file they were worked out from

    def holds_for(self, run: Run) -> bool:
        """Whether the run still has the kind it was measured with."""
        return self.runs.get(run.name) == run.kind.name


#: What multiplies the idle current and that of each channel, in the order of CHANNELS.
Factors = tuple[float, ...]
AS_THE_SHEET: Factors = (1.0,) * (1 + len(CHANNELS))


def factors(house: House, run: Run) -> Factors:
    """By what the currents of `run` differ from its kind's: idle, and every channel."""
    for each in house.calibration:
        if each.holds_for(run):
            return each.idle, *(each.currents.get(channel, 1.0) for channel in CHANNELS)
    return AS_THE_SHEET


def curve(house: House, supply: Supply) -> SupplyCurve:
    """What a supply takes from the mains: as measured, or its no-load watts and efficiency."""
    for each in house.calibration:
        if each.supply == supply.name and each.volts == supply.volts and each.curve is not None:
            return each.curve
    return sheet_curve(supply)


def sheet_curve(supply: Supply) -> SupplyCurve:
    """What its no-load watts and efficiency say."""
    return SupplyCurve(supply.no_load_w, 1 / supply.efficiency)


def mains_w(house: House, out_w: np.ndarray) -> np.ndarray:
    """(T, S) [W] that each supply takes from the mains while it gives `out_w` (T, S) [W]."""
    curves = [curve(house, supply) for supply in house.supplies]
    taken = [each.mains_w(out_w[:, s]) for s, each in enumerate(curves)]
    return np.stack(taken, axis=1)


def kept_with(
    entries: Iterable[Mapping[str, Any]], supplies: Collection[str]
) -> list[Mapping[str, Any]]:
    """Entries of a file while only `supplies` are left: what runs draw of the others still holds.

    That was measured of the pixels, though their supply is gone; its curve went with it.
    """
    return [
        each
        if each.get("supply") in (None, *supplies)
        else {key: value for key, value in each.items() if key not in ("supply", "curve")}
        for each in entries
    ]


def calibration_findings(house: House) -> Iterator[Finding]:
    """Runs that were measured with another kind than they have now."""
    from layouts.finding import Finding, Remedy

    for each in house.calibration:
        for run in house.runs:
            if run.name in each.runs and not each.holds_for(run):
                yield Finding(
                    "warning",
                    "calibration-other-kind",
                    run.name,
                    remedies=(Remedy("measure-again", each.supply),),
                    detail={
                        "supply": each.supply,
                        "was": each.runs[run.name],
                        "kind": run.kind.name,
                    },
                )
