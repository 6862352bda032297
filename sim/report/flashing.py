"""A scheme watched from the street for flashes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from effects import Scheme, asked, bind
from layouts.records import House
from sim.colour import codes, mixer
from sim.frame import scene
from sim.light.cells import Cells, cells_of
from sim.light.flash import LONG_S, Verdict, verdicts

#: How long a scheme without a period is watched, and the longest period that is watched whole.
APERIODIC_S = 30.0
LONGEST_S = 120.0
#: Of the picture whose lattice makes the cells: half a degree or less from the street.
_SIZE_PX = (320, 180)
_FRAMES_AT_ONCE = 64


@dataclass(frozen=True, eq=False)
class Flash:
    """What a scheme's flashing comes to on a house."""

    general: Verdict
    red: Verdict
    seconds: float  # how long it was watched
    whole_period: bool
    cells: Cells

    @property
    def verdicts(self) -> tuple[Verdict, Verdict]:
        """General, red."""
        return self.general, self.red

    @property
    def passes(self) -> bool:
        """Whether both keep the limits."""
        return self.general.passes and self.red.passes


def watch_flash(
    house: House, scheme: Scheme, *, cells: Cells | None = None, seconds: float = APERIODIC_S
) -> Flash:
    """Every frame of one period of the scheme, or of `seconds` where it has none, judged.

    Every pixel is taken at its full voltage: what a starved one loses is not counted in favour.
    `cells` narrows the view to those of `street(house)` that matter.
    """
    cells = cells or street(house)
    show = bind(house, scheme)
    period_s = show.period_s
    whole = period_s is not None and period_s <= LONGEST_S
    if period_s is not None and whole:
        # Across the seam of the period, and long enough to see that flashing does not rest.
        seconds = max(period_s + 1.0, LONG_S + 2.0)
    frames = max(2, round(seconds * show.fps))
    mixing = mixer(house, colour=scheme.colour, white=scheme.white, gamma=scheme.gamma)
    rgb = np.empty((frames, len(cells.white_cd_m2), 3), np.float32)
    for first in range(0, frames, _FRAMES_AT_ONCE):
        time_s = np.arange(first, min(first + _FRAMES_AT_ONCE, frames)) / show.fps
        on_wire = codes(mixing, asked(show, time_s), scheme.brightness)
        rgb[first : first + len(time_s)] = cells.rgb(on_wire * np.float32(1 / 255))
    general, red = verdicts(rgb, show.fps, cells.solid_angle_sr, cells.at_deg)
    return Flash(general, red, seconds, whole, cells)


@lru_cache(maxsize=2)
def street(house: House) -> Cells:
    """The house as cells seen from the street; kept, for every scheme of a house needs them."""
    return cells_of(scene(house, _SIZE_PX))
