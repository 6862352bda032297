"""A picture of a house as an array that can be saved, and that a notebook shows."""

from __future__ import annotations

import io
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from effects import Scheme, bind
from layouts.files.write import write_atomically
from layouts.records import House
from sim.frame import frame, rig_for, scene
from sim.light import USUAL_HOUR
from sim.light import picture as drawn


@dataclass(frozen=True, eq=False)
class Picture:
    """One picture; `rgb` (H, W, 3) uint8 sRGB."""

    rgb: np.ndarray

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return self.rgb.shape[1], self.rgb.shape[0]

    def png(self) -> bytes:
        """The bytes of a PNG file."""
        from PIL import Image

        out = io.BytesIO()
        Image.fromarray(self.rgb).save(out, "PNG")
        return out.getvalue()

    def save(self, path: str | os.PathLike[str]) -> Path:
        """Write the PNG, whole or not at all. Raises OSError where it cannot be written."""
        write_atomically(path, self.png())
        return Path(path)

    def _repr_png_(self) -> bytes:
        """What a notebook shows."""
        return self.png()

    def __repr__(self) -> str:
        return f"Picture({self.size_px[0]} x {self.size_px[1]} px)"


def picture(
    house: House,
    scheme: Scheme | None = None,
    time_s: float = 0.0,
    *,
    size_px: tuple[int, int] = (960, 540),
    hour: str = USUAL_HOUR,
    brightness: float | None = None,
    exposure_ev: float | None = None,
) -> Picture:
    """The house at night, lit by `scheme` at `time_s` [s], or with every pixel dark.

    `brightness` (0..1) replaces the scheme's own, `exposure_ev` the scene's. Raises KeyError for an
    hour that is not in `sim.light.HOURS`.
    """
    night = scene(house, size_px, hour)
    light = np.zeros((len(house.pixels), len(house.channels)), np.float32)
    if scheme is not None:
        light = frame(rig_for(house, scheme), bind(house, scheme), time_s, brightness).light
    return Picture(drawn(night, light, exposure_ev=exposure_ev))
