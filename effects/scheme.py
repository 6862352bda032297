"""What a house shows, as records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from effects.place import Direction

Blend = Literal["over", "add", "lighten", "multiply"]


@dataclass(frozen=True)
class Layer:
    """One effect with one palette on some zones."""

    effect: str
    zones: tuple[str, ...] = ("all",)
    palette: str | tuple[str, ...] = ("#ffffff",)  # a palette's name, or colours as written
    settings: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    direction: Direction = "forward"
    seed: int = 0
    blend: Blend = "over"
    opacity: float = 1.0
    from_s: float | None = None
    until_s: float | None = None
    ease_s: float = 0.0


@dataclass(frozen=True)
class Scheme:
    """Layers, blended in order, and how their colours reach the wire."""

    name: str
    file: str
    layers: tuple[Layer, ...]
    brightness: float = 1.0
    colour: Literal["matched", "raw"] = "matched"
    white: str | float = "most"
    gamma: float = 2.2  # under raw only
    dither: bool = False
    fps: float = 40.0
    seconds: float | None = None
