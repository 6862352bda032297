"""The records of what is painted: surfaces, what they are made of, the photograph behind them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

#: What lies on ground and roofs: nothing, water, snow.
Ground = Literal["grass", "wet", "snow"]
GROUNDS: tuple[Ground, ...] = ("grass", "wet", "snow")
#: Where a surface faces: to the street, as walls do, or down, as the underside of an eave.
Faces = Literal["street", "down"]
#: How often the light of pixels is followed on from what it falls on.
Bounces = Literal[0, 1, 2]
BOUNCES: tuple[Bounces, ...] = (0, 1, 2)
USUAL_BOUNCES: Bounces = 2


@dataclass(frozen=True)
class Material:
    """What a surface is made of; the reflectance is sampled at `wavelength_nm`."""

    name: str
    texture: str  # the procedural pattern that draws it
    wavelength_nm: tuple[float, ...]
    reflectance: tuple[float, ...]  # 0..1
    sources: Mapping[str, str] | None = None
    note: str = ""


@dataclass(frozen=True, eq=False)
class Surface:
    """A painted polygon; a larger `depth_m` is nearer to the viewer.

    Its material may be AS_PHOTOGRAPHED: then the photograph shows it, at that depth.
    """

    name: str
    outline_m: np.ndarray  # (K, 2) [m]
    material: Material
    depth_m: float
    lit: float | None = None  # of a lit window, 0..1 of the hour's; None: as the hour has it
    faces: Faces = "street"  # ground is known by its material and place


#: What the photograph shows: its colours are the reflectance, on top of a perfect white.
AS_PHOTOGRAPHED = Material("photo", "photo", (380.0, 780.0), (1.0, 1.0))


@dataclass(frozen=True)
class KnownPoint:
    """A place on the wall that is known in the photograph."""

    pixel: tuple[float, float]  # u, v [px] of the picture as one sees it, from its upper left
    at_m: tuple[float, float]


@dataclass(frozen=True)
class Photo:
    """A photograph of the own house behind the lights: fixed by its corners or by known points."""

    file: str
    corners_m: tuple[tuple[float, float], ...] = ()  # lower left, lower right, upper right, left
    points: tuple[KnownPoint, ...] = ()  # four or more, instead of the corners
    lens: tuple[float, float] = (0.0, 0.0)  # k₁, k₂ as `layouts.photograph.lens` has them
    size_px: tuple[int, int] = (0, 0)  # of the picture as one sees it; 0 where nobody looked


@dataclass(frozen=True)
class Drawing:
    """What is painted, in painting order, and from where it is seen."""

    size_m: tuple[float, float]
    viewer_m: float
    surfaces: tuple[Surface, ...]
    photo: Photo | None = None
    ground: Ground = "grass"
    lit_windows: float | None = None  # share of the lit windows; None: as the hour has it
    bounces: Bounces = USUAL_BOUNCES
