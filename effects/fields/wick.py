"""Separate small flames."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import hashed, ripple
from effects.place import LayerPlace
from effects.shape import HALF, ONE, clamp
from layouts.kept_with import kept_with_first

#: How often a flame ducks, and how often it is unsteady, in flickers.
DUCK, UNSTEADY = 0.5, 1.3


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    key, flame, away = kept(place, seed, settings["spacing"], settings["size"])
    height = _height(time_s * settings["flicker"], key).take(flame, axis=1)
    body = clamp(ONE - away * away / (HALF + HALF * height))
    body *= height
    return (ONE - body) * np.float32(colours - 1), body


@kept_with_first
def kept(
    place: LayerPlace, seed: int, spacing_m: float, size_m: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """What does not move: the hashes of the flames (F,); which of them a pixel belongs to, and how
    far it is from its middle, in halves of its width (M,)."""
    spaced = place.along_m / np.float32(spacing_m) - HALF
    flame = np.rint(spaced)
    first = flame.min()
    flames = np.arange(int(first), int(flame.max()) + 1)
    # Half as wide as it is high: a flame that ducks draws in.
    away = (spaced - flame) * np.float32(2 * spacing_m / size_m)
    return hashed(seed, flames), (flame - first).astype(np.intp), away


def _height(phase: np.ndarray, key: np.ndarray) -> np.ndarray:
    """Of every flame (T, F), 0.4..1: mostly high, now and then ducking, a little unsteady."""
    duck = ripple(phase * DUCK, key)
    unsteady = ripple(phase * UNSTEADY, key + np.uint32(1))
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
