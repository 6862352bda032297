"""Bands of the palette's colours that stand still."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import FULL, stairs


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    band_m, soft = settings["band"], settings["soft"]
    return stairs(place.along_m / np.float32(band_m), soft), FULL


STEADY = Effect(
    "steady",
    "bands of the palette's colours that stand still; one colour lights the whole zone",
    field,
    (
        Parameter("band", "m", 0.02, 100, 1.0, "length of one colour"),
        Parameter("soft", "", 0, 1, 0.0, "part of a band that runs over into the next"),
    ),
    period_s=lambda settings, colours, place: 0.0,
    change_per_s=lambda settings, colours, place: 0.0,
)
