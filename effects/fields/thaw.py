"""Drops run down and fade."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import chance, hashed, share
from effects.place import LayerPlace
from effects.shape import ONE, clamp
from layouts.kept_with import kept_with_first


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    key, slot_s, offset, spare_s = columns(
        place, seed, settings["width"], drop_s(settings), settings["every"]
    )
    phase = time_s / slot_s + offset
    slot = np.floor(phase)
    phase -= slot
    drawn = hashed(key, slot.astype(np.int64))
    run = (phase * slot_s).astype(np.float32) - share(drawn) * spare_s
    down, head_m, left = heights(place, settings["tail"], settings["run"])
    behind = run * np.float32(settings["speed"]) - down  # of the head, in m
    level = clamp(behind / head_m)
    level *= clamp(ONE - behind / np.float32(settings["tail"]))
    level *= left
    return (drawn % np.uint32(colours)).astype(np.float32), level


def drop_s(settings: Settings) -> float:
    """How long a drop is seen [s]."""
    return (settings["run"] + settings["tail"]) / settings["speed"]


@kept_with_first
def columns(
    place: LayerPlace, seed: int, width_m: float, drop_s: float, every_s: float
) -> tuple[np.ndarray, ...]:
    """What the column of a pixel keeps, (M,) each: its hash; a slot [s] and the part of one at
    time 0, both float64; how much later than the slot a drop may come [s]."""
    column = np.floor(place.xy_m[:, 0] / np.float32(width_m)).astype(np.int64)
    key = hashed(seed, column)
    # A column lets go of one drop in each of its slots, and a slot outlasts its drop.
    slot_s = drop_s + (every_s * (0.5 + share(key))).astype(np.float64)
    offset = chance(key, -1).astype(np.float64)
    return key, slot_s, offset, (slot_s - drop_s).astype(np.float32)


@kept_with_first
def heights(place: LayerPlace, tail_m: float, run_m: float) -> tuple[np.ndarray, ...]:
    """What the height of a pixel says, (M,) each: how far down it is [m], over how much a drop
    lights up there [m], and how much of it is left."""
    down = np.float32(place.box_m[3]) - place.xy_m[:, 1]
    head_m = _head_m({"tail": tail_m}, place)
    return down, head_m, clamp(ONE - down / np.float32(run_m))


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
