"""Drops run down and fade."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import chance, hashed, share
from effects.place import LayerPlace
from effects.shape import ONE, clamp


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    speed, tail_m, run_m = settings["speed"], settings["tail"], settings["run"]
    column = np.floor(place.xy_m[:, 0] / np.float32(settings["width"])).astype(np.int64)
    key = hashed(seed, column)
    # A column lets go of one drop in each of its slots, and a slot outlasts its drop.
    drop_s = (run_m + tail_m) / speed
    slot_s = drop_s + (settings["every"] * (0.5 + share(key))).astype(np.float64)
    phase = time_s / slot_s + chance(key, -1)
    slot = np.floor(phase)
    phase -= slot
    drawn = hashed(key, slot.astype(np.int64))
    start = share(drawn) * (slot_s - drop_s).astype(np.float32)
    run = (phase * slot_s).astype(np.float32) - start
    down = np.float32(place.box_m[3]) - place.xy_m[:, 1]
    behind = run * np.float32(speed) - down  # of the head, in m
    level = clamp(behind / _head_m(settings, place))
    level *= clamp(ONE - behind / np.float32(tail_m))
    level *= clamp(ONE - down / np.float32(run_m))
    return (drawn % np.uint32(colours)).astype(np.float32), level


def _head_m(settings: Settings, place: LayerPlace) -> np.ndarray:
    """Over which a drop lights up: a quarter of its tail, a pixel at least."""
    return np.maximum(place.pitch_m, np.float32(settings["tail"] / 4))


THAW = Effect(
    "thaw",
    "drops come loose at the highest light, run down and fade",
    field,
    (
        Parameter("speed", "m/s", 0.1, 10, 1.2, "of a drop"),
        Parameter("tail", "m", 0.05, 20, 0.8, "of light behind a drop"),
        Parameter("run", "m", 0.2, 50, 6.0, "height over which a drop fades away"),
        Parameter("width", "m", 0.05, 5, 0.25, "of a drop"),
        Parameter("every", "s", 0.2, 600, 6.0, "rest between two drops at one place, on average"),
    ),
    period_s=lambda settings, colours, place: None,
    change_per_s=lambda settings, colours, place: (
        settings["speed"] * (1 / settings["tail"] + 1 / float(_head_m(settings, place).min()))
    ),
)
