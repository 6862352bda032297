"""The face for notebooks and scripts: a few functions over everything behind them.

`import sim` gives the same names and imports this file when the first of them is used. What they
return are the records and arrays of the packages below, for whoever wants more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from effects import Scheme, Show, bind, load_scheme
from layouts import House, load_house
from sim.films import film
from sim.frame import Frame, Rig, frame, rig_for, scene
from sim.light import USUAL_HOUR
from sim.light import picture as drawn
from sim.pictures import Picture, picture
from sim.report.contact_sheet import contact_sheet
from sim.report.power import PowerReport, power_report

__all__ = [
    "House",
    "Picture",
    "Played",
    "Scheme",
    "contact_sheet",
    "film",
    "load_house",
    "load_scheme",
    "picture",
    "play",
    "power",
]


@dataclass(frozen=True, eq=False)
class Played:
    """A scheme on a house at one time, or at T times with a leading axis T.

    A notebook shows the picture of it. `frame` holds the same for all pixels at once, with the
    codes on the wire and the current of every supply and wire.
    """

    rig: Rig
    show: Show
    frame: Frame

    @property
    def volts(self) -> Mapping[str, np.ndarray]:
        """By run name (..., n) [V] at each of its n pixels, in data order."""
        return self._by_run(self.frame.volts)

    @property
    def amps(self) -> Mapping[str, np.ndarray]:
        """By run name (..., n) [A] drawn by each of its n pixels, in data order."""
        return self._by_run(self.frame.amps)

    @property
    def supply_a(self) -> Mapping[str, np.ndarray]:
        """By supply name (...) [A] out of it."""
        supplies = self.rig.house.supplies
        return {each.name: self.frame.supply_a[..., i] for i, each in enumerate(supplies)}

    def picture(
        self,
        size_px: tuple[int, int] = (960, 540),
        *,
        hour: str = USUAL_HOUR,
        exposure_ev: float | None = None,
    ) -> Picture:
        """The lit house; of T times, at the first."""
        light = self.frame.light if self.frame.light.ndim == 2 else self.frame.light[0]
        night = scene(self.rig.house, size_px, hour)
        return Picture(drawn(night, light, exposure_ev=exposure_ev))

    def _by_run(self, values: np.ndarray) -> dict[str, np.ndarray]:
        return {run.name: values[..., run.pixels] for run in self.rig.house.runs}

    def _repr_png_(self) -> bytes:
        """What a notebook shows."""
        return self.picture().png()


def play(
    house: House,
    scheme: Scheme,
    time_s: float | np.ndarray = 0.0,
    *,
    brightness: float | None = None,
) -> Played:
    """`scheme` on `house` at `time_s` [s], a number or (T,).

    `brightness` (0..1) replaces the scheme's own. Raises EvenfallError where the scheme does not
    fit the house, or the colours of its kinds cannot be mixed.
    """
    rig, show = rig_for(house, scheme), bind(house, scheme)
    return Played(rig, show, frame(rig, show, time_s, brightness))


def power(house: House, scheme: Scheme, *, seconds: float | None = None) -> PowerReport:
    """What `evenfall power` tells, as records.

    `seconds` [s] replaces one period of the scheme, or the 600 s of one that never repeats.
    """
    return power_report(rig_for(house, scheme), bind(house, scheme), seconds=seconds)
