"""Does a picture flash in a way that can harm a photosensitive viewer?

The limits are those of WCAG 2.2 (W3C Recommendation, glossary, "general flash and red flash
thresholds"): no more than three general and no more than three red flashes in any one second,
unless the flashing area stays below a quarter of every 10° field of view, 0.006 sr. A general
flash is a pair of opposing changes in relative luminance of 10 % or more of the maximum where the
darker image is below 0.80. A red flash is a pair of opposing transitions to or from a saturated
red (R/(R+G+B) ≥ 0.8, taken on linear values, which flags more) that differ by more than 0.2 in
CIE 1976 u'v'.

A house is no screen. That the maximum is the brightest white the installation can show, that a
cell flashes all through every second in which it changes too often, so that areas out of step add
up, that the field is a disc moved in steps of a degree, of a quarter where that decides, and that
the night lays a twentieth of a percent of white over everything, so that only red above about one
percent counts as saturated, are our reading of it (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from effects.colour_spaces import RGB_TO_XYZ, uv_1976

#: Transitions in one second above which a cell is hot: three flashes are six (WCAG 2.2).
MOST_TRANSITIONS = 6
#: A quarter of a 10° field [sr] (WCAG 2.2).
HOT_AREA_SR = 0.006
FIELD_DEG = 10.0
LUMINANCE_STEP = 0.10
DARKER_BELOW = 0.80
SATURATED_RED = 0.80
RED_STEP_UV = 0.20
#: Flashing that keeps the limit may still be a risk beyond this [s] (ITU-R BT.1702-3, 2nd hand);
#: that it means two flashes a second over a hot area is ours (common practice, no source).
LONG_S = 5.0
LONG_TRANSITIONS = 4

_NIGHT = np.float32(0.0005)
_XYZ = RGB_TO_XYZ.astype(np.float32)
_CELLS_AT_ONCE = 1024  # keeps the working arrays small
# A change of exactly a tenth counts; float32 frames carry it to about 1e-7.
_ROUNDING = 1e-6
_STEP_DEG, _FINE_STEPS = 1.0, 4  # of the disc's middle


@dataclass(frozen=True, eq=False)
class FlashVerdict:
    """What one sort of flash ("general" or "red") does in a sequence of frames."""

    sort: str
    passes: bool
    passes_strict: bool  # as if any area were enough
    transitions: int  # most in one second, of the worst cell; the limit is 6
    cell: int  # that cell
    time_s: float  # when that second ends
    area_sr: float  # largest hot area in one 10° field
    area_time_s: float
    area_cells: np.ndarray  # (K,) the hot cells of that field at that time
    hot_cells: np.ndarray  # (H,) every cell that is hot at some time
    long_s: float  # longest time of unbroken flashing, of a rate that the limit allows

    @property
    def flashes(self) -> float:
        """Most flashes in one second; two transitions are one flash."""
        return self.transitions / 2


def verdicts(
    rgb: np.ndarray, fps: float, solid_angle_sr: np.ndarray, at_deg: np.ndarray
) -> tuple[FlashVerdict, FlashVerdict]:
    """The general and the red verdict on T frames of C cells.

    Parameters
    ----------
    rgb : (T, C, 3) linear RGB of every cell, 1 = the brightest white [-]
    fps : frames a second, at least twice the rate of the fastest change [1/s]
    solid_angle_sr : (C,) solid angle of each cell [sr]
    at_deg : (C, 2) direction of each cell, right and up [deg]
    """
    general, red = transitions(rgb)
    if not rgb.size:  # nothing is seen
        general = red = np.zeros((1, 1), bool)
        solid_angle_sr, at_deg = np.zeros(1), np.zeros((1, 2))
    places = np.asarray(solid_angle_sr, float), np.asarray(at_deg, float)
    return _verdict("general", general, fps, *places), _verdict("red", red, fps, *places)


def transitions(rgb: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where general and red transitions are complete; (T, C, 3) → two (T, C) of bool."""
    found = np.zeros((2, *rgb.shape[:2]), bool)
    for first in range(0, rgb.shape[1], _CELLS_AT_ONCE):
        some = slice(first, first + _CELLS_AT_ONCE)
        cells = np.asarray(rgb[:, some], np.float32)
        _general(cells, found[0, :, some])
        _red(cells, found[1, :, some])
    return found[0], found[1]


