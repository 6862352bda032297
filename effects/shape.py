"""The few shapes of which effects are made. All take arrays and return float32."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

ZERO, HALF, ONE = np.float32(0), np.float32(0.5), np.float32(1)

#: The level of a field that covers everything.
FULL = np.ones((1, 1), np.float32)
FULL.flags.writeable = False


def turns(time_s: np.ndarray, every_s: float) -> tuple[np.ndarray, np.ndarray]:
    """How many whole times `every_s` has passed (int64), and the part of the next (float32)."""
    phase = np.asarray(time_s, np.float64) / every_s
    whole = np.floor(phase)
    return whole.astype(np.int64), (phase - whole).astype(np.float32)


def travelled(time_s: np.ndarray, speed: float, wrap: float) -> np.ndarray:
    """speed·time, kept within 0..wrap in float64 before it becomes float32.

    Without the wrap a float32 would lose the millimetres after an hour.
    """
    return np.mod(np.asarray(time_s, np.float64) * speed, wrap).astype(np.float32)


def lap_s(length_m: float, speed: float) -> float:
    """How long `length_m` takes at `speed` [m/s], whichever way; 0 where nothing moves."""
    return length_m / abs(speed) if speed else 0.0


def clamp(x: np.ndarray) -> np.ndarray:
    """x held within 0..1."""
    x = np.maximum(x, ZERO)  # two plain steps take half the time of np.clip on one frame
    return np.minimum(x, ONE, out=x) if isinstance(x, np.ndarray) else np.minimum(x, ONE)


def smooth(x: np.ndarray) -> np.ndarray:
    """0 below 0, 1 above 1, 3x² − 2x³ between: starts and ends at rest, steepest slope 1.5."""
    x = clamp(x)
    return x * x * (np.float32(3) - (x + x))


def hump(x: np.ndarray) -> np.ndarray:
    """0 at 0 and 1, 1 at ½, level at all three; 0 outside. Steepest slope 3.08."""
    x = clamp(x)
    rise = np.float32(4) * x * (ONE - x)
    return rise * rise


def stairs(x: np.ndarray, ramp: np.ndarray | float) -> np.ndarray:
    """Whole steps: k from k to k + 1 − ramp, then a straight ramp to k + 1.

    `ramp` in 0..1 is the part of each step spent on the way to the next; 1 is x itself.
    """
    ramp = np.maximum(np.asarray(ramp, np.float32), np.float32(1e-6))
    whole = np.floor(x)
    part = x - whole
    part -= ONE
    part /= ramp
    part += ONE
    np.maximum(part, ZERO, out=part)
    part += whole
    return part


def soft_part(pitch_m: np.ndarray, settings: Mapping[str, float]) -> np.ndarray:
    """The ramp of `stairs` for bands of setting `width` [m] and `soft`, (M,).

    Never less than a pixel, so that an edge glides from pixel to pixel.
    """
    pixel = pitch_m / np.float32(settings["width"])
    return np.clip(pixel, np.float32(settings["soft"]), ONE)
