"""From a show and times to the colour asked of every pixel."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from effects.palette import STEPS
from effects.scheme import Blend, Layer
from effects.shape import HALF, ONE, smooth
from effects.show import PART, BoundLayer, Show, ShownPart

#: Frames × pixels worked on at once: what passes between the steps then stays in the cache.
BLOCK = 32_768
#: The same for a `lay` that walks over the pixels once: there it is calling it that costs.
_WALKED = 8 * BLOCK


#: Lays some pixels of a layer on what is there: (out (T, N, 3), in place, layer, its pixels,
#: time_s (T, 1), how much of the layer shows then (T, 1)).
Lay = Callable[[np.ndarray, BoundLayer, ShownPart, np.ndarray, np.ndarray], None]


def asked(show: Show, time_s: np.ndarray, lay: Lay | None = None) -> np.ndarray:
    """The colour asked of every pixel, (T, N, 3) float32, at the times (T,) [s].

    Linear sRGB (D65) under `matched`, code / 255 under `raw`; black where no layer shines. Pure:
    any frame may be asked first, and one frame equals its part of many.
    `lay` does the same as the plain arrays here, bit for bit; `sim.composed` has a quicker one.
    """
    times = np.asarray(time_s, np.float64)
    if times.ndim != 1:
        raise ValueError(f"time_s has shape {times.shape}; pass an array (T,)")
    if show.scheme.seconds is not None:
        times = np.mod(times, show.scheme.seconds)
    out = np.zeros((len(times), show.pixels, 3), np.float32)
    at_once = BLOCK if lay is None else _WALKED
    frames = max(1, at_once // min(max(1, show.pixels), PART))
    for start in range(0, len(times), frames):
        block = slice(start, start + frames)
        for bound in show.layers:
            share = presence(bound.layer, times[block, None])
            if share.any():
                for part in bound.parts:
                    (lay or _lay)(out[block], bound, part, times[block, None], share)
    return out


def _lay(
    out: np.ndarray, bound: BoundLayer, part: ShownPart, time_s: np.ndarray, share: np.ndarray
) -> None:
    position, level = bound.effect.field(
        time_s, part.place, bound.settings, bound.colours, bound.layer.seed
    )
    rows, cover = _looked_up(bound, position), level * share
    if isinstance(part.at, slice):
        _mix(out[:, part.at], rows, cover, bound.layer.blend)
        return
    here = out.take(part.at, axis=1)
    _mix(here, rows, cover, bound.layer.blend)
    out[:, part.at] = here


def presence(layer: Layer, time_s: np.ndarray) -> np.ndarray:
    """How much of a layer shows at `time_s`, 0..1 float32: its opacity, `from`, `until`, `ease`.

    It comes during the `ease` seconds after `from` and goes during those before `until`; with
    `from` after `until` it shows across the scheme's start.
    """
    share = np.full(time_s.shape, layer.opacity, np.float32)
    since, until = layer.from_s, layer.until_s
    if since is None and until is None:
        return share
    come = go = np.ones(time_s.shape, np.float32)
    if since is not None:
        come = _step(time_s - since, layer.ease_s)
    if until is not None:
        go = ONE - _step(time_s - until + layer.ease_s, layer.ease_s)
    if since is not None and until is not None and since > until:
        return share * np.maximum(come, go)
    return share * come * go


def _step(since_s: np.ndarray, ease_s: float) -> np.ndarray:
    """0 before, 1 from `ease_s` after; a plain step where that is 0."""
    if ease_s == 0:
        return (since_s >= 0).astype(np.float32)
    return smooth((since_s / ease_s).astype(np.float32))


def _looked_up(bound: BoundLayer, position: np.ndarray) -> np.ndarray:
    """The palette's colour at `position`, (..., 4): the nearest row of its ring."""
    position = np.asarray(position, np.float32)
    colours = np.float32(bound.colours)
    step = position * (1 / colours)
    np.floor(step, out=step)
    step *= -colours
    step += position
    step *= np.float32(STEPS)
    step += HALF
    # Rounding can reach one row past the end, which is the start of the ring.
    rows = bound.ring.view(np.complex128)[:, 0].take(step.astype(np.intp), mode="wrap")
    return rows.view(np.float32).reshape(*rows.shape, 4)


def _mix(here: np.ndarray, rows: np.ndarray, alpha: np.ndarray, blend: Blend) -> None:
    """Lay colours `rows` (..., 4) with cover `alpha` (...) over `here` (T, M, 3), in place.

    One channel at a time: an array whose last axis is 3 long would be walked in steps of 3.
    """
    for channel in range(3):
        below, colour = here[..., channel], rows[..., channel]
        if blend == "over":
            below += (colour - below) * alpha
        elif blend == "add":
            below += colour * alpha
        elif blend == "lighten":
            np.maximum(below, colour * alpha, out=below)
        else:
            below *= (colour - ONE) * alpha + ONE
