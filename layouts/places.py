"""From place and route entries to records; where supplies and controllers are mounted."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.place import path_length_m
from layouts.records import House, Place, Route, Spot

if TYPE_CHECKING:
    from layouts.schema import HouseFile, PlaceEntry, RouteEntry


def build_places(entries: list[PlaceEntry]) -> tuple[Place, ...]:
    """The places in file order."""
    return tuple(
        Place(entry.name, (entry.at[0], entry.at[1]), entry.mains, entry.sheltered)
        for entry in entries
    )


def build_routes(entries: list[RouteEntry], refusals: Refusals) -> tuple[Route, ...]:
    """The routes in file order; one without a length is refused."""
    routes = []
    for index, entry in enumerate(entries):
        path_m = np.array(entry.path, dtype=float)
        if path_length_m(path_m) <= 0:
            what = f"route '{entry.name}' has no length"
            refusals.add(("routes", index, "path"), what, "move a point")
        path_m.flags.writeable = False
        routes.append(Route(entry.name, path_m))
    return tuple(routes)


def refuse_unknown_spots(file: HouseFile, refusals: Refusals) -> None:
    """Refuses an `at` that names no place."""
    names = refusals.names("places")
    spots: list[tuple[Path, Spot | None]] = [
        *((("supplies", index, "at"), entry.at) for index, entry in enumerate(file.supplies)),
        *((("outputs", index, "at"), entry.at) for index, entry in enumerate(file.outputs)),
    ]
    for path, spot in spots:
        if isinstance(spot, str) and spot not in names:
            refusals.unknown(path, "place", spot, names)


def spot_xy_m(house: House, spot: Spot | None) -> tuple[float, float] | None:
    """Where something is that is mounted at `spot` [m]; None where that was not said."""
    if not isinstance(spot, str):
        return spot
    return next(place.xy_m for place in house.places if place.name == spot)
