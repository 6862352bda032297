"""What a scheme makes of every supply, wire and run: nameplate, peak, mean, least voltage."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.calibration import mains_w
from layouts.records import Run, Supply, Wire

from .build import Network
from .law import nameplate_a
from .loads import Loads
from .results import Solution
from .solve import solve_constant


@dataclass(frozen=True)
class SupplyUse:
    """One supply over the frames looked at."""

    supply: Supply
    nameplate_a: float  # every channel of every pixel full, no voltage lost
    peak_a: float
    peak_frame: int
    mean_a: float

    @property
    def load(self) -> float:
        """Peak as a share of the rating."""
        return self.peak_a / self.supply.rated_a


@dataclass(frozen=True)
class WireUse:
    """One wire over the frames looked at; amperes in its +, without their direction."""

    wire: Wire
    nameplate_a: float
    peak_a: float
    peak_frame: int
    mean_a: float
    drop_v: float  # both conductors, at the peak
    minus_peak_a: float = 0.0  # in −; of the same size but where rings, cuts or breaks part the two

    @property
    def most_a(self) -> float:
        """The largest current in either conductor."""
        return max(self.peak_a, self.minus_peak_a)


@dataclass(frozen=True)
class RunUse:
    """One run over the frames looked at."""

    run: Run
    nameplate_a: float
    peak_a: float
    peak_frame: int
    mean_a: float
    feed_v: float  # of the supply behind it; the kind's own voltage where there is none
    min_v: float
    min_v_pixel: int
    min_v_frame: int
    min_dim: float  # 0..1 of the most dimmed channel that is lit
    reached: bool = True  # by a supply, or there is none at all

    @property
    def drop(self) -> float:
        """The largest loss on the way to a pixel, as a share of the supply's voltage.

        Nothing is lost on the way to a run that no supply reaches.
        """
        return 1 - self.min_v / self.feed_v if self.reached else 0.0


@dataclass(frozen=True)
class Energy:
    """Mean watts over the frames looked at.

    Wall watts are `no_load_w + dc / efficiency` of each supply, or its curve as measured, summed;
    None where the house names no supply, for then nobody knows what is lost in it.
    """

    dc_w_mean: float
    wall_w_mean: float | None
    idle_dc_w: float  # every pixel dark, supplies on
    idle_wall_w: float | None
    copper_w_mean: float  # part of dc_w_mean

    def day_kwh(self, lit_hours: float) -> float | None:
        """[kWh] from the mains in a day with so many hours lit, the supplies on all day."""
        if self.wall_w_mean is None or self.idle_wall_w is None:
            return None
        return (self.wall_w_mean * lit_hours + self.idle_wall_w * (24 - lit_hours)) / 1000


def supply_uses(network: Network, loads: Loads) -> tuple[SupplyUse, ...]:
    """Every supply, in the house's order."""
    plate = _nameplate(network)
    peak = loads.supply_a.argmax(axis=0)
    return tuple(
        SupplyUse(
            supply,
            float(plate.supply_a[0, s]),
            float(loads.supply_a[peak[s], s]),
            int(peak[s]),
            float(loads.supply_a[:, s].mean()),
        )
        for s, supply in enumerate(network.house.supplies)
    )


def wire_uses(network: Network, loads: Loads) -> tuple[WireUse, ...]:
    """Every wire, in the house's order."""
    plate = np.abs(_nameplate(network).wire_a[0])
    amps, back_a = np.abs(loads.wire_a), np.abs(loads.wire_minus_a)
    peak = amps.argmax(axis=0)
    plus_s, minus_s = (
        s[network.wire_edge] for s in (network.values.plus_s, network.values.minus_s)
    )
    return tuple(
        WireUse(
            wire,
            float(plate[w]),
            float(amps[peak[w], w]),
            int(peak[w]),
            float(amps[:, w].mean()),
            _drop_v(amps[peak[w], w], plus_s[w]) + _drop_v(back_a[peak[w], w], minus_s[w]),
            float(back_a[:, w].max()),
        )
        for w, wire in enumerate(network.house.wires)
    )


def _drop_v(amps: float, siemens: float) -> float:
    """[V] along one conductor; nothing flows in one that is interrupted."""
    return float(amps / siemens) if siemens > 0 else 0.0


def run_uses(network: Network, loads: Loads) -> tuple[RunUse, ...]:
    """Every run, in the house's order."""
    plate = nameplate_a(network.law)
    peak = loads.run_a.argmax(axis=0)
    least = loads.run_v.argmin(axis=0)
    return tuple(
        RunUse(
            run,
            float(plate[run.pixels].sum()),
            float(loads.run_a[peak[r], r]),
            int(peak[r]),
            float(loads.run_a[:, r].mean()),
            float(network.feed_v[run.first + loads.run_pixel[least[r], r]]),
            float(loads.run_v[least[r], r]),
            int(loads.run_pixel[least[r], r]),
            int(least[r]),
            float(loads.run_dim[:, r].min()),
            not len(network.fixed_v) or bool(network.reach.live[run.pixels].any()),
        )
        for r, run in enumerate(network.house.runs)
    )


def energy(network: Network, loads: Loads, idle: Loads) -> Energy:
    """The mean over `loads`; `idle` is one frame with every pixel dark."""
    fed = bool(network.house.supplies)
    return Energy(
        dc_w_mean=float(loads.dc_w.mean()),
        wall_w_mean=float(wall_w(network, loads).mean()) if fed else None,
        idle_dc_w=float(idle.dc_w[0]),
        idle_wall_w=float(wall_w(network, idle)[0]) if fed else None,
        copper_w_mean=float(loads.copper_w.mean()),
    )


def wall_w(network: Network, loads: Loads) -> np.ndarray:
    """(T,) [W] taken from the mains by all supplies; raises like `each_wall_w`."""
    return each_wall_w(network, loads.supply_a).sum(axis=1)


def each_wall_w(network: Network, supply_a: np.ndarray) -> np.ndarray:
    """(T, S) [W] each supply takes from the mains while it gives `supply_a` (T, S) [A].

    What is pushed into a supply does not come back to them. Raises ValueError for a house without
    supplies.
    """
    supplies = network.house.supplies
    if not supplies:
        raise ValueError("no supplies: what the mains give is not known")
    volts, ohm = np.array([(s.volts, s.source_ohm) for s in supplies]).T
    return mains_w(network.house, np.maximum(supply_a * (volts - ohm * supply_a), 0.0))


def _nameplate(network: Network) -> Solution:
    return solve_constant(network, nameplate_a(network.law))
