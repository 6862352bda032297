"""Where the pixels of a layer are, as an effect sees them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from layouts.errors import EvenfallError
from layouts.records import House, Zone

Direction = Literal["forward", "backward", "inward", "outward"]
DIRECTIONS: tuple[Direction, ...] = ("forward", "backward", "inward", "outward")

#: Written after a zone's name, it joins that zone to the path the other way round.
REVERSED = " backward"


@dataclass(frozen=True, eq=False)
class LayerPlace:
    """The M pixels of a layer. Nothing here depends on the order in which pixels are stored."""

    xy_m: np.ndarray  # (M, 2) float32 [m] house coordinates
    along_m: np.ndarray  # (M,) float32 [m] distance along the layer's path, direction applied
    length_m: float  # of that path
    pitch_m: np.ndarray  # (M,) float32 [m] spacing of the pixels there
    box_m: tuple[float, float, float, float]  # left, bottom, right, top of all lit pixels
    identity: np.ndarray  # (M,) uint32, the same for a pixel wherever it is named

    def part(self, span: slice) -> LayerPlace:
        """The same, of some of its pixels."""
        return replace(
            self,
            xy_m=np.asfortranarray(self.xy_m[span]),
            along_m=self.along_m[span],
            pitch_m=self.pitch_m[span],
            identity=self.identity[span],
        )

    def towards(self, angle_deg: float) -> np.ndarray:
        """(M,) float32 [m] how far each pixel lies to the right (0°), up (90°) or between."""
        angle = np.deg2rad(angle_deg)
        across, up = np.float32(np.cos(angle)), np.float32(np.sin(angle))
        return self.xy_m[:, 0] * across + self.xy_m[:, 1] * up


def place(
    house: House, zones: Sequence[str], direction: Direction = "forward"
) -> tuple[np.ndarray, LayerPlace]:
    """The pixels of `zones`, joined in the order given to one path.

    A name followed by " backward" is joined the other way round. A pixel named twice keeps its
    first place. `inward` folds the path in the middle and counts from both ends, `outward` from
    the middle, so that anything that travels meets at the middle or leaves it.

    Returns (M,) indices into `house.pixels` and the `LayerPlace` of those pixels.
    Raises EvenfallError where a zone is unknown.
    """
    index, along, length_m = _joined(house, zones)
    along, length_m = _directed(along, length_m, direction)
    pitch = np.array([run.pitch_m for run in house.runs], np.float32)
    xy = house.pixels.xy_m[index]
    return index, LayerPlace(
        xy_m=np.asarray(xy, np.float32, order="F"),  # effects read it by column
        along_m=along.astype(np.float32),
        length_m=length_m,
        pitch_m=pitch[house.pixels.run[index]],
        box_m=_box(house),
        identity=_identity(xy),
    )


def zone_name(entry: str, zones: Mapping[str, Zone]) -> tuple[str, bool]:
    """The zone's name in an entry of a layer, and whether it is joined the other way round."""
    if entry in zones or not entry.endswith(REVERSED):
        return entry, False
    return entry.removesuffix(REVERSED).rstrip(), True


def _joined(house: House, zones: Sequence[str]) -> tuple[np.ndarray, np.ndarray, float]:
    indices, alongs, length_m = [], [], 0.0
    for entry in zones:
        name, reversed_ = zone_name(entry, house.zones)
        zone = house.zones.get(name)
        if zone is None:
            raise EvenfallError(f"no zone {name!r} in the house {house.name!r}")
        along = zone.length_m - zone.along_m if reversed_ else zone.along_m
        indices.append(zone.pixels)
        alongs.append(length_m + along)
        length_m += zone.length_m
    index, along = np.concatenate(indices), np.concatenate(alongs)
    _, first = np.unique(index, return_index=True)
    return index[first], along[first], length_m


def _directed(along: np.ndarray, length_m: float, direction: Direction) -> tuple[np.ndarray, float]:
    if direction == "forward":
        return along, length_m
    if direction == "backward":
        return length_m - along, length_m
    from_middle = np.abs(along - length_m / 2)
    if direction == "outward":
        return from_middle, length_m / 2
    return length_m / 2 - from_middle, length_m / 2


def _box(house: House) -> tuple[float, float, float, float]:
    lit = house.pixels.xy_m[~house.pixels.spare]
    if not len(lit):
        return 0.0, 0.0, 1.0, 1.0
    (left, bottom), (right, top) = lit.min(axis=0), lit.max(axis=0)
    return float(left), float(bottom), float(right), float(top)


def _identity(xy_m: np.ndarray) -> np.ndarray:
    """A number for each position, to the millimetre: noise keyed by it is bound to the spot.

    Renaming, splitting or turning a run round leaves the picture as it was. The odd offset keeps
    round lengths away from the edge between two millimetres.
    """
    x, y = np.floor(np.asarray(xy_m, np.float64) * 1000 + 0.137).astype(np.int64).T
    return ((x & 0xFFFF) | ((y & 0xFFFF) << 16)).astype(np.uint32)