def _general(rgb: np.ndarray, out: np.ndarray) -> None:
    luminance = rgb @ _XYZ[1]
    able = np.ptp(luminance, axis=0) >= LUMINANCE_STEP - _ROUNDING
    luminance = luminance[:, able]

    def counts(now: int, since: np.ndarray) -> np.ndarray:
        level, before = luminance[now], _at(luminance, since)
        darker = np.minimum(level, before)
        return (np.abs(level - before) >= LUMINANCE_STEP - _ROUNDING) & (
            darker < DARKER_BELOW - _ROUNDING
        )

    out[:, able] = _zigzag(luminance, counts)


def _red(rgb: np.ndarray, out: np.ndarray) -> None:
    rgb = np.maximum(rgb, 0) + _NIGHT
    redness = rgb[..., 0] / rgb.sum(axis=-1)
    able = np.flatnonzero((redness.max(0) >= SATURATED_RED) & (np.ptp(redness, axis=0) > 0))
    uv = uv_1976(rgb[:, able] @ _XYZ.T)
    far = np.linalg.norm(np.ptp(uv, axis=0), axis=-1) > RED_STEP_UV
    able, uv = able[far], uv[:, far]
    redness = redness[:, able]

    def counts(now: int, since: np.ndarray) -> np.ndarray:
        saturated = np.maximum(redness[now], _at(redness, since)) >= SATURATED_RED
        return saturated & (np.linalg.norm(uv[now] - _at(uv, since), axis=-1) > RED_STEP_UV)

    out[:, able] = _zigzag(redness, counts)


def _at(values: np.ndarray, frames: np.ndarray) -> np.ndarray:
    """Of every cell, the value it had at its own frame; (T, C, …), (C,) → (C, …)."""
    return values[frames, np.arange(len(frames))]


def _zigzag(value: np.ndarray, counts: Callable[[int, np.ndarray], np.ndarray]) -> np.ndarray:
    """Frames at which `value` (T, C) has turned and gone far enough from its last extreme.

    `counts(now, since)` says which cells' change from frame `since` (C,) to `now` is large enough.
    Keeping the extreme since the last turn makes slow ramps count and small noise not.
    """
    frames, cells = value.shape
    turned = np.zeros((frames, cells), bool)
    heading = np.zeros(cells, np.int8)  # +1 last rose, −1 last fell, 0 neither yet
    top = np.zeros(cells, np.intp)
    bottom = np.zeros(cells, np.intp)
    for now in range(1, frames):
        level, highest, lowest = value[now], _at(value, top), _at(value, bottom)
        fell = (heading >= 0) & (level < highest)
        rose = (heading <= 0) & (level > lowest)
        if fell.any():
            fell &= counts(now, top)
        if rose.any():
            rose &= counts(now, bottom) & ~fell
        turned[now] = fell | rose
        heading = np.where(fell, np.int8(-1), np.where(rose, np.int8(1), heading))
        top = np.where((level > highest) | turned[now], now, top)
        bottom = np.where((level < lowest) | turned[now], now, bottom)
    return turned


def _verdict(
    sort: str, turned: np.ndarray, fps: float, solid_angle_sr: np.ndarray, at_deg: np.ndarray
) -> FlashVerdict:
    in_a_second = _last_second(turned, fps)
    time, cell = np.unravel_index(int(in_a_second.argmax()), in_a_second.shape)
    most = int(in_a_second[time, cell])
    hot = in_a_second > MOST_TRANSITIONS
    area_sr, area_frame, area_cells = _largest_area(hot, round(fps), solid_angle_sr, at_deg)
    flashing = (in_a_second >= LONG_TRANSITIONS) @ solid_angle_sr >= HOT_AREA_SR
    return FlashVerdict(
        sort=sort,
        passes=area_sr <= HOT_AREA_SR * (1 + _ROUNDING),
        passes_strict=most <= MOST_TRANSITIONS,
        transitions=most,
        cell=int(cell),
        time_s=float(time / fps),
        area_sr=area_sr,
        area_time_s=area_frame / fps,
        area_cells=area_cells,
        hot_cells=np.flatnonzero(hot.any(axis=0)),
        long_s=_longest_run(flashing) / fps,
    )


