"""What the circuit says a reading would be, and the least squares that make it agree.

Gauss–Newton: the readings are nearly linear in what is sought, so a few steps do. What each reading
is uncertain by on its own spreads through the slopes; what all share, the meter's share and the
supply's sheet, by fitting again with it moved (JCGM 100, 5.1.3 note 2: sensitivities by trial).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from layouts.calibration import Calibration, SupplyCurve, sheet_curve
from layouts.records import CHANNELS, Run, Supply
from sim.circuit import Network, loads
from sim.circuit.law import law
from sim.upkeep.readings import Accuracy, Reading

#: What is not known of a supply that nobody measured, as half widths: the share of its efficiency
#: and the watts it takes alone. Efficiencies of one class run from 80 to 90 % [datasheet, 2nd hand]
#: and no-load watts from 0.5 to 2 [from memory].
_EFFICIENCY_OFF, _ALONE_OFF_W = 0.05, 1.0
_STEP = 1e-3


@dataclass(frozen=True, eq=False)
class MeterModel:
    """What the circuit says each reading of one supply would be."""

    network: Network
    number: int
    supply: Supply
    runs: tuple[Run, ...]
    own: list[Reading]

    def predicted(self, values: Mapping[str, float]) -> np.ndarray:
        """(M + A,) [W] at the wall of each reading, then [W] by the clamp of those that have it."""
        made = curve_of(self.supply, values) or sheet_curve(self.supply)
        volts, ohm = self.supply.volts, self.supply.source_ohm
        network = self._with(values)
        out, clamped = [], []
        for each in self.own:
            if each.lit == "unplugged":
                amps = np.zeros(1)
            else:
                amps = loads(network, each.codes).supply_a[:, self.number]
            dc_w = amps * (volts - ohm * amps)
            out.append(float(made.mains_w(dc_w).mean()))
            if each.amps is not None:
                clamped.append(float(amps.mean()) * volts)
        return np.array(out + clamped)

    def watts(self, values: Mapping[str, float]) -> np.ndarray:
        """(M,) [W] at the wall of each reading."""
        return self.predicted(values)[: len(self.own)]

    @property
    def measured(self) -> np.ndarray:
        """(M + A,) [W] as `predicted`."""
        clamped = [each.amps * self.supply.volts for each in self.own if each.amps is not None]
        return np.array([each.watts for each in self.own] + clamped)

    def _with(self, values: Mapping[str, float]) -> Network:
        """The network with currents times the factors among `values`."""
        every = values.get("all", 1.0)
        factors = Calibration(
            supply=self.supply.name,
            volts=self.supply.volts,
            runs={run.name: run.kind.name for run in self.runs},
            idle=values.get("idle", 1.0),
            currents={channel: values.get(channel, every) for channel in CHANNELS},
        )
        house = replace(self.network.house, calibration=(factors,))
        return replace(self.network, house=house, law=law(house))


def fitted(
    model: MeterModel, names: tuple[str, ...], accuracy: Accuracy
) -> tuple[dict[str, float], int]:
    """The values that fit best, and how many readings are spare."""
    measured = model.measured
    spare = len(measured) - len(names)
    if not names or spare < 0:
        return {}, max(spare, 0)
    start = [_start(name, model.supply) for name in names]
    scale = np.array([max(abs(each), 1e-4) for each in start])
    at = np.array(start, dtype=float)
    for _ in range(12):
        slope = _slope(model, names, at, scale)
        gap = measured - model.predicted(dict(zip(names, at, strict=True)))
        step, *_ = np.linalg.lstsq(slope * scale, gap, rcond=1e-9)
        at = at + step * scale
        if np.abs(step).max() < 1e-7:
            break
    return {name: float(value) for name, value in zip(names, at, strict=True)}, spare


def _slope(
    model: MeterModel, names: tuple[str, ...], at: np.ndarray, scale: np.ndarray
) -> np.ndarray:
    """(M, K) how the readings change with each value."""
    columns = []
    for column, size in enumerate(scale):
        step = np.zeros(len(at))
        step[column] = _STEP * size
        up, down = (
            model.predicted(dict(zip(names, at + sign * step, strict=True))) for sign in (1, -1)
        )
        columns.append((up - down) / (2 * _STEP * size))
    return np.column_stack(columns)


def _start(name: str, supply: Supply) -> float:
    return {
        "curve_a": supply.no_load_w,
        "curve_b": 1 / supply.efficiency,
        "curve_c": 0.0,
    }.get(name, 1.0)


def scatter_w_of(model: MeterModel, values: Mapping[str, float], spare: int) -> float:
    """[W] by which the readings miss the fit."""
    if spare < 1:
        return 0.0
    return float(np.sqrt(((model.measured - model.predicted(values)) ** 2).sum() / spare))


def random_errors(
    model: MeterModel,
    names: tuple[str, ...],
    values: Mapping[str, float],
    accuracy: Accuracy,
    scatter_w: float,
) -> dict[str, float]:
    """Standard errors from what each reading is uncertain by on its own.

    The meter's watts as a rectangle, or the scatter of the readings where that is wider.
    """
    each_w = max(accuracy.watts / np.sqrt(3), scatter_w)
    at = np.array([values[name] for name in names])
    scale = np.array([max(abs(_start(name, model.supply)), 1e-4) for name in names])
    slope = _slope(model, names, at, scale) * scale
    errors = np.sqrt(np.diag(np.linalg.pinv(slope.T @ slope))) * scale * each_w
    return dict(zip(names, map(float, errors), strict=True))


def uncertainty_of(
    model: MeterModel,
    names: tuple[str, ...],
    values: Mapping[str, float],
    accuracy: Accuracy,
    spare: int,
) -> dict[str, float]:
    """Standard uncertainty of each value: the readings' own, the meter's share, the supply's."""
    if not names:
        return {}
    parts = [random_errors(model, names, values, accuracy, scatter_w_of(model, values, spare))]
    share = accuracy.share / np.sqrt(3)
    louder = [replace(each, watts=each.watts * (1 + share)) for each in model.own]
    parts.append(_moved(replace(model, own=louder), names, values, accuracy))
    if "curve_a" not in names:
        more_w = model.supply.no_load_w + _ALONE_OFF_W / np.sqrt(3)
        other = replace(model.supply, no_load_w=more_w)
        parts.append(_moved(replace(model, supply=other), names, values, accuracy))
    if "curve_b" not in names:
        less = model.supply.efficiency / (1 + _EFFICIENCY_OFF / np.sqrt(3))
        other = replace(model.supply, efficiency=less)
        parts.append(_moved(replace(model, supply=other), names, values, accuracy))
    return {name: float(np.sqrt(sum(part[name] ** 2 for part in parts))) for name in names}


def _moved(
    model: MeterModel, names: tuple[str, ...], values: Mapping[str, float], accuracy: Accuracy
) -> dict[str, float]:
    """By how much the values move where the model is another."""
    found, _ = fitted(model, names, accuracy)
    return {name: found[name] - values[name] for name in names}


def curve_of(supply: Supply, values: Mapping[str, float]) -> SupplyCurve | None:
    """The supply's curve where the readings say something of it."""
    if not {"curve_a", "curve_b", "curve_c"} & values.keys():
        return None
    known = sheet_curve(supply)
    return SupplyCurve(
        values.get("curve_a", known.a_w),
        values.get("curve_b", known.b),
        values.get("curve_c", known.c_per_w),
    )


def rises(values: Mapping[str, float], supply: Supply) -> bool:
    """Whether the curve gives less than it takes all the way to the rating."""
    made = curve_of(supply, values) or sheet_curve(supply)
    rated_w = supply.volts * supply.rated_a
    return min(made.b, made.b + 2 * made.c_per_w * rated_w) >= 1
