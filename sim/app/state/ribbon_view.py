"""How one looks at the ribbon: the part of the time in sight, the part that repeats, its marks.

Pure; times in seconds of the scheme, `span_s` being its whole length.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

#: A part of the ribbon is never shorter than so many frames, in sight or repeated.
LEAST_FRAMES, LOOP_FRAMES = 8, 2

Part = tuple[float, float]


@dataclass(frozen=True)
class Mark:
    """An instant worth going to, and what it is about."""

    form: Literal["peak", "over", "past"]  # over a rating; past another limit
    time_s: float
    text: str
    pixel: int | None = None  # of the house, where it is about a place


@dataclass(frozen=True)
class LayerShares:
    """What each layer asks of the current in one frame.

    A layer's figure is how much less would be drawn with that layer hidden; layers that cover
    one another share, so that the figures need not add up to the total.
    """

    frame: int
    total_a: float
    idle_a: float  # every pixel dark
    layers: tuple[tuple[str, float], ...]  # (name, [A])


@dataclass(frozen=True)
class RibbonView:
    """What the ribbon shows of the time, and what the pointer does there."""

    window: Part | None = None  # in sight; None: all
    loop: Part | None = None  # what playing repeats
    held_s: float | None = None  # where a drag began
    hover_s: float | None = None  # under the pointer
    marks: tuple[Mark, ...] = ()  # in the order of time
    instant: LayerShares | None = None  # the newest that was worked out


def seen(view: RibbonView, span_s: float) -> Part:
    """The part of the time in sight."""
    if view.window is None:
        return 0.0, span_s
    return view.window


def shown_from(view: RibbonView, span_s: float, from_s: float, length_s: float) -> RibbonView:
    """So long a part in sight from `from_s` on, moved to lie inside the whole."""
    if length_s >= span_s * (1 - 1e-9):
        return replace(view, window=None)
    begin_s = min(max(from_s, 0.0), span_s - length_s)
    return replace(view, window=(begin_s, begin_s + length_s))


def zoomed(
    view: RibbonView, span_s: float, factor: float, at_s: float, least_s: float
) -> RibbonView:
    """Closer by `factor` (below 1: from farther away); what is at `at_s` stays where it is."""
    begin_s, end_s = seen(view, span_s)
    length_s = end_s - begin_s
    wanted_s = min(max(length_s / factor, min(least_s, span_s)), span_s)
    at_s = min(max(at_s, begin_s), end_s)
    share = (at_s - begin_s) / length_s if length_s > 0 else 0.0
    return shown_from(view, span_s, at_s - share * wanted_s, wanted_s)


def panned(view: RibbonView, span_s: float, by_s: float) -> RibbonView:
    """The part in sight moved along."""
    begin_s, end_s = seen(view, span_s)
    return shown_from(view, span_s, begin_s + by_s, end_s - begin_s)


def brought(view: RibbonView, span_s: float, time_s: float) -> RibbonView:
    """The part in sight moved, where it must be, so that it holds a time."""
    begin_s, end_s = seen(view, span_s)
    if begin_s <= time_s < end_s:
        return view
    length_s = end_s - begin_s
    return shown_from(view, span_s, time_s - 0.05 * length_s, length_s)


def looped(view: RibbonView, span_s: float, a_s: float, b_s: float, least_s: float) -> RibbonView:
    """The part between two times repeats; shorter than `least_s` none does."""
    begin_s, end_s = max(min(a_s, b_s), 0.0), min(max(a_s, b_s), span_s)
    return replace(view, loop=(begin_s, end_s) if end_s - begin_s >= least_s - 1e-9 else None)


def advanced(view: RibbonView, span_s: float, time_s: float, seconds: float) -> float:
    """The time after playing on for `seconds`: round the part that repeats, or round the whole.

    From before the part it plays on into it; from behind it, it begins at its start.
    """
    if span_s <= 0:
        return 0.0
    later_s = time_s + seconds
    if view.loop is None:
        return later_s % span_s
    begin_s, end_s = view.loop
    if later_s < end_s:
        return later_s
    inside = begin_s <= time_s < end_s
    return begin_s + ((later_s - begin_s) % (end_s - begin_s) if inside else 0.0)


def neighbour(marks: tuple[Mark, ...], time_s: float, by: int, frame_s: float) -> Mark | None:
    """The next (by > 0) or previous mark from a time on, round the end; None where none is."""
    if not marks:
        return None
    half_s = frame_s / 2
    if by > 0:
        return next((one for one in marks if one.time_s > time_s + half_s), marks[0])
    return next((one for one in reversed(marks) if one.time_s < time_s - half_s), marks[-1])
