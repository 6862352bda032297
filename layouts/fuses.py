"""Blade fuses: which there are, how long they hold, what they cost in resistance."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True)
class Opening:
    """How long a fuse holds a multiple of its rating; None: no limit on that side."""

    load: float  # current over rating
    least_s: float | None
    most_s: float | None
    source: str


@dataclass(frozen=True)
class Fuses:
    """The fuses of the catalogue."""

    ratings_a: tuple[float, ...]
    continuous_load: float  # share of the rating that may flow for ever
    openings: tuple[Opening, ...]
    cold_ohms: tuple[tuple[float, float], ...]  # (rating [A], cold resistance [Ω])
    sources: Mapping[str, str]

    def rating_for(self, current_a: float) -> float | None:
        """The smallest rating that may carry `current_a` for ever; None above the largest."""
        needed = current_a / self.continuous_load
        return next((rating for rating in self.ratings_a if rating >= needed), None)

    def largest_within(self, limit_a: float) -> float | None:
        """The largest rating that protects what may carry `limit_a`; None below the smallest."""
        return max((rating for rating in self.ratings_a if rating <= limit_a), default=None)

    def cold_ohm(self, rating_a: float) -> float:
        """Cold resistance [Ω].

        It falls nearly as the inverse of the rating: between listed ratings it is interpolated on
        logarithmic scales, beyond them it is exactly inverse.
        """
        for (low_a, low_ohm), (high_a, high_ohm) in pairwise(self.cold_ohms):
            if low_a <= rating_a <= high_a:
                part = math.log(rating_a / low_a) / math.log(high_a / low_a)
                return low_ohm * (high_ohm / low_ohm) ** part
        near_a, near_ohm = self.cold_ohms[0 if rating_a < self.cold_ohms[0][0] else -1]
        return near_ohm * near_a / rating_a
