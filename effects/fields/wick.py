"""Separate small flames."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import hashed, ripple
from effects.place import LayerPlace
from effects.shape import HALF, ONE, clamp


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    spaced = place.along_m / np.float32(settings["spacing"]) - HALF
    flame = np.rint(spaced)
    first = flame.min()
    flames = np.arange(int(first), int(flame.max()) + 1)
    height = _height(time_s * settings["flicker"], hashed(seed, flames))
    height = height.take((flame - first).astype(np.intp), axis=1)
    # Half as wide as it is high: a flame that ducks draws in.
    away = (spaced - flame) * np.float32(2 * settings["spacing"] / settings["size"])
    body = clamp(ONE - away * away / (HALF + HALF * height))
    body *= height
    return (ONE - body) * np.float32(colours - 1), body


def _height(phase: np.ndarray, key: np.ndarray) -> np.ndarray:
    """Of every flame (T, F), 0.4..1: mostly high, now and then ducking, a little unsteady."""
    duck = ripple(phase * 0.5, key)
    unsteady = ripple(phase * 1.3, key + np.uint32(1))
    return ONE - np.float32(0.45) * duck * duck - np.float32(0.15) * unsteady


WICK = Effect(
    "wick",
    "separate small flames, each flickering for itself",
    field,
    (
        Parameter("spacing", "m", 0.05, 20, 0.5, "from one flame to the next"),
        Parameter("size", "m", 0.02, 10, 0.35, "width of a flame"),
        Parameter("flicker", "/s", 0.1, 4, 1.5, "how often a flame changes"),
    ),
    period_s=lambda settings, colours, place: None,
    # Height changes by 0.9 a flicker (slopes of the ripples), body and palette follow it.
    change_per_s=lambda settings, colours, place: 2.0 * colours * settings["flicker"],
)
