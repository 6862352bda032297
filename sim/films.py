"""Films of a lit house: the pictures of many times, written to one file."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

from effects import Scheme, Show, bind
from layouts.errors import EvenfallError
from layouts.files.write import piecewise
from layouts.records import House
from sim.film_files import STILL, frame_rate, known, write_film
from sim.frame import Rig, frame, rig_for, scene
from sim.light import USUAL_HOUR, Scene, picture

LONGEST_S = 600.0  # of a film; more is a mistake or another program's work
_BLOCK = 16  # frames computed at once
_SAMPLES = 9  # frames looked at for the colours of a film

#: callback(done, total) in frames.
Progress = Callable[[float, float], None]


@dataclass(frozen=True, eq=False)
class Film:
    """What the frames of a film have in common."""

    rig: Rig
    show: Show
    night: Scene
    brightness: float | None = None  # in place of the scheme's own
    exposure_ev: float | None = None  # in place of the scene's

    def frames(self, times_s: np.ndarray, progress: Progress | None = None) -> Iterator[np.ndarray]:
        """The pictures (H, W, 3) uint8 at the times (T,) [s], one after the other."""
        for first in range(0, len(times_s), _BLOCK):
            block = times_s[first : first + _BLOCK]
            lights = frame(self.rig, self.show, block, self.brightness).light
            for number, light in enumerate(lights, start=first + 1):
                yield picture(self.night, light, exposure_ev=self.exposure_ev)
                if progress is not None:
                    progress(number, len(times_s))

    def write(
        self,
        file: BinaryIO,
        suffix: str,
        seconds: float | None = None,
        *,
        at_s: float = 0.0,
        fps: float | None = None,
        progress: Progress | None = None,
    ) -> None:
        """A file of that kind (.png, .gif, .webp, .mp4), beginning at `at_s` [s].

        Without `seconds` one period of the scheme, at most a minute, or ten seconds of what never
        repeats. `fps` left out: what is usual for the file, never above the scheme's.
        """
        if seconds is None:
            seconds = min(self.show.period_s or 10.0, 60.0)
        rate = frame_rate(suffix, fps, self.show.fps)
        count = 1 if suffix in STILL else max(1, round(seconds * rate))
        times_s = at_s + np.arange(count) / rate
        colours = self._sample(times_s) if suffix == ".gif" else None
        write_film(file, suffix, self.frames(times_s, progress), rate, colours, count)

    def _sample(self, times_s: np.ndarray) -> np.ndarray:
        """A few frames spread over the film, small, one above the other."""
        some = times_s[:: -(-len(times_s) // _SAMPLES)]
        return np.concatenate([picture[::4, ::4] for picture in self.frames(some)])


def film(
    house: House,
    scheme: Scheme,
    seconds: float | None,
    out: str | os.PathLike[str],
    *,
    size_px: tuple[int, int] = (1280, 720),
    hour: str = USUAL_HOUR,
    at_s: float = 0.0,
    fps: float | None = None,
    brightness: float | None = None,
    exposure_ev: float | None = None,
    progress: Progress | None = None,
) -> Path:
    """Write `seconds` [s] of `scheme` on `house` to `out`: .png, .gif, .webp or .mp4.

    The file is written whole or not at all. Raises EvenfallError for another ending, more than
    `LONGEST_S`, or MP4 without PyAV; OSError where it cannot be written; KeyError for an hour
    that is not in `sim.light.HOURS`.
    """
    path = Path(out)
    suffix = known(path)
    if seconds is not None and not 0 < seconds <= LONGEST_S:
        raise EvenfallError(f"a film lasts more than 0 and at most {LONGEST_S:g} s")
    shown = Film(
        rig_for(house, scheme),
        bind(house, scheme),
        scene(house, size_px, hour),
        brightness,
        exposure_ev,
    )
    with piecewise(path) as file:
        shown.write(file, suffix, seconds, at_s=at_s, fps=fps, progress=progress)
    return path
