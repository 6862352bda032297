"""The things of a house that can be pointed at: where they are, and which one is meant. Pure."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from layouts import House, spot_xy_m
from layouts.kept_with import kept_with_first
from layouts.polygon import inside
from layouts.records import Run, WireEnd
from sim.app.edit.commands import Item, PointM
from sim.app.state.drawing import Pick

#: Sorts of things that are a line of points.
LINED = ("run", "surface", "route")


def item_words(item: Item) -> str:
    """What a thing is called on the board: "run gable"; "run" where that is its name too."""
    return str(item.name) if item.sort == item.name else str(item)


def points_of(house: House, item: Item) -> np.ndarray:
    """(K, 2) [m] the points of a thing: corners, a spot, the two ends of a wire; none: (0, 2)."""
    for name, path in _lined(house, item.sort):
        if name == item.name:
            return path
    if item.sort == "wire":
        index = int(item.name)
        if index < len(house.wires):
            wire = house.wires[index]
            ends = [end_xy_m(house, wire.start), end_xy_m(house, wire.end)]
            return np.array([end for end in ends if end is not None], dtype=float).reshape(-1, 2)
    found = spot_of(house, item)
    return np.array([found] if found is not None else [], dtype=float).reshape(-1, 2)


def _lined(house: House, sort: str) -> list[tuple[str, np.ndarray]]:
    if sort == "run":
        return [(run.name, run.path_m) for run in house.runs]
    if sort == "surface":
        return [(one.name, one.outline_m) for one in house.drawing.surfaces]
    if sort == "route":
        return [(one.name, one.path_m) for one in house.routes]
    return []


def spot_of(house: House, item: Item) -> PointM | None:
    """Where a place, supply or output is [m]; None where the house does not say."""
    if item.sort == "place":
        return next((one.xy_m for one in house.places if one.name == item.name), None)
    held = house.supplies if item.sort == "supply" else house.outputs
    if item.sort not in ("supply", "output"):
        return None
    at = next((one.at for one in held if one.name == item.name), None)
    found = spot_xy_m(house, at)
    return (float(found[0]), float(found[1])) if found is not None else None


@kept_with_first
def end_xy_m(house: House, end: WireEnd) -> PointM | None:
    """Where an end of a wire is [m]; None for a junction, and a supply nobody placed."""
    if end.kind == "supply":
        return spot_of(house, Item("supply", end.name))
    if end.kind == "run":
        return pad_xy_m(house.run(end.name), end.pad)
    return None


def pad_xy_m(run: Run, pad: int) -> PointM:
    """Where a pad of a run lies [m]: 0 its start, k + 1 beside pixel k, n + 1 its end."""
    if pad <= 0 or pad > run.count:
        x, y = run.path_m[0 if pad <= 0 else -1]
        return float(x), float(y)
    return along_xy_m(run, (pad - 0.5) * run.pitch_m)


def along_xy_m(run: Run, along_m: float) -> PointM:
    """The point of a run's path so far from its start [m]."""
    steps = np.hypot(*np.diff(run.path_m, axis=0).T)
    reached = np.r_[0.0, np.cumsum(steps)]
    x = np.interp(along_m, reached, run.path_m[:, 0])
    y = np.interp(along_m, reached, run.path_m[:, 1])
    return float(x), float(y)


def pad_near(run: Run, at_m: PointM) -> str:
    """The end of a wire, as a file writes it, that is nearest to a point [m]."""
    pixel = pixel_near(run, at_m)
    beside = np.array(along_xy_m(run, (pixel + 0.5) * run.pitch_m))
    ends = {f"{run.name}.start": run.path_m[0], f"{run.name}.end": run.path_m[-1],
            f"{run.name}[{pixel}]": beside}  # fmt: skip
    reach = {name: float(np.hypot(*(xy - np.array(at_m)))) for name, xy in ends.items()}
    return min(reach, key=reach.__getitem__)


def pixel_near(run: Run, at_m: PointM) -> int:
    """The pixel of a run nearest to a point [m]."""
    along = _along_m(run.path_m, at_m)
    return int(np.clip(np.floor(along / max(run.pitch_m, 1e-9)), 0, max(run.count - 1, 0)))


def cut_near(run: Run, at_m: PointM) -> int:
    """The position 1.. of a run that a cut at a point [m] would stand before."""
    along = _along_m(run.path_m, at_m)
    return int(np.clip(np.rint(along / max(run.pitch_m, 1e-9)), 1, max(run.count - 1, 1)))


def cut_xy_m(run: Run, before: int) -> PointM:
    """Where a cut before a position lies [m]."""
    return along_xy_m(run, before * run.pitch_m)


