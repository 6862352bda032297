"""The house at night: where the light falls and what a camera sees."""

from sim.light.measure import (
    Facade,
    Obtrusive,
    Probe,
    ZoneLimits,
    facade,
    illuminance_lx,
    obtrusive,
    probe,
)
from sim.light.night import HOURS
from sim.light.scene import Scene, build, luminance, picture, to_m, to_px

__all__ = [
    "HOURS",
    "Facade",
    "Obtrusive",
    "Probe",
    "Scene",
    "ZoneLimits",
    "build",
    "facade",
    "illuminance_lx",
    "luminance",
    "obtrusive",
    "picture",
    "probe",
    "to_m",
    "to_px",
]
