"""The catalogue: kinds, wires, fuses, limits, materials and profiles, each with its sources.

Read once from the data files beside this module; the results are shared and frozen.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from layouts.fuses import Fuses, Opening
from layouts.limits import Class2Row, Limit, Limits, WarmRow
from layouts.records import Kind, Material, Profile, WireSize
from layouts.spread import Distribution, Factor

FOLDER = Path(__file__).parent


def rows(name: str) -> dict[str, Any]:
    """The plain content of one data file."""
    from layouts.files.document import read

    data: dict[str, Any] = read(FOLDER / f"{name}.yaml").data
    return data


#: The files of kinds, in the order they are listed.
KIND_FILES = ("kinds", "strips_5v", "strips_12v", "strips_24v", "nodes", "two_whites")


@cache
def kind_entries() -> Mapping[str, Mapping[str, Any]]:
    """The kinds as written, before inheritance."""
    return MappingProxyType({k: v for name in KIND_FILES for k, v in rows(name).items()})


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind of the catalogue by name."""
    from layouts.inherit import kind, merged

    entries = kind_entries()
    return MappingProxyType({name: kind(name, merged(name, entries)) for name in entries})


@cache
def wire_sizes() -> Mapping[str, WireSize]:
    """Every wire of the catalogue by name, thinnest gauge first, then metric sizes."""
    from layouts.units import wire_area_mm2

    data = rows("wires")
    said = data["sources"]
    sizes = {}
    for system, area in (("awg", "area"), ("mm2", "metric_area")):
        for size, row in data[system].items():
            name, area_mm2 = wire_area_mm2(f"{size} {'AWG' if system == 'awg' else 'mm2'}")
            limit, ampacity = row["from"]
            sizes[name] = WireSize(
                name=name,
                area_mm2=area_mm2,
                ampacity_a=float(row["ampacity_a"]),
                max_ohm_per_km=row.get("max_ohm_per_km"),
                sources=MappingProxyType(
                    {
                        "area_mm2": said[area],
                        "max_ohm_per_km": said[limit],
                        "ampacity_a": said[ampacity],
                    }
                ),
            )
    return MappingProxyType(sizes)


def wire_size(text: str) -> WireSize:
    """The wire written as `16 AWG` or `1.5 mm2`.

    A size that the catalogue does not list may carry what the next thinner listed one may.
    Raises ValueError for what is not a size, and below the thinnest.
    """
    from layouts.units import wire_area_mm2

    name, area_mm2 = wire_area_mm2(text)
    known = wire_sizes()
    if name in known:
        return known[name]
    thinner = [size for size in known.values() if size.area_mm2 <= area_mm2]
    if not thinner:
        raise ValueError(f"no figures for a wire as thin as {name}; use 24 AWG or thicker")
    like = max(thinner, key=lambda size: size.ampacity_a)
    said = {
        "area_mm2": "as written [calc]",
        "ampacity_a": f"as {like.name}, the next thinner size listed [calc]",
    }
    return WireSize(name, area_mm2, like.ampacity_a, sources=MappingProxyType(said))


@cache
def limits() -> Limits:
    """What parts are held to, each figure with its source."""
    data = rows("limits")
    return Limits(
        rows=MappingProxyType({name: Limit(**row) for name, row in data["shares"].items()}),
        class_2=tuple(Class2Row(**row) for row in data["class_2"]),
        warm=MappingProxyType(
            {part: tuple(WarmRow(**row) for row in rows_) for part, rows_ in data["warm"].items()}
        ),
    )


@cache
def spread_factors() -> Mapping[str, Factor]:
    """How far parts differ from their sheets, by factor."""
    made = {}
    for name, row in rows("spread").items():
        (form, (a, b)), *_ = [(key, row[key]) for key in row if isinstance(row[key], list)]
        said = {key: row[key] for key in ("scope", "what", "unit", "source", "note")}
        made[name] = Factor(name=name, shape=Distribution(form, a, b), **said)
    return MappingProxyType(made)


@cache
def fuses() -> Fuses:
    """The blade fuses of the catalogue."""
    data = rows("fuses")
    return Fuses(
        ratings_a=tuple(float(rating) for rating in data["ratings_a"]),
        continuous_load=limits().fuse_load,
        openings=tuple(Opening(**row) for row in data["opening"]),
        cold_ohms=tuple((float(row["rating_a"]), row["ohm"]) for row in data["cold_ohm"]),
        sources=MappingProxyType(
            {
                "ratings_a": data["ratings_source"],
                "continuous_load": limits().rows["fuse_load"].source,
                "volts": data["volts_source"],
                **{f"cold_ohm.{row['rating_a']:g}": row["source"] for row in data["cold_ohm"]},
            }
        ),
    )


@cache
def materials() -> Mapping[str, Material]:
    """Every material of the catalogue by name."""
    data = rows("materials")
    grid = data["wavelength_nm"]
    wavelengths = tuple(
        float(nm) for nm in range(grid["first"], grid["last"] + grid["step"], grid["step"])
    )
    return MappingProxyType(
        {
            name: Material(
                name=name,
                texture=row["texture"],
                wavelength_nm=wavelengths,
                reflectance=tuple(row["reflectance"]),
                sources=MappingProxyType({"reflectance": row["source"]}),
            )
            for name, row in data["materials"].items()
        }
    )


@cache
def profiles() -> Mapping[str, Profile]:
    """Every mounting channel of the catalogue by name."""
    return MappingProxyType(
        {
            name: Profile(
                name=name,
                transmission=row["transmission"],
                beam_half_deg=row["beam_half_deg"],
                spot_m=row["spot_mm"] / 1000,
                mount=row["mount"],
                wire_bay_mm=tuple(row["wire_bay_mm"]) if row["wire_bay_mm"] else None,
                bar_m=row["bar_m"],
                hole_mm=row["hole_mm"],
                hole_pitch_mm=row.get("hole_pitch_mm"),
                sources=MappingProxyType(row["sources"]),
                note=row["note"],
            )
            for name, row in {**rows("profiles"), **rows("tracks")}.items()
        }
    )