def _along_m(path_m: np.ndarray, at_m: PointM) -> float:
    """How far along a path its point nearest to `at_m` is [m]."""
    start, step = path_m[:-1], np.diff(path_m, axis=0)
    length = np.maximum(np.hypot(*step.T), 1e-12)
    share = np.clip(((np.array(at_m) - start) * step).sum(axis=1) / length**2, 0, 1)
    reach = np.hypot(*(start + share[:, None] * step - np.array(at_m)).T)
    at = int(reach.argmin())
    return float(length[:at].sum() + share[at] * length[at])


def nearest_on_path(path_m: np.ndarray, at_m: PointM) -> tuple[float, int]:
    """(distance [m], number of the stretch) of a path's point nearest to `at_m`."""
    if len(path_m) < 2:
        return (float(np.hypot(*(path_m[0] - np.array(at_m)))), 0) if len(path_m) else (1e9, 0)
    start, step = path_m[:-1], np.diff(path_m, axis=0)
    square = np.maximum((step**2).sum(axis=1), 1e-12)
    share = np.clip(((np.array(at_m) - start) * step).sum(axis=1) / square, 0, 1)
    reach = np.hypot(*(start + share[:, None] * step - np.array(at_m)).T)
    return float(reach.min()), int(reach.argmin())


def things(house: House) -> tuple[Pick, ...]:
    """Everything that can be chosen, lights and wiring first, surfaces from front to back."""
    found = [Pick(Item("run", run.name)) for run in house.runs]
    found += [Pick(Item("run", run.name), cut=cut) for run in house.runs for cut in run.cuts]
    found += [Pick(Item("supply", one.name)) for one in house.supplies]
    found += [Pick(Item("wire", index)) for index in range(len(house.wires))]
    found += [Pick(Item("place", one.name)) for one in house.places]
    found += [Pick(Item("output", one.name)) for one in house.outputs]
    runs = {run.name for run in house.runs} | {"all"}
    found += [Pick(Item("zone", name)) for name in house.zones if name not in runs]
    found += [Pick(Item("route", one.name)) for one in house.routes]
    found += [Pick(Item("surface", one.name)) for one in reversed(house.drawing.surfaces)]
    return tuple(found)


def there(house: House, pick: Pick) -> bool:
    """Whether a thing is still there."""
    whole = Pick(pick.item)
    if whole not in things(house):
        return False
    if pick.cut is not None:
        return pick.cut in house.run(str(pick.item.name)).cuts
    return pick.corner is None or pick.item.sort == "wire" or (
        pick.corner < len(points_of(house, pick.item)))  # fmt: skip


def handles(house: House, pick: Pick) -> Iterator[tuple[Pick, PointM]]:
    """The corners of a chosen thing, and the ends of a wire, that can be taken alone."""
    item = pick.item
    if item.sort in LINED:
        for index, (x, y) in enumerate(points_of(house, item)):
            yield Pick(item, index), (float(x), float(y))
    elif item.sort == "wire" and int(item.name) < len(house.wires):
        wire = house.wires[int(item.name)]
        for index, end in enumerate((wire.start, wire.end)):
            at = end_xy_m(house, end)
            if at is not None and end.kind == "run":
                yield Pick(item, index), at


def pick_at(
    house: House, at_m: PointM, reach_m: float, chosen: tuple[Pick, ...] = ()
) -> Pick | None:
    """What is meant by a press at a point [m]: what is nearest within reach, small things first."""
    best: tuple[float, Pick] | None = None
    near = np.array(at_m)
    for one in chosen:
        for pick, xy in handles(house, one):
            away = float(np.hypot(*(near - xy)))
            if away <= reach_m * 1.2 and (best is None or away < best[0]):
                best = (away, pick)
    if best is not None:
        return best[1]
    for pick in things(house):
        sort = pick.item.sort
        if sort in ("surface", "zone"):
            continue
        if pick.cut is not None:
            run = house.run(str(pick.item.name))
            away = float(np.hypot(*(near - cut_xy_m(run, pick.cut)))) - 0.4 * reach_m
        elif sort == "wire":
            ends = [(p, float(np.hypot(*(near - xy)))) for p, xy in handles(house, pick)]
            pick, away = min(ends, key=lambda end: end[1], default=(pick, 1e9))
            away -= 0.2 * reach_m
        elif sort in LINED:
            away = nearest_on_path(points_of(house, pick.item), at_m)[0]
        else:
            spot = points_of(house, pick.item)
            away = float(np.hypot(*(near - spot[0]))) - reach_m if len(spot) else 1e9
        if away <= reach_m and (best is None or away < best[0]):
            best = (away, pick)
    if best is not None:
        return best[1]
    for surface in reversed(house.drawing.surfaces):
        if inside(surface.outline_m, near[None])[0]:
            return Pick(Item("surface", surface.name))
    return None
