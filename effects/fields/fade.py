"""The whole zone crossfades through the palette."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import FULL, clamp, smooth, turns


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    step_s = settings["hold"] + settings["change"]
    whole, part = turns(time_s, step_s)
    into = (part * np.float32(step_s) - np.float32(settings["hold"])) / np.float32(
        settings["change"]
    )
    return (whole % colours).astype(np.float32) + smooth(clamp(into)), FULL


FADE = Effect(
    "fade",
    "the whole zone crossfades from colour to colour through the palette",
    field,
    (
        Parameter("hold", "s", 0, 3600, 4.0, "how long each colour stays"),
        Parameter("change", "s", 0.5, 3600, 3.0, "how long a crossfade takes"),
    ),
    period_s=lambda settings, colours, place: (
        colours * (settings["hold"] + settings["change"]) if colours > 1 else 0.0
    ),
    change_per_s=lambda settings, colours, place: 1.5 / settings["change"],
)
