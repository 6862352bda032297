"""The curve of the ribbon as an image. Arrays in, image out."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from sim.app.state.ribbon import Load, anywhere, columns, strongest
from sim.app.state.scales import even_scale
from sim.app.view import theme
from sim.kernels import njit

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
    at = strongest(load.total_a, width, first, last)
    total = (
        np.where(at < 0, 0.0, np.nan_to_num(load.total_a[at])) if len(load.total_a) else at * 0.0
    )
    level = np.clip(total / top_a * height, 0, height)[:, None]
    levels = _bands(load, at, level, top_a, height)
    about = anywhere(load.guessed, width, first, last)

    strong = np.array([*tones(levels.shape[1]), theme.PANEL], np.float64)
    pale = strong * (_FAINTER / _STRENGTH) + np.array(theme.PANEL) * (1 - _FAINTER / _STRENGTH)
    table = np.rint(np.stack([strong, pale])).astype(np.uint8)
    held = np.zeros(levels.shape, bool)  # over the rating, each supply on its own
    for supply in np.flatnonzero(load.peaks > load.rated_a):
        over = load.supply_a[:, supply] > load.rated_a[supply]
        held[:, supply] = anywhere(over, width, first, last)

    ink = np.full((width, 3), theme.WARM, np.uint8)
    ink[anywhere(load.past, width, first, last)] = theme.AMBER
    ink[anywhere(load.over, width, first, last)] = theme.OVER
    level = level[:, 0]
    low = level - line_px
    if width > 2:  # what is steep is drawn down to what stands beside it
        beside = np.minimum(level[:-2], level[2:])
        low[1:-1] = np.where(beside > 0, np.minimum(low[1:-1], beside), low[1:-1])
    there_px = np.zeros(width)
    if other is not None:
        there = columns(other.total_a, width, first, last)
        there_px = np.clip(np.nan_to_num(there) / top_a * height, 0, height)
    words = np.empty((width, height), "<u4")
    _paint(words, np.ascontiguousarray(levels, dtype=float), about, held, level, low, _word(ink),
           _word(table), there_px, line_px, *_INKS)  # fmt: skip
    image = words.view(np.uint8).reshape(width, height, 4)[..., :3]
    if sure is not None:
        _soft(image, level, low, sure)
    return image


def _word(colour: np.ndarray) -> np.ndarray:
    """(..., 3) uint8 in one number each."""
    return np.asarray(colour.astype(np.uint32) @ np.array([1, 1 << 8, 1 << 16], np.uint32))


#: Of the stripes, of what parts two bands, and of the other side's line.
_INKS = tuple(
    np.uint32(_word(np.array(one, np.uint8))) for one in (_STRIPE, theme.NIGHT, theme.FAINT)
)


@njit(cache=True, nogil=True, error_model="numpy")
def _between(words: np.ndarray, x: int, low: float, high: float, colour: np.uint32) -> None:
    """The rows of a column above `low` and up to `high`, counted from the base line."""
    height = words.shape[1]
    for up in range(max(int(np.floor(low)), 0) + 1, min(int(np.floor(high)), height) + 1):
        words[x, height - up] = colour


@njit(cache=True, nogil=True, error_model="numpy")
def _paint(
    words: np.ndarray, levels: np.ndarray, about: np.ndarray, held: np.ndarray, level: np.ndarray,
    low: np.ndarray, ink: np.ndarray, table: np.ndarray, there_px: np.ndarray, line_px: int,
    stripe: np.uint32, night: np.uint32, faint: np.uint32,
) -> None:  # fmt: skip
    """Column by column: bands, stripes, hairlines between bands, the total, the other side."""
    width, height = words.shape
    count, period = levels.shape[1], 4 * line_px
    for x in range(width):
        # what reaches highest is the last that changes anything: above it all is ground
        most = max(level[x], there_px[x])
        for s in range(count):
            most = max(most, levels[x, s])
        tone = 1 if about[x] else 0
        ground = min(max(int(height - most), 0), height)
        for y in range(ground):
            words[x, y] = table[tone, count]
        lined = x // period % 2 == 0 or not about[x]
        for y in range(ground, height):
            up = height - y  # counted from the base line
            band = 0
            for s in range(count):
                band += up > levels[x, s]
            colour = table[tone, band]
            if band < count and held[x, band] and (x + y) % period < line_px:
                colour = stripe
            words[x, y] = colour
        for below in range(count - 1):
            here, above = levels[x, below], levels[x, below + 1]
            under = levels[x, below - 1] if below else 0.0
            if here - under >= _PARTED and above - here >= _PARTED:
                y = height - int(here)
                if not (held[x, below] and (x + y) % period < line_px):
                    words[x, y] = night
        if lined:
            _between(words, x, low[x], level[x], ink[x])
        _between(words, x, there_px[x] - line_px, there_px[x], faint)


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


def _soft(
    image: np.ndarray, level: np.ndarray, line_low: np.ndarray, sure: tuple[float, float]
) -> None:
    """A veil over (W, H, 3) between two shares of the total: 95 % of all cases lie in it.

    The line of the total, from `line_low` up to `level` [px above the base line], stays as it is.
    """
    height = image.shape[1]
    up = height - np.arange(height)[None, :]
    inside = (up > (level * sure[0])[:, None]) & (up <= (level * sure[1])[:, None])
    inside &= (up <= line_low[:, None]) | (up > level[:, None])
    veiled = image[inside] * (1 - _VEIL) + np.array(theme.WARM) * _VEIL
    image[inside] = np.rint(veiled).astype(np.uint8)
