"""A house that no supply feeds: what would have to feed it."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.catalogue import limits
from layouts.finding import Finding, Remedy

from .build import Network
from .loads import Loads


@dataclass(frozen=True)
class Need:
    """What the runs of one voltage draw together, and the supply that carries it for hours."""

    volts: float
    peak_a: float
    peak_frame: int
    supply_a: float  # least rating

    @property
    def supply_w(self) -> float:
        """Its least watts."""
        return self.volts * self.supply_a


def needs(network: Network, loads: Loads) -> tuple[Need, ...]:
    """One a voltage, the lowest first; none where the house names a supply.

    Every pixel is taken to get the voltage of its kind: losses on the way come on top.
    """
    house = network.house
    if house.supplies:
        return ()
    found = []
    for volts in sorted({run.kind.supply_v for run in house.runs}):
        which = [r for r, run in enumerate(house.runs) if run.kind.supply_v == volts]
        amps = loads.run_a[:, which].sum(axis=1)
        # rounded, so that of equal frames the first is told
        peak = int(amps.round(9).argmax())
        peak_a = float(amps[peak])
        found.append(Need(volts, peak_a, peak, peak_a / limits().supply_load))
    return tuple(found)


def unfed_findings(network: Network, loads: Loads) -> tuple[Finding, ...]:
    """Notes `supply-needed`, one a voltage."""
    return tuple(
        Finding(
            "note",
            "supply-needed",
            network.house.name,
            value=need.peak_a,
            limit=0.0,
            unit="A",
            remedies=(Remedy("add-supply", f"{need.volts:g} V", need.supply_a, "A"),),
            detail={
                "volts": need.volts,
                "supply_a": need.supply_a,
                "supply_w": need.supply_w,
                "share": limits().supply_load,
            },
        )
        for need in needs(network, loads)
    )
