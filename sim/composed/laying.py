"""A layer composed by compiled code: fields of many frames, and colours laid over each other.

It is what `effects.engine` does in plain arrays, bit for bit (but for the sign of a zero), several
times quicker for many frames at once, as a scan asks for them.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np

from effects.engine import BLOCK
from effects.show import BoundLayer, ShownPart
from layouts.kept_with import kept_with_first
from sim.composed.twins import field_of


def lay(
    out: np.ndarray, bound: BoundLayer, part: ShownPart, time_s: np.ndarray, share: np.ndarray
) -> None:
    """Lay some pixels of a layer on what is there, `out` (T, N, 3) float32, contiguous.

    At `time_s` (T, 1) [s] so much of it shows as `share` (T, 1) float32 says.
    """
    where, frames = part.place, len(time_s)
    field = field_of(bound.effect, time_s, where)
    if field is bound.effect.field:
        # What passes between the steps of plain arrays stays in the cache.
        frames = max(1, BLOCK // max(1, len(where.along_m)))
    for start in range(0, len(time_s), frames):
        now = slice(start, start + frames)
        position, level = field(time_s[now], where, bound.settings, bound.colours, bound.layer.seed)
        mix(out[now], bound, part, position, level, share[now])


def mix(
    out: np.ndarray,
    bound: BoundLayer,
    part: ShownPart,
    position: np.ndarray,
    level: np.ndarray,
    share: np.ndarray,
) -> None:
    """Mix the colours at `position` in the palette's ring, as far as `level` says, with `out`.

    Both have shapes that broadcast to (T, M). Raises ValueError where they do not, as a field of
    another package may have it, and for an `out` with gaps: compiled code would not notice.
    """
    if not out.flags.c_contiguous:
        raise ValueError("colours are laid on a contiguous array")
    first, length = _pieces(part)
    for given in (position, level):
        np.broadcast_to(given, (len(out), length.sum()))
    lay_frames, blends = _kernel()
    lay_frames(
        out.reshape(-1),
        len(out),
        first,
        length,
        _rows(position),
        _rows(level),
        share.ravel(),
        bound.ring,
        np.float32(bound.colours),
        blends[bound.layer.blend],
    )


@cache
def _kernel() -> tuple[Any, Mapping[str, int]]:
    """The kernel that mixes and its numbers of the blends; it imports numba."""
    from sim.composed.lay_kernel import BLENDS, lay_frames

    return lay_frames, BLENDS


@kept_with_first
def _pieces(part: ShownPart) -> tuple[np.ndarray, np.ndarray]:
    """The part's pixels as stretches of neighbours: the first of each, and how many they are."""
    if isinstance(part.at, slice):
        return np.array([part.at.start]), np.array([part.at.stop - part.at.start])
    begin = np.flatnonzero(np.diff(part.at, prepend=part.at[0] - 2) != 1)
    return part.at[begin].astype(np.int64), np.diff(begin, append=len(part.at))


def _rows(values: np.ndarray) -> np.ndarray:
    """As float32 with two axes, each of its full length or 1."""
    rows = np.ascontiguousarray(np.atleast_2d(np.asarray(values, np.float32)))
    # What may not be written to is a type of its own, for which all would be compiled again.
    return rows if rows.flags.writeable else rows.copy()
