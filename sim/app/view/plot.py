"""The curve of the ribbon as an image. Arrays in, image out."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from sim.app.state.ribbon import Load, columns, strongest
from sim.app.state.scales import even_scale
from sim.app.view import theme

_STRIPE = (214, 84, 70)
#: How much of a supply's tone is its own; the rest is the ground.
_STRENGTH, _FAINTER = 0.62, 0.30
#: How much of the veil of a band is its own.
_VEIL = 0.30
#: Bands thinner than this have no line between them [px].
_PARTED = 4


@cache
def tones(count: int) -> tuple[theme.Colour, ...]:
    """The tone of each supply, from the lowest band up: lightness rises, so that the order is seen
    whatever colours an eye can tell apart."""
    if count < 1:
        return ()
    at = np.linspace(0.18, 0.86, count) if count > 1 else np.array([0.22])
    own = even_scale()[np.rint(at * 255).astype(int)]
    mixed = np.rint(_STRENGTH * own + (1 - _STRENGTH) * np.array(theme.PANEL)).astype(int)
    return tuple((int(r), int(g), int(b)) for r, g, b in mixed)


def top_of(load: Load, other: Load | None) -> float:
    """The amps at the top of the plot: what the supplies are rated for and what the ceiling asks
    are always in sight, so that it moves with neither time nor brightness within them."""
    rated_a = float(load.rated_a.sum())
    most = max(
        load.peak[0], other.peak[0] if other else 0.0, load.ceiling.most_a if load.ceiling else 0
    )
    if rated_a <= 0:
        return max(most * 1.2, 0.1)
    step = rated_a / 4
    over_a = math.ceil(most * 1.02 / step) * step + 0.06 * rated_a
    return rated_a * 1.06 if most <= rated_a else over_a


def curve_image(
    load: Load,
    other: Load | None,
    size_px: tuple[int, int],
    top_a: float,
    line_px: int,
    part: tuple[float, float] | None = None,
    sure: tuple[float, float] | None = None,
) -> np.ndarray:
    """(W, H, 3) uint8: supplies stacked in their tones, stripes in the band of one over its rating.

    The total is a line on top: amber where something is past its limit, red over a rating, dashed
    and its bands pale where it is only about right; the other side of a comparison a bare line.
    `part` is the first and the last frame in sight; `sure` lays a soft area between two shares of
    the total.
    """
    width, height = size_px
    first, last = part or (0.0, float(len(load.total_a)))
    up = height - np.arange(height)[None, :]  # rows counted from the base line
    at = strongest(load.total_a, width, first, last)
    total = (
        np.where(at < 0, 0.0, np.nan_to_num(load.total_a[at])) if len(load.total_a) else at * 0.0
    )
    level = np.clip(total / top_a * height, 0, height)[:, None]
    levels = _bands(load, at, level, top_a, height)
    about = (columns(load.guessed.astype(float), width, first, last) > 0) if len(at) else at > 0

    band = (up[:, :, None] > levels[:, None, :]).sum(axis=2)
    strong = np.array([*tones(levels.shape[1]), theme.PANEL], np.float64)
    pale = strong * (_FAINTER / _STRENGTH) + np.array(theme.PANEL) * (1 - _FAINTER / _STRENGTH)
    table = np.rint(np.stack([strong, pale])).astype(np.uint8)
    image = table[about.astype(int)[:, None], band]
    _part_bands(image, levels, up)

    if sure is not None:
        _soft(image, level * sure[0], level * sure[1], up)
    slant = (np.arange(width)[:, None] + np.arange(height)[None, :]) % (4 * line_px) < line_px
    for supply in np.flatnonzero((load.supply_a > load.rated_a).any(axis=0)):
        over = load.supply_a[:, supply] > load.rated_a[supply]
        held = columns(over.astype(float), width, first, last) > 0
        image[slant & (band == supply) & held[:, None]] = _STRIPE

    ink = np.full((width, 1, 3), theme.WARM, np.uint8)
    ink[columns(load.past.astype(float), width, first, last) > 0] = theme.AMBER
    ink[columns(load.over.astype(float), width, first, last) > 0] = theme.OVER
    low = level - line_px
    if width > 2:  # what is steep is drawn down to what stands beside it
        beside = np.minimum(level[:-2], level[2:])
        low[1:-1] = np.where(beside > 0, np.minimum(low[1:-1], beside), low[1:-1])
    edge = (up <= level) & (up > low)
    dash = (np.arange(width) // (4 * line_px)) % 2 == 0
    edge &= (dash | ~about)[:, None]
    image[edge] = np.broadcast_to(ink, image.shape)[edge]
    if other is not None:
        there = columns(other.total_a, width, first, last)
        there_px = np.clip(np.nan_to_num(there) / top_a * height, 0, height)[:, None]
        image[(up <= there_px) & (up > there_px - line_px)] = theme.FAINT
    return image


def _bands(load: Load, at: np.ndarray, level: np.ndarray, top_a: float, height: int) -> np.ndarray:
    """(W, S) rows above the base line up to which each supply's band reaches; at least one."""
    supplies = load.supply_a.shape[1]
    if supplies == 0 or not len(load.supply_a) or np.isnan(load.supply_a).all():
        return level
    each = np.clip(np.nan_to_num(load.supply_a[at]), 0, None)  # one that is pushed gives nothing
    each[at < 0] = 0.0
    reach = np.minimum(np.cumsum(each, axis=1) / top_a * height, level)
    reach[:, -1:] = level
    return np.asarray(reach)


def _soft(image: np.ndarray, low: np.ndarray, high: np.ndarray, up: np.ndarray) -> None:
    """A veil between two heights, column by column: 95 % of all cases lie in it."""
    inside = (up > low) & (up <= high)
    veiled = image[inside] * (1 - _VEIL) + np.array(theme.WARM) * _VEIL
    image[inside] = np.rint(veiled).astype(np.uint8)


def _part_bands(image: np.ndarray, levels: np.ndarray, up: np.ndarray) -> None:
    """A dark hairline between two bands that are both tall enough."""
    for below in range(levels.shape[1] - 1):
        here = levels[:, below : below + 1]
        under = levels[:, below - 1 : below] if below else np.zeros_like(here)
        above = levels[:, below + 1 : below + 2]
        tall = (here - under >= _PARTED) & (above - here >= _PARTED)
        image[tall & (up <= here) & (up > here - 1)] = theme.NIGHT
