"""Every n-th pixel is lit, and all of them step on together."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import ONE, smooth, turns


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    every, change = np.float32(settings["every"]), np.float32(settings["change"])
    number = np.rint(place.along_m / place.pitch_m - np.float32(0.5))
    step, part = turns(time_s, settings["step"])
    group = (number - (step % (int(every) * colours)).astype(np.float32)) / every
    position = np.floor(group)
    group -= position
    group *= every
    from_lit = np.rint(group)  # 0: lit now, 1: lit next
    coming = smooth((part - (ONE - change)) / change)
    level = np.where(from_lit == 0, ONE - coming, np.float32(0))
    np.copyto(level, coming, where=from_lit == 1)
    return position, level


PICKET = Effect(
    "picket",
    "every n-th pixel is lit, and all of them step on together",
    field,
    (
        Parameter("every", "", 2, 50, 4, "one pixel lit of so many", whole=True),
        Parameter("step", "s", 0.2, 60, 0.8, "time from one step to the next"),
        Parameter("change", "", 0.05, 1, 0.5, "part of that time in which they change over"),
    ),
    period_s=lambda settings, colours, place: settings["every"] * colours * settings["step"],
    change_per_s=lambda settings, colours, place: 1.5 / settings["change"] / settings["step"],
)
