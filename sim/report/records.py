"""What `power` tells, as frozen records; `sim.report.power` fills them, two writers show them."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.finding import Finding


@dataclass(frozen=True)
class SupplyLoad:
    """One supply over the seconds looked at."""

    name: str
    volts: float
    rated_a: float
    nameplate_a: float  # every channel of every pixel full
    peak_a: float
    peak_time_s: float
    mean_a: float
    cause: str = ""  # run and layer that draw most of the peak

    @property
    def load(self) -> float:
        """Peak as a share of the rating."""
        return self.peak_a / self.rated_a


@dataclass(frozen=True)
class WireLoad:
    """One wire over the seconds looked at; None where the wire carries no fuse."""

    start: str
    end: str
    size: str
    length_m: float
    peak_a: float
    peak_time_s: float
    ampacity_a: float
    drop_v: float  # both conductors, at the peak
    fuse_a: float | None
    short_a: float | None  # with a dead short at the farthest point its fuse protects


@dataclass(frozen=True)
class RunVolts:
    """The least voltage of one run over the seconds looked at."""

    name: str
    pixels: int
    kind: str
    nominal_v: float
    min_v: float
    min_v_pixel: int
    min_v_time_s: float


@dataclass(frozen=True)
class Energy:
    """Means over the seconds looked at [W]."""

    dc_w_mean: float
    wall_w_mean: float
    idle_wall_w: float  # every pixel dark, supplies on
    copper_w_mean: float


@dataclass(frozen=True)
class RunInstant:
    """One run at one time; n pixels."""

    drive: tuple[tuple[float, ...], ...]  # (n, channels) duty 0..1 of the channels the kind has
    volts: tuple[float, ...]  # (n,) [V]
    amps: tuple[float, ...]  # (n,) [A]


@dataclass(frozen=True)
class Instant:
    """The house at one time."""

    time_s: float
    supplies_a: dict[str, float]
    runs: dict[str, RunInstant]


@dataclass(frozen=True)
class PowerReport:
    """Everything `power` tells of one scheme on one house."""

    house: str
    scheme: str
    brightness: float
    frames: int
    fps: float
    seconds: float
    whole_period: bool  # False: the scheme never repeats, or only part of it was looked at
    nameplate_a: float
    brightness_ceiling: float
    energy: Energy
    supplies: tuple[SupplyLoad, ...]
    wires: tuple[WireLoad, ...]
    runs: tuple[RunVolts, ...]
    findings: tuple[Finding, ...]
    at: Instant | None = None