def _last_second(turned: np.ndarray, fps: float) -> np.ndarray:
    """Transitions of every cell in the second that ends with each frame, (T, C)."""
    window = max(1, round(fps))
    total = np.cumsum(turned, axis=0, dtype=np.int32)
    in_a_second = total.copy()
    in_a_second[window:] -= total[:-window]
    return in_a_second


def _largest_area(
    hot: np.ndarray, window: int, solid_angle_sr: np.ndarray, at_deg: np.ndarray
) -> tuple[float, int, np.ndarray]:
    """The most flashing area [sr] any 10° disc holds, the last frame of its second, its cells.

    hot (T, C): cells that have changed too often in the second, of `window` frames, up to a frame.
    """
    ever = np.flatnonzero(hot.any(axis=0))
    if not len(ever):
        return 0.0, 0, np.zeros(0, np.intp)
    # Flashing cells change seldom: each pattern is weighed once.
    patterns, first = np.unique(_all_through(hot[:, ever], window), axis=0, return_index=True)
    where, area_sr = at_deg[ever], solid_angle_sr[ever]
    centres = _discs(where)
    best = _fullest(centres, where, area_sr, patterns)
    if best[0] <= HOT_AREA_SR:  # only where a coarser step might have missed too much
        half_deg = _STEP_DEG * np.sqrt(0.5)
        most = _held_by(centres, where, FIELD_DEG / 2 + half_deg) @ (patterns * area_sr).T
        near = centres[most.max(axis=1) > HOT_AREA_SR]
        steps = (np.arange(_FINE_STEPS) + 0.5) / _FINE_STEPS - 0.5
        between = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2) * _STEP_DEG
        for centre in near:
            best = max(
                best, _fullest(centre + between, where, area_sr, patterns), key=lambda x: x[0]
            )
    _, pattern, centre = best
    held = _held_by(centre[None], where, FIELD_DEG / 2)[0] & patterns[pattern]
    last = min(int(first[pattern]) + window, len(hot)) - 1
    return float(area_sr[held].sum()), last, ever[held]


def _all_through(hot: np.ndarray, window: int) -> np.ndarray:
    """(T, C) whether a frame lies in any second, of `window` frames, that ends hot."""
    total = np.cumsum(hot, axis=0, dtype=np.int32)
    ahead = np.minimum(np.arange(len(hot)) + window, len(hot)) - 1
    return total[ahead] - total + hot > 0


def _discs(where: np.ndarray) -> np.ndarray:
    """(M, 2) middles of discs a step apart, over all cells at `where` (C, 2) [deg]."""
    axes = [
        np.arange(low, high + _STEP_DEG, _STEP_DEG)
        for low, high in zip(where.min(0), where.max(0), strict=True)
    ]
    return np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)


def _held_by(centres: np.ndarray, where: np.ndarray, radius_deg: float) -> np.ndarray:
    """(M, C) whether the disc around each centre holds each cell."""
    return np.linalg.norm(centres[:, None] - where, axis=-1) <= radius_deg


def _fullest(
    centres: np.ndarray, where: np.ndarray, area_sr: np.ndarray, patterns: np.ndarray
) -> tuple[float, int, np.ndarray]:
    """Of all discs and patterns (P, C) the most area [sr, to 1e-6], its pattern and its centre."""
    weight = (patterns * area_sr).astype(np.float32)
    areas = _held_by(centres, where, FIELD_DEG / 2).astype(np.float32) @ weight.T
    disc, pattern = np.unravel_index(int(areas.argmax()), areas.shape)
    return float(areas[disc, pattern]), int(pattern), centres[disc]


def _longest_run(flags: np.ndarray) -> int:
    """Length of the longest unbroken stretch of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return int((edges[1::2] - edges[::2]).max(initial=0))
