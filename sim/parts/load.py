"""Reading a parts file; what it leaves out is filled with the built-in quantities, unpriced."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from layouts.catalogue import kinds, profiles
from layouts.errors import InputError, Problem
from layouts.file_names import PARTS
from layouts.files.document import Document, check, read
from layouts.files.names import did_you_mean
from layouts.records import House, Kind
from layouts.units import METRES, length_text
from sim.parts.pixels import on_one, strip_part
from sim.parts.records import (
    ControllerPart,
    EnclosurePart,
    Parts,
    ProfilePart,
    SmallPart,
    Stock,
    StripPart,
    SupplyPart,
    WirePart,
    Work,
)

if TYPE_CHECKING:
    from sim.parts.schema import KindRow, PartsFile, ProfileRow, SmallRow, WireRow, WorkRow

#: The greatest kerf and the greatest slack that are not a slip of the unit.
_MOST_KERF_M, _MOST_SLACK_M = 0.02, 10.0
#: What a tape in inches is read to.
_EIGHTH_M = METRES["in"] / 8


def load_parts(path: str | os.PathLike[str], house: House | None = None) -> Parts:
    """The parts file at `path`; kinds of pixel of `house`'s own may be named in it.

    Raises InputError with every problem of the file.
    """
    from sim.parts.schema import PartsFile

    document = read(path)
    units = document.data.get("units", "m") if isinstance(document.data, dict) else "m"
    context = {"units": units if units in ("m", "cm", "mm", "ft", "in") else "m"}
    file = check(document, PartsFile, context)
    known = {**kinds(), **(house.kinds if house else {})}
    told_in = house.units if house else context["units"]
    problems = [
        *_problems(document, file, told_in),
        *_kind_problems(document, file, known, told_in),
    ]
    if problems:
        raise InputError(problems)
    return _parts(document.file, file, _builtin())


def parts_beside(house: House) -> Parts:
    """The parts file beside the house file, or the built-in quantities without prices."""
    path = Path(house.file).with_name(PARTS)
    return load_parts(path, house) if house.file and path.exists() else builtin_parts()


def builtin_parts() -> Parts:
    """Usual quantities, and no price at all."""
    return replace(_builtin(), file="")


def with_pixel_prices(
    parts: Parts,
    currency: str,
    note: str,
    per_pixel: Mapping[str, float],
    known: Mapping[str, Kind],
) -> Parts:
    """The parts with prices of pixels, by kind, from a file that gives nothing else."""
    strips = dict(parts.strips)
    for name, price in per_pixel.items():
        part = strip_part(known[name], parts)
        strips[name] = replace(part, price=price * on_one(known[name], part))
    return replace(parts, currency=currency, note=note, strips=MappingProxyType(strips))


def parts_schema() -> dict[str, Any]:
    """JSON Schema of a parts file, for editors that complete keys."""
    from sim.parts.schema import PartsFile

    return PartsFile.model_json_schema()


@cache
def _builtin() -> Parts:
    from sim.parts.schema import PartsFile

    document = read(Path(__file__).with_name("builtin.yaml"))
    return _parts("", check(document, PartsFile, {"units": "m"}), None)


def _problems(document: Document, file: PartsFile, units: str) -> Iterator[Problem]:
    """What a model cannot see: a price without currency, rows twice, lengths beyond sense.

    Lengths are told in `units`, those of the house where one is known.
    """
    if file.currency is None and _has_price(document.data):
        yield document.problem((), "there are prices but no currency", "add 'currency: EUR'")
    for section, names in (
        ("wire", [row.wire for row in file.wire]),
        ("supplies", [row.part for row in file.supplies]),
        ("controllers", [row.part for row in file.controllers]),
        ("enclosures", [row.part for row in file.enclosures]),
    ):
        for number, name in enumerate(names):
            if name in names[:number]:
                what = f"'{name}' is there twice"
                yield document.problem((section, number), what, "keep one")
    for number, row in enumerate(file.wire):
        if row.per_metre is None and row.stock and file.currency:
            what = f"wire {row.wire} comes on reels but has no 'per_metre'"
            yield document.problem(("wire", number), what, "add what a metre of it costs")
    for key, value, most, metric in (
        ("kerf", file.kerf, _MOST_KERF_M, "20 mm"),
        ("slack", file.slack, _MOST_SLACK_M, "10 m"),
    ):
        if value is not None and not 0 <= value <= most:
            # not rounded up to an eighth of an inch that is refused too
            down = length_text(math.floor(most / _EIGHTH_M) * _EIGHTH_M, units)
            what = f"a {key} of {_told(value, units)} makes no sense"
            unit = down if units in ("ft", "in") else metric
            yield document.problem((key,), what, f"write 0 to {unit}")


def _told(length_m: float, units: str) -> str:
    """A length in `units`; in metres what is too small for a tape that is read in them."""
    text = length_text(length_m, units)
    return f"{length_m:g} m" if length_m and text.startswith(("0 ", "-0 ")) else text


def _kind_problems(
    document: Document, file: PartsFile, known: dict[str, Kind], units: str
) -> Iterator[Problem]:
    for name, row in file.kinds.items():
        at = ("kinds", name)
        if name not in known:
            what = f"unknown kind of pixel '{name}'"
            yield document.problem(at, what, did_you_mean(name, known), key=True)
            continue
        wanted, other = ("reel", "nodes") if known[name].mount == "strip" else ("nodes", "reel")
        if getattr(row, other) is not None:
            what = f"'{name}' is a {known[name].mount} and has no '{other}'"
            yield document.problem((*at, other), what, f"write '{wanted}'", key=True)
        elif row.price is not None and getattr(row, wanted) is None:
            what = f"the price of '{name}' says not for how much"
            yield document.problem(at, what, f"add '{wanted}'", key=True)
        elif row.reel is not None and row.reel < known[name].pitch_m:
            what = f"a reel of {_told(row.reel, units)} holds no pixel of '{name}'"
            yield document.problem((*at, "reel"), what, "check its unit")
    for name in file.profiles:
        if name not in profiles():
            what = f"unknown profile '{name}'"
            yield document.problem(
                ("profiles", name), what, did_you_mean(name, profiles()), key=True
            )


def _has_price(data: Any) -> bool:
    if isinstance(data, dict):
        named = {"price", "per_metre", "cover", "end_cap", "clip", "hourly"} & data.keys()
        return any(data[key] is not None for key in named) or _has_price(list(data.values()))
    return isinstance(data, list) and any(_has_price(each) for each in data)


def _parts(name: str, file: PartsFile, base: Parts | None) -> Parts:
    """The records of a file, over those of `base`; without one the file is the built-in one."""
    strips = {kind: _strip(row) for kind, row in file.kinds.items()}
    channels = {profile: _profile(row) for profile, row in file.profiles.items()}
    wires = {row.wire: _wire(row) for row in file.wire}
    if base is None:
        any_strip, any_string = strips.pop("strip"), strips.pop("string")
        any_profile = channels.pop("channel")
        any_wire = wires.popitem()[1]
    else:
        any_strip, any_string = base.any_strip, base.any_string
        any_profile, any_wire = base.any_profile, base.any_wire
        channels = {**base.profiles, **channels}
    connectors = file.connectors

    def small(key: str, row: SmallRow) -> SmallPart:
        return SmallPart(row.part or (getattr(base, key).part if base else key), row.price)

    def given(value: float | None, key: str) -> float:
        return float(getattr(base, key) if value is None and base else value or 0.0)

    return Parts(
        file=name,
        currency=file.currency or "",
        note=file.note,
        supplies=tuple(
            SupplyPart(**row.model_dump(exclude={"source", "ip"}), ip=row.ip or "")
            for row in file.supplies
        ),
        wires=MappingProxyType(wires),
        strips=MappingProxyType(strips),
        profiles=MappingProxyType(channels),
        any_wire=any_wire,
        any_strip=any_strip,
        any_string=any_string,
        any_profile=any_profile,
        fuse=small("fuse", file.fuse),
        fuse_holder=small("fuse_holder", file.fuse_holder),
        strip_joint=small("strip_joint", connectors.strip_joint),
        feed_plug=small("feed_plug", connectors.feed_plug),
        data_plug=small("data_plug", connectors.data_plug),
        junction=small("junction", connectors.junction),
        enclosures=tuple(
            EnclosurePart(row.part, row.supplies, row.price) for row in file.enclosures
        )
        or (base.enclosures if base else ()),
        controllers=tuple(
            ControllerPart(row.part, row.outputs, row.pixels, row.price) for row in file.controllers
        ),
        work=_work(file.work, base.work if base else None),
        spares=given(file.spares, "spares"),
        slack_m=given(file.slack, "slack_m"),
        kerf_m=given(file.kerf, "kerf_m"),
    )


def _strip(row: KindRow) -> StripPart:
    return StripPart(row.part or "", row.reel, row.nodes, row.price)


def _profile(row: ProfileRow) -> ProfilePart:
    bars = tuple(sorted((Stock(bar.length, bar.price) for bar in row.bars), key=_length))
    return ProfilePart(
        row.part or "",
        bars,
        row.covered and bool(bars),
        row.cover,
        row.end_cap,
        row.clips_every,
        row.clip,
    )


def _length(stock: Stock) -> float:
    return stock.length_m


def _wire(row: WireRow) -> WirePart:
    plus, minus = row.colours
    stock_m = tuple(sorted(row.stock))
    return WirePart(row.wire, row.part or "", row.per_metre, (plus, minus), stock_m)


def _work(row: WorkRow, base: Work | None) -> Work:
    own = row.model_dump(exclude={"source", "hourly"})
    names: Iterable[str] = own
    minutes = {
        name: getattr(base, name) if own[name] is None and base else own[name] or 0.0
        for name in names
    }
    return Work(hourly=row.hourly, **minutes)
