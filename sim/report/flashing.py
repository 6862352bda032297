"""A scheme watched from the street for flashes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from effects import Scheme, Show, asked, bind
from effects.course import courses, frame_count
from layouts.kept_with import kept_with_first
from layouts.records import House
from sim.colour import Mixer, codes, mixer
from sim.frame import scene
from sim.light.cells import Cells, cells_of
from sim.light.flash import LONG_S, FlashVerdict, verdicts

#: How long a scheme without a period is watched, and the longest period that is watched whole.
APERIODIC_S = 30.0
LONGEST_S = 120.0
#: Of the picture whose lattice makes the cells: half a degree or less from the street.
_SIZE_PX = (320, 180)
_FRAMES_AT_ONCE = 64


@dataclass(frozen=True, eq=False)
class Flash:
    """What a scheme's flashing comes to on a house."""

    general: FlashVerdict
    red: FlashVerdict
    seconds: float  # how long it was watched
    whole_period: bool
    cells: Cells

    @property
    def verdicts(self) -> tuple[FlashVerdict, FlashVerdict]:
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

    Where layers come or go, so many seconds after each such time are judged as well.

    Every pixel is taken at its full voltage: what a starved one loses is not counted in favour.
    `cells` narrows the view to those of `street(house)` that matter.
    """
    cells = cells or street(house)
    show = bind(house, scheme)
    period_s = show.period_s
    whole = period_s is not None and period_s <= LONGEST_S
    if period_s is not None and whole:
        # Across the seam of the period, and long enough to see that flashing does not rest.
        stretches = [(0.0, max(period_s + 1.0, LONG_S + 2.0))]
    else:
        stretches = _stretches(show, seconds)
    mixing = mixer(house, colour=scheme.colour, white=scheme.white, gamma=scheme.gamma)
    seen = [_watched(show, mixing, cells, begin_s, length_s) for begin_s, length_s in stretches]
    general, red = (_worst(each) for each in zip(*seen, strict=True))
    return Flash(general, red, sum(length_s for _, length_s in stretches), whole, cells)


def _stretches(show: Show, seconds: float) -> list[tuple[float, float]]:
    """(begin, length) [s] of what is watched: the first `seconds`, and as long wherever a layer
    has come or gone, each time a second before it."""
    edges = sorted({edge for course in courses(show) for edge in course.edges_s})
    found = [(0.0, seconds)]
    for edge in edges:
        begin_s, end_s = max(0.0, edge - 1.0), edge + seconds
        last_s, length_s = found[-1]
        if begin_s <= last_s + length_s and end_s - last_s <= LONGEST_S:
            found[-1] = (last_s, max(length_s, end_s - last_s))
        elif end_s > last_s + length_s:
            found.append((begin_s, end_s - begin_s))
    return found


def _watched(
    show: Show, mixing: Mixer, cells: Cells, begin_s: float, length_s: float
) -> tuple[FlashVerdict, FlashVerdict]:
    """The verdicts on one stretch, their times counted from the scheme's start."""
    frames = max(2, frame_count(length_s, show.fps))
    rgb = np.empty((frames, len(cells.white_cd_m2), 3), np.float32)
    for first in range(0, frames, _FRAMES_AT_ONCE):
        numbers = np.arange(first, min(first + _FRAMES_AT_ONCE, frames))
        on_wire = codes(mixing, asked(show, begin_s + numbers / show.fps), show.scheme.brightness)
        rgb[first : first + len(numbers)] = cells.rgb(on_wire * np.float32(1 / 255))
    general, red = verdicts(rgb, show.fps, cells.solid_angle_sr, cells.at_deg)
    return _later(general, begin_s), _later(red, begin_s)


def _later(verdict: FlashVerdict, begin_s: float) -> FlashVerdict:
    return replace(
        verdict,
        time_s=verdict.time_s + begin_s,
        area_time_s=verdict.area_time_s + begin_s,
    )


def _worst(verdicts: Sequence[FlashVerdict]) -> FlashVerdict:
    """Of several stretches, the one that is furthest over; its hot cells and rests are of all."""

    def over(one: FlashVerdict) -> tuple[bool, bool, float, int]:
        return not one.passes, not one.passes_strict, one.area_sr, one.transitions

    return replace(
        max(verdicts, key=over),
        hot_cells=np.unique(np.concatenate([one.hot_cells for one in verdicts])),
        long_s=max(one.long_s for one in verdicts),
    )


@kept_with_first
def street(house: House) -> Cells:
    """The house as cells seen from the street; kept, for every scheme of a house needs them."""
    return cells_of(scene(house, _SIZE_PX))
