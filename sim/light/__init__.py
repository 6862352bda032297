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
from sim.light.night import HOURS, USUAL_HOUR
from sim.light.relight import coarser, lifted, relit
from sim.light.scene import Scene, build, luminance, picture, screen_picture, to_m, to_px

__all__ = [
    "HOURS",
    "USUAL_HOUR",
    "Facade",
    "Obtrusive",
    "Probe",
    "Scene",
    "ZoneLimits",
    "build",
    "coarser",
    "facade",
    "illuminance_lx",
    "lifted",
    "luminance",
    "obtrusive",
    "picture",
    "probe",
    "relit",
    "screen_picture",
    "to_m",
    "to_px",
]
