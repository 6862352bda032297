"""Surfaces of a drawing, as entries of a house file in metres."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from layouts.forms.roof import Place, shifted

Entry = dict[str, Any]

BOARD = 0.18  # height of a fascia [m]


def tapered(middle: float, below: tuple[float, float], above: tuple[float, float]) -> list[Place]:
    """Four corners about a middle line; `below` and `above` are a height and half a width."""
    (low, half_low), (high, half_high) = below, above
    return [
        (middle - half_low, low),
        (middle + half_low, low),
        (middle + half_high, high),
        (middle - half_high, high),
    ]


@dataclass(frozen=True)
class Light:
    """Where a run hangs: its path from left to right, how far before the wall, in which zone."""

    name: str
    path: list[Place]
    standoff: float
    zone: str


@dataclass
class Painting:
    """What is painted so far, back to front, and the runs that hang on it."""

    surfaces: list[Entry] = field(default_factory=list)
    lights: list[Light] = field(default_factory=list)
    over: dict[str, str] = field(default_factory=dict)
    heading: str = ""

    def title(self, text: str) -> None:
        """The line over whatever is painted next."""
        self.heading = text

    def paint(self, name: str, material: str, depth: float, outline: Iterable[Place]) -> None:
        """One polygon in front of all there is."""
        if self.heading:
            self.over[name] = self.heading
            self.heading = ""
        self.surfaces.append(
            {
                "name": name,
                "material": material,
                "depth": round(depth, 4),
                "outline": [[round(x, 4), round(y, 4)] for x, y in outline],
            }
        )

    def box(
        self,
        name: str,
        material: str,
        depth: float,
        left: float,
        low: float,
        right: float,
        high: float,
    ) -> None:
        """An upright rectangle."""
        self.paint(name, material, depth, box(left, low, right, high))

    def soffit(
        self, name: str, material: str, depth: float, left: float, low: float, right: float,
        high: float,
    ) -> None:  # fmt: skip
        """What shows of an underside: a band that ends behind the board over it."""
        self.box(name, material, depth, left, low, right, high)
        outline = self.surfaces[-1].pop("outline")
        self.surfaces[-1] |= {"faces": "down", "outline": outline}

    def hang(self, name: str, path: list[Place], standoff: float, zone: str) -> None:
        """A run."""
        self.lights.append(Light(name, path, standoff, zone))


def box(left: float, low: float, right: float, high: float) -> list[Place]:
    """The corners of an upright rectangle."""
    return [(left, low), (right, low), (right, high), (left, high)]


def band(edge: list[Place], low: float, high: float) -> list[Place]:
    """The outline between two lines that follow `edge` at these distances above it."""
    below = shifted(edge, low) if low else edge
    return [*below, *reversed(shifted(edge, high))]
