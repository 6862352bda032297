"""A house as the mapping that its file would hold: the way back from records.

Lengths carry their unit, so that they mean the same whatever the house's units are. A kind,
profile, wire or material stands there as its record, which `house_from` takes as it is.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from layouts.calibration import Calibration
from layouts.calibration_entries import calibration_entry
from layouts.catalogue import kinds
from layouts.drawn import USUAL_BOUNCES
from layouts.files.names import ALL
from layouts.kind_extras import as_sold
from layouts.records import (
    AS_PHOTOGRAPHED,
    Drawing,
    House,
    Kind,
    Output,
    Photo,
    Place,
    Route,
    Run,
    Supply,
    Wire,
    Zone,
)
from layouts.spread_entries import spread_entry

Entry = dict[str, Any]


def house_data(house: House) -> Entry:
    """The mapping that `house_from` makes the same house of.

    What was reckoned with measures stands there as the number it came to; the measures are as they
    were written.
    """
    return {
        "format": "evenfall-house/1",
        "name": house.name,
        "units": house.units,
        **({"measures": dict(house.measures)} if house.measures else {}),
        "temperature_c": house.temperature_c,
        **({"location": vars(house.location).copy()} if house.location else {}),
        "drawing": drawing_entry(house.drawing, house.file),
        "kinds": own_kinds(house),
        "runs": [run_entry(run) for run in house.runs],
        "zones": zone_entries(house),
        "supplies": [supply_entry(supply) for supply in house.supplies],
        "wires": [wire_entry(wire) for wire in house.wires],
        "outputs": [output_entry(output) for output in house.outputs],
        "places": [place_entry(place) for place in house.places],
        "routes": [route_entry(route) for route in house.routes],
        **({"history": history_entries(house)} if house.history else {}),
        **(
            {"calibration": [calibration_entry(each) for each in house.calibration]}
            if house.calibration
            else {}
        ),
        **({"spread": spread_entry(house.spread)} if house.spread.said else {}),
    }


def history_entries(house: House) -> list[Entry]:
    """What was done to the house."""
    return [{"date": each.date, "what": each.what} for each in house.history]


def own_kinds(house: House) -> dict[str, Kind]:
    """The kinds that the catalogue has not."""
    return {name: kind for name, kind in house.kinds.items() if name not in kinds()}


def length_entry(metres: float) -> str:
    """A length that is read back as exactly the same float."""
    text = repr(float(metres))
    return f"{np.format_float_positional(metres, trim='-') if 'e' in text else text} m"


def _point(xy_m: Iterable[float]) -> list[str]:
    return [length_entry(each) for each in xy_m]


def _spot(at: Any) -> Any:
    return at if at is None or isinstance(at, str) else _point(at)


def _given(entry: Entry) -> Entry:
    """`entry` without what was left out."""
    return {key: value for key, value in entry.items() if value is not None}


def run_entry(run: Run) -> Entry:
    """A run as its file has it; the count is left out where it follows from the path."""
    strip_m = run.kind.pitch_m
    filled = not run.spread and run.pitch_m == strip_m
    filled = filled and run.count == int(run.length_m / strip_m + 1e-6)
    kind, set_ma = as_sold(run.kind)
    return _given(
        {
            "name": run.name,
            "pixels": kind,
            "set_ma": set_ma,
            "path": [_point(point) for point in run.path_m.tolist()],
            "count": None if filled else run.count,
            "aim": run.aim,
            "standoff": length_entry(run.standoff_m),
            "profile": run.profile,
            "spare_first": run.spares,
            "cuts": list(run.cuts),
            **({"missing": list(run.missing)} if run.missing else {}),
            "lens": run.lens_deg,
        }
    )


def zone_entries(house: House) -> dict[str, list[str]]:
    """The zones that are not runs, each by its parts."""
    own = [name for name in house.zones if name != ALL and name not in {r.name for r in house.runs}]
    return {name: list(house.zones[name].parts or _parts(house, house.zones[name])) for name in own}


def _parts(house: House, zone: Zone) -> Iterator[str]:
    """The parts of a zone that was made by hand, from its pixels."""
    indices = zone.pixels
    breaks = (np.diff(indices) != 1) | (np.diff(house.pixels.run[indices]) != 0)
    edges = [0, *(np.flatnonzero(breaks) + 1), len(indices)]
    for begin, end in itertools.pairwise(edges):
        run = house.runs[int(house.pixels.run[indices[begin]])]
        yield f"{run.name}[{indices[begin] - run.first}:{indices[end - 1] + 1 - run.first}]"


def supply_entry(supply: Supply) -> Entry:
    return _given(
        {
            "name": supply.name,
            "volts": supply.volts,
            "amps": supply.rated_a,
            "efficiency": supply.efficiency,
            "no_load_w": supply.no_load_w,
            "source_ohm": supply.source_ohm,
            "at": _spot(supply.at),
            "adjust_v": None if supply.adjust_v is None else list(supply.adjust_v),
        }
    )


def wire_entry(wire: Wire) -> Entry:
    return _given(
        {
            "from": wire.start.text,
            "to": wire.end.text,
            "wire": wire.size,
            "length": length_entry(wire.length_m),
            "fuse": wire.fuse_a,
        }
    )


def output_entry(output: Output) -> Entry:
    lead = output.lead
    return _given(
        {
            "name": output.name,
            "chain": list(output.chain),
            "universe": output.universe,
            "address": output.address,
            "fps": output.fps,
            "at": _spot(output.at),
            "lead": {"wire": lead.size, "length": length_entry(lead.length_m)} if lead else None,
            "logic_v": output.logic_v,
            "series_ohm": output.series_ohm,
            "common_minus": output.common_minus,
        }
    )


def place_entry(place: Place) -> Entry:
    return {
        "name": place.name,
        "at": _point(place.xy_m),
        "mains": place.mains,
        "sheltered": place.sheltered,
    }


def route_entry(route: Route) -> Entry:
    return {"name": route.name, "path": [_point(point) for point in route.path_m.tolist()]}


def drawing_entry(drawing: Drawing, file: str) -> Entry:
    """The drawing; its photograph is named from the folder of the house file."""
    made: Entry = {
        "size": _point(drawing.size_m),
        "viewer": length_entry(drawing.viewer_m),
        "surfaces": [
            _given(
                {
                    "name": surface.name,
                    "outline": [_point(point) for point in surface.outline_m.tolist()],
                    "material": None if surface.material == AS_PHOTOGRAPHED else surface.material,
                    "depth": length_entry(surface.depth_m),
                    "lit": surface.lit,
                    "faces": None if surface.faces == "street" else surface.faces,
                }
            )
            for surface in drawing.surfaces
        ],
    }
    if drawing.ground != "grass":
        made["ground"] = drawing.ground
    if drawing.lit_windows is not None:
        made["lit_windows"] = drawing.lit_windows
    if drawing.bounces != USUAL_BOUNCES:
        made["bounces"] = drawing.bounces
    if drawing.photo is not None:
        made["photo"] = photo_entry(drawing.photo, Path(file).resolve().parent)
    return made


def photo_entry(photo: Photo, folder: Path) -> Entry:
    """The photograph as a house file in `folder` names it."""
    lens = list(photo.lens) if any(photo.lens) else None
    return _given(
        {
            "file": str(Path(photo.file).relative_to(folder)),
            "corners": [_point(corner) for corner in photo.corners_m] or None,
            "points": [{"pixel": list(p.pixel), "at": _point(p.at_m)} for p in photo.points]
            or None,
            "lens": lens,
        }
    )


#: What a record becomes in the list of a house file that it belongs to.
ENTRY_OF: dict[type, Callable[[Any], Entry]] = {
    Run: run_entry,
    Supply: supply_entry,
    Wire: wire_entry,
    Output: output_entry,
    Place: place_entry,
    Route: route_entry,
    Calibration: calibration_entry,
}


def entry_of(item: Any) -> Any:
    """The entry that a record is in its list; anything else as it is."""
    make = ENTRY_OF.get(type(item))
    return item if make is None else make(item)
