"""Snow falls in front of the house."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import chance, hashed, share
from effects.place import LayerPlace
from effects.shape import ONE, clamp


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    size_m, gap_m = settings["size"], settings["gap"]
    # The air drifts past in columns; each falls at its own speed, one flake in every gap.
    across = (place.xy_m[:, 0] - time_s * settings["wind"]) / size_m
    column = np.floor(across)
    key = hashed(seed, column.astype(np.int64))
    speed = settings["speed"] * (0.7 + 0.6 * share(key))
    fallen = (place.xy_m[:, 1] + time_s * speed) / gap_m + chance(key, -1)
    flake = np.floor(fallen)
    fallen -= flake
    drawn = hashed(key, flake.astype(np.int64))
    radius = half(size_m, gap_m)
    centre = radius + share(drawn) * (ONE - radius - radius)
    above = (fallen.astype(np.float32) - centre) / radius
    aside = (across - column).astype(np.float32) * np.float32(2) - ONE
    level = clamp(ONE - above * above)
    level *= ONE - aside * aside
    return (drawn % np.uint32(colours)).astype(np.float32), level


def half(size_m: float, gap_m: float) -> np.float32:
    """Half of a flake's height, as a part of the gap; at most half of it."""
    return np.float32(min(size_m / gap_m, 1) / 2)


FLURRY = Effect(
    "flurry",
    "snow falls in front of the house and lights the pixels it passes",
    field,
    (
        Parameter("size", "m", 0.05, 5, 0.3, "of a flake"),
        Parameter("speed", "m/s", 0.05, 5, 0.5, "at which snow falls"),
        Parameter("wind", "m/s", -5, 5, 0.15, "drift to the right; negative to the left"),
        Parameter("gap", "m", 0.2, 50, 3.0, "height between two flakes one above the other"),
    ),
    period_s=lambda settings, colours, place: None,
    change_per_s=lambda settings, colours, place: (
        4 * 1.3 * settings["speed"] / min(settings["size"], settings["gap"])
        + 4 * abs(settings["wind"]) / settings["size"]
    ),
)
