"""How long a show lasts: frames of a time, and the time after which nothing new comes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from effects.show import BoundLayer, Show, common_period_s

#: How long a scheme that never repeats is watched [s].
APERIODIC_S = 600.0
#: The longest that is watched to see layers come and go [s].
LONGEST_S = 7200.0


def frame_count(seconds: float, fps: float) -> int:
    """The frames of so many seconds. A part of a frame counts as one; rounding does not."""
    return max(1, math.ceil(seconds * fps - 1e-6))


@dataclass(frozen=True)
class Course:
    """One layer that comes or goes at a time of its own."""

    layer: int  # from 0
    effect: str
    edges_s: tuple[float, ...]  # when it begins and when it ends to come, and to go
    end_s: float  # when it has shown all it does: gone for good, or come and once round


def courses(show: Show) -> tuple[Course, ...]:
    """Every timed layer of a show that does not start again by itself."""
    if show.scheme.seconds is not None:
        return ()
    return tuple(
        _course(number, bound)
        for number, bound in enumerate(show.layers)
        if bound.layer.from_s is not None or bound.layer.until_s is not None
    )


def _course(number: int, bound: BoundLayer) -> Course:
    layer = bound.layer
    edges = []
    if layer.from_s is not None:
        edges += [layer.from_s, layer.from_s + layer.ease_s]
    if layer.until_s is not None:
        edges += [max(0.0, layer.until_s - layer.ease_s), layer.until_s]
    stays = _stays(bound)
    end_s = max(edges) + (bound.period_s or 0.0 if stays else 0.0)
    return Course(number, bound.effect.name, tuple(sorted(set(edges))), end_s)


def _stays(bound: BoundLayer) -> bool:
    """Whether a layer shows for ever once it has come."""
    layer = bound.layer
    if layer.until_s is None:
        return True
    return layer.from_s is not None and layer.from_s > layer.until_s


def course_s(show: Show) -> float:
    """The time in which a show does all it ever does, or as much as can be watched [s].

    One period; without one, 600 s. Where layers come and go: until the last has, and then one
    period of what stays, or 600 s where that has none.
    """
    if show.period_s is not None:
        return show.period_s
    timed = courses(show)
    if not timed:
        return APERIODIC_S
    settled_s = max(edge for course in timed for edge in course.edges_s)
    rest_s = common_period_s([bound for bound in show.layers if _stays(bound)])
    rest_s = APERIODIC_S if rest_s is None else max(rest_s, 1 / show.fps)
    return max(settled_s + rest_s, *(course.end_s for course in timed))


def span_s(show: Show) -> float:
    """How long a show is watched where nothing else is said [s]: its course, at most two hours."""
    if show.period_s is not None:
        return show.period_s
    return min(course_s(show), LONGEST_S)
