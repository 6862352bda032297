"""How far parts differ from their sheets: what is unknown of a part, and how it is distributed.

A factor is one unknown number of one part: of every reel, of every reel of wire, of every supply or
of every single pixel. What is common to a part is one number for all of it; it does not even out
over many pixels, as what each pixel has of its own does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import log, sqrt
from typing import Literal

Form = Literal["rectangular", "triangular", "normal", "log_uniform", "exact"]
Scope = Literal["reel", "wire", "supply", "pixel"]


@dataclass(frozen=True)
class Distribution:
    """A distribution: low and high, of `normal` mean and standard deviation, of `exact` one value.

    Expectations and standard deviations: JCGM 101:2008, table 1; of the log-uniform by integration.
    """

    form: Form
    a: float
    b: float

    @property
    def mean(self) -> float:
        """Its expectation."""
        if self.form in ("normal", "exact"):
            return self.a
        if self.form == "log_uniform" and self.b > self.a:
            return (self.b - self.a) / log(self.b / self.a)
        return (self.a + self.b) / 2

    @property
    def sd(self) -> float:
        """Its standard deviation, which is the standard uncertainty."""
        if self.form == "exact" or self.a == self.b:
            return 0.0 if self.form != "normal" else self.b
        if self.form == "normal":
            return self.b
        if self.form == "log_uniform":
            square = (self.b**2 - self.a**2) / (2 * log(self.b / self.a))
            return sqrt(max(0.0, square - self.mean**2))
        return (self.b - self.a) / sqrt(24 if self.form == "triangular" else 12)


@dataclass(frozen=True)
class Factor:
    """One row of the table: what it is of, how it acts, how it is distributed, who says so."""

    name: str
    scope: Scope
    what: str  # in words, of what
    unit: str
    shape: Distribution
    source: str
    note: str = ""


@dataclass(frozen=True)
class HouseSpread:
    """What a house file says of it; all else is as the table has it."""

    shapes: Mapping[str, Distribution] = field(default_factory=dict, hash=False)  # by factor
    correlations: tuple[tuple[str, str, float], ...] = ()  # of two factors of the same part
    reels: tuple[tuple[str, ...], ...] = ()  # runs cut from one reel; the rest: a reel for a kind

    @property
    def said(self) -> bool:
        """Whether the house file says anything."""
        return bool(self.shapes or self.correlations or self.reels)


#: A house whose file says nothing of it.
AS_THE_TABLE = HouseSpread()
