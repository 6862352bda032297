"""Where cable lies: along runs, along routes, and straight from a box to them.

Runs are routes of themselves, as far as their profile has room: a bay that does not take two pairs
of a thin wire is shut, and cable to such a run comes straight to each pad, behind the board. A box
hangs anywhere on the wall: from it cable goes straight to the nearest point of a run or a route, or
straight to where it is wanted. Between runs and routes it crosses where their ends or nearest
points are close. A box that stands on a route is meant to be left by it: from there cable keeps to
the route, and where that ends far from what is fed, goes on from the point that is nearest.

The drawing is flat: boxes and routes are taken to be on the wall. A run stands off it, and cable to
it goes out as far, square to the wall; from one run to another, by the difference.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.place import along_path, path_length_m
from layouts.records import House
from layouts.units import awg_area_mm2

from .bay_room import outer_mm

#: Runs and routes this close [m] hand cable from one to the other.
CROSSING_M = 1.5
#: A box this close [m] to a route stands on it; a choice.
ON_ROUTE_M = 0.3
#: [mm²] of copper of the wire of which two pairs have to fit: 18 AWG (ASTM B258).
_THIN_MM2 = awg_area_mm2(18)

#: Two tracks, where along each [m], and how far apart [m].
_Link = tuple[tuple[int, float], tuple[int, float], float]


@dataclass(frozen=True, eq=False)
class Track:
    """A run or a route: its corners and the points where cable gets on or off."""

    name: str
    path_m: np.ndarray  # (K, 2) [m]
    at_m: np.ndarray  # (J,) [m] along it, ascending
    first: int  # number of the first of them among all points of the net
    off_m: float  # it stands off the wall


@dataclass(frozen=True, eq=False)
class CableNet:
    """All tracks as one graph, and the way from every box over it; Q points, B boxes."""

    tracks: tuple[Track, ...]
    point_m: np.ndarray  # (Q, 2) [m]
    boxes: tuple[str, ...]
    box_m: np.ndarray  # (B, 2) [m]
    distance_m: np.ndarray  # (B, Q) [m] of cable from each box
    before: np.ndarray  # (B, Q) the point before on that way; negative: the box
    home: np.ndarray  # (B, Q) bool: points of the routes that a box stands on
    shut: frozenset[int] = frozenset()  # tracks along which no cable lies

    def along(self, track: int, start_m: float, end_m: float) -> np.ndarray:
        """(K, 2) [m] the piece of a track between two distances along it."""
        return _between(self.tracks[track].path_m, start_m, end_m)

    def reach_m(self, box: int, track: int, along_m: np.ndarray) -> np.ndarray:
        """[m] of cable from a box to each distance `along_m` (n,) [m] of a track."""
        if track in self.shut:
            return self._straight_m(box, track, along_m).min(axis=1)
        own = self.tracks[track]
        here = self.distance_m[box, own.first : own.first + len(own.at_m)]
        return np.asarray((here + np.abs(along_m[:, None] - own.at_m)).min(axis=1))

    def _straight_m(self, box: int, track: int, along_m: np.ndarray) -> np.ndarray:
        """(n, 1 + Q) [m] of cable to places of a shut track, straight from the box or from each
        point of the others that is near. A box on a route leaves it where that is near, or where
        it comes nearest."""
        spots = along_path(self.tracks[track].path_m, along_m)[0]
        open_here = np.ones(len(self.point_m), dtype=bool)
        for each in self.shut:
            first = self.tracks[each].first
            open_here[first : first + len(self.tracks[each].at_m)] = False
        gap = np.hypot(*(spots[:, None] - self.point_m).T).T
        near = open_here & (gap <= CROSSING_M)
        straight = np.asarray(np.hypot(*(spots - self.box_m[box]).T))
        home = self.home[box]
        if home.any():
            straight = np.where(straight <= CROSSING_M, straight, np.inf)
            closest = np.where(home, gap, np.inf)
            far = ~near.any(axis=1) & np.isinf(straight)
            near |= far[:, None] & (closest <= closest.min(axis=1, keepdims=True) + 1e-6)
        off_m = self.tracks[track].off_m
        beyond = np.abs(off_m - np.repeat(*_off_m(self.tracks)))
        via = np.where(near, self.distance_m[box] + gap + beyond, np.inf)
        return np.column_stack([straight + off_m, via])

    def free_m(self, box: int, track: int, along_m: float) -> float:
        """[m] of the longest piece of that cable that lies along no run and no route."""
        spot = _point(self.tracks[track].path_m, along_m)
        point, _ = self._arrival(box, track, along_m)
        if point < 0:
            return float(np.hypot(*(spot - self.box_m[box])))
        found = [float(np.hypot(*(spot - self.point_m[point])))] if track in self.shut else [0.0]
        while (previous := int(self.before[box, point])) >= 0:
            if not any({previous, point} <= set(_points(each)) for each in self.tracks):
                found.append(float(np.hypot(*(self.point_m[point] - self.point_m[previous]))))
            point = previous
        return max(*found, float(np.hypot(*(self.point_m[point] - self.box_m[box]))))

    def way(self, box: int, track: int, along_m: float) -> np.ndarray:
        """(K, 2) [m] the line on which that cable lies, from the box on."""
        own = self.tracks[track]
        point, on_m = self._arrival(box, track, along_m)
        if point < 0:
            return np.stack([self.box_m[box], _point(own.path_m, along_m)])
        tail = _between(own.path_m, on_m, along_m)
        points = [point]
        while (previous := int(self.before[box, points[-1]])) >= 0:
            points.append(previous)
        parts = [self.box_m[box][None]]
        for a, b in zip(points[::-1], points[-2::-1], strict=False):
            parts.append(self._leg(a, b))
        if len(points) == 1:
            parts.append(self.point_m[points][:1])
        return _without_repeats(np.concatenate([*parts, tail]))

    def stretches(self, box: int, track: int, along_m: float) -> list[tuple[int, float, float]]:
        """(track, from [m], to [m]) of every stretch of a track on which that cable lies."""
        point, on_m = self._arrival(box, track, along_m)
        found = [(track, on_m, along_m)]
        if point < 0:
            return found
        while (previous := int(self.before[box, point])) >= 0:
            for number, each in enumerate(self.tracks):
                mine = _points(each)
                if point in mine and previous in mine:
                    at = each.at_m
                    found.append(
                        (number, float(at[previous - mine[0]]), float(at[point - mine[0]]))
                    )
                    break
            point = previous
        return found

    def _arrival(self, box: int, track: int, along_m: float) -> tuple[int, float]:
        """The point of the net that the cable leaves last, and where [m] it gets on its track.

        The point is negative where the cable comes straight from the box.
        """
        if track in self.shut:
            far = self._straight_m(box, track, np.array([along_m]))[0]
            return int(far.argmin()) - 1, along_m
        own = self.tracks[track]
        here = self.distance_m[box, own.first : own.first + len(own.at_m)]
        on = int((here + np.abs(along_m - own.at_m)).argmin())
        return own.first + on, float(own.at_m[on])

    def _leg(self, a: int, b: int) -> np.ndarray:
        """From one point to the next: along their track where they share one."""
        for track in self.tracks:
            mine = _points(track)
            if a in mine and b in mine:
                at = track.at_m
                return _between(track.path_m, float(at[a - mine[0]]), float(at[b - mine[0]]))
        return self.point_m[[a, b]]


def shut_runs(house: House) -> frozenset[int]:
    """The numbers of the runs whose profile has no room for two pairs of a thin wire."""
    need = 4 * outer_mm(_THIN_MM2) ** 2
    bays = [(number, run.profile.wire_bay_mm) for number, run in enumerate(house.runs)]
    return frozenset(number for number, bay in bays if bay and bay[0] * bay[1] < need)


def cable_net(
    house: House, boxes: dict[str, tuple[float, float]], full: frozenset[int] = frozenset()
) -> CableNet:
    """The net over runs (first, in the house's order) and routes, and the way from `boxes` [m].

    `full` are runs along which no cable is laid besides those whose profile has no room.
    """
    shut = shut_runs(house) | full
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    paths = [(run.name, run.path_m) for run in house.runs]
    paths += [(route.name, route.path_m) for route in house.routes]
    off_m = [run.standoff_m for run in house.runs] + [0.0] * len(house.routes)
    stops = [[0.0, path_length_m(path)] for _, path in paths]
    links: list[_Link] = []
    for i, (_, path) in enumerate(paths):
        for j in range(i):
            gap, at, other = _nearest(path, paths[j][1])
            if gap <= CROSSING_M and not {i, j} & shut:
                stops[i].append(at)
                stops[j].append(other)
                links.append(((i, at), (j, other), gap + abs(off_m[i] - off_m[j])))
    box_m = np.array(list(boxes.values()), dtype=float).reshape(-1, 2)
    drops: list[tuple[int, tuple[int, float], float]] = []
    homes = [_home(house, spot) for spot in box_m]
    for b, spot in enumerate(box_m):
        for i, (_, path) in enumerate(paths):
            (near,) = _nearest_along(path, spot)
            for at in {near} if i in homes[b] else {near, 0.0, path_length_m(path)}:
                far = float(np.hypot(*(_point(path, at) - spot)))
                if i in homes[b] or not homes[b] or far <= CROSSING_M:
                    stops[i].append(at)
                    drops.append((b, (i, at), far + off_m[i]))
    for r in sorted(set().union(*homes)):
        _leave_where_nearest(house, paths, shut, r, stops, links)
    tracks, first = [], 0
    for (name, path), own, off in zip(paths, stops, off_m, strict=True):
        at_m = np.unique(np.round(own, 6))
        tracks.append(Track(name, path, at_m, first, off))
        first += len(at_m)
    size, count = first, len(box_m)

    def number(stop: tuple[int, float]) -> int:
        track = tracks[stop[0]]
        return track.first + int(np.abs(track.at_m - stop[1]).argmin())

    edges = [
        (track.first + k, track.first + k + 1, step)
        for number_of, track in enumerate(tracks)
        if number_of not in shut
        for k, step in enumerate(np.diff(track.at_m))
    ]
    edges += [(number(a), number(b), gap) for a, b, gap in links]
    edges += [(b, a, far) for a, b, far in edges]
    # one way: cable comes from a box and never goes through another
    edges += [(size + b, number(stop), far) for b, stop, far in drops]
    table = np.array(edges, dtype=float).reshape(-1, 3)
    ends = table[:, :2].astype(np.int32).T  # scipy 1.12 takes no wider ones
    graph = coo_array((np.maximum(table[:, 2], 1e-9), (ends[0], ends[1])), (size + count,) * 2)
    distance, before = dijkstra(
        graph.tocsr(), directed=True, indices=np.arange(size, size + count),
        return_predecessors=True,
    )  # fmt: skip
    point_m = np.concatenate([along_path(track.path_m, track.at_m)[0] for track in tracks])
    on_net = before[:, :size]
    home = np.zeros((count, size), dtype=bool)
    for b, routes in enumerate(homes):
        for r in routes:
            home[b, _points(tracks[r])] = True
    return CableNet(
        tuple(tracks), point_m, tuple(boxes), box_m, distance[:, :size],
        np.where(on_net >= size, -1, on_net), home, shut,
    )  # fmt: skip


def _home(house: House, spot: np.ndarray) -> set[int]:
    """The numbers of the tracks of the routes that a box at `spot` (2,) [m] stands on."""
    found = set()
    for number, route in enumerate(house.routes, len(house.runs)):
        (at,) = _nearest_along(route.path_m, spot)
        if np.hypot(*(_point(route.path_m, at) - spot)) <= ON_ROUTE_M:
            found.add(number)
    return found


def _leave_where_nearest(
    house: House,
    paths: list[tuple[str, np.ndarray]],
    shut: frozenset[int],
    route: int,
    stops: list[list[float]],
    links: list[_Link],
) -> None:
    """Stops and links where a route that a box stands on comes nearest to runs far from it."""
    own = paths[route][1]
    for number in shut:
        for spot in house.pixels.xy_m[house.runs[number].pixels]:
            stops[route] += _nearest_along(own, spot)
    while far := set(range(len(house.runs))) - shut - _linked(route, links):
        gap, at, other, number = min((*_nearest(own, paths[i][1]), i) for i in far)
        stops[route].append(at)
        stops[number].append(other)
        links.append(((route, at), (number, other), gap + house.runs[number].standoff_m))


def _linked(track: int, links: list[_Link]) -> set[int]:
    """The tracks that hang together with one."""
    found = {track}
    while more := {
        other
        for (a, _), (b, _), _ in links
        for here, other in ((a, b), (b, a))
        if here in found and other not in found
    }:
        found |= more
    return found


def _off_m(tracks: tuple[Track, ...]) -> tuple[list[float], list[int]]:
    """What each track stands off the wall [m], and how many points it has."""
    return [each.off_m for each in tracks], [len(each.at_m) for each in tracks]


def _points(track: Track) -> range:
    """The numbers of a track's points among all of the net."""
    return range(track.first, track.first + len(track.at_m))


def _corners_m(path: np.ndarray) -> np.ndarray:
    """(K,) [m] along the path of each of its corners."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])


def _point(path: np.ndarray, at_m: float) -> np.ndarray:
    return np.asarray(along_path(path, np.array([at_m]))[0][0])


def _nearest_along(path: np.ndarray, spot: np.ndarray) -> list[float]:
    """[m] along a path of the point nearest to `spot`."""
    steps = np.diff(path, axis=0)
    squared = np.maximum((steps**2).sum(axis=1), 1e-12)
    share = np.clip(((spot - path[:-1]) * steps).sum(axis=1) / squared, 0, 1)
    near = path[:-1] + share[:, None] * steps
    leg = int(np.hypot(*(near - spot).T).argmin())
    corner = _corners_m(path)
    return [float(corner[leg] + share[leg] * np.sqrt((steps[leg] ** 2).sum()))]


def _nearest(one: np.ndarray, other: np.ndarray) -> tuple[float, float, float]:
    """The least distance of two paths' corners from the other path, and where along each [m]."""
    best = (np.inf, 0.0, 0.0)
    for flip, (a, b) in enumerate(((one, other), (other, one))):
        for at, spot in zip(_corners_m(a).tolist(), a, strict=True):
            (near,) = _nearest_along(b, spot)
            gap = float(np.hypot(*(_point(b, near) - spot)))
            if gap < best[0] - 1e-12:
                best = (gap, near, at) if flip else (gap, at, near)
    return best


def _between(path: np.ndarray, start_m: float, end_m: float) -> np.ndarray:
    """(K, 2) [m] the piece of a path from one distance along it to another."""
    corner = _corners_m(path)
    inside = corner[(corner > min(start_m, end_m)) & (corner < max(start_m, end_m))]
    at = np.concatenate([[start_m], inside if start_m <= end_m else inside[::-1], [end_m]])
    return np.asarray(along_path(path, at)[0])


def _without_repeats(path: np.ndarray) -> np.ndarray:
    keep = np.concatenate([[True], np.hypot(*np.diff(path, axis=0).T) > 1e-9])
    return path[keep]
