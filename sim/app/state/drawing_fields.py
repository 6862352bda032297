"""The rows of the drawing panel for what is chosen: read from the house, set by commands. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from layouts import House, fuses, length_text, materials, profiles, wire_sizes
from layouts.records import AS_PHOTOGRAPHED, Run
from sim.app.edit.commands import Command, Item, Rename, SetKey, ShiftBy
from sim.app.state.drawing import Board
from sim.app.state.drawing_things import points_of

#: Where the LED faces, with words; a number of degrees can be typed too.
AIMS = {"down": "down", "wall": "at the wall", "out": "at the street", "up": "up"}


@dataclass(frozen=True)
class Field:
    """One row. `options` are what can be chosen, `typed` whether something else can be typed."""

    key: str  # as `SetKey` has it; "name", "x", "y" are their own
    label: str
    value: Any
    text: str
    options: tuple[Any, ...] = ()
    kind: str = "text"  # what is drawn beside it: "material", "aim", "profile", "kind", …
    unit: str = ""  # what a typed number is: "m", "A", "V", ""
    step: float = 0.0  # what one step adds to a number


def fields(board: Board) -> tuple[Field, ...]:
    """The rows for the thing chosen last; none where nothing is, or only a cut."""
    pick = board.pick
    if pick is None or pick.cut is not None:
        return ()
    made = {"run": _run, "surface": _surface, "place": _place, "supply": _supply, "wire": _wire,
            "output": _output, "zone": _zone, "route": _route}.get(pick.item.sort)  # fmt: skip
    return tuple(made(board.house, pick.item)) if made else ()


def field(board: Board, key: str | None) -> Field | None:
    """The row of a key; None where there is none."""
    return next((one for one in fields(board) if one.key == key), None)


def shown_option(one: Field, option: Any) -> str:
    """How an option of a row reads."""
    if one.key == "aim":
        return AIMS.get(option, f"{option}°")
    if one.key == "material" and option == AS_PHOTOGRAPHED.name:
        return "as photographed"
    if isinstance(option, bool):
        return "yes" if option else "no"
    if option is None:
        return "none"
    return f"{option:g} {one.unit}".rstrip() if isinstance(option, int | float) else str(option)


def set_command(board: Board, key: str, value: Any) -> Command | None:
    """The command that gives a row a value; None where it has it already."""
    one, pick = field(board, key), board.pick
    if one is None or pick is None or one.value == value:
        return None
    if key == "name":
        return Rename(pick.item, str(value).strip())
    if key in ("x", "y"):
        by = float(value) - float(one.value)
        if pick.item.sort in ("supply", "output"):
            x, y = points_of(board.house, pick.item)[0]
            at = (float(value), float(y)) if key == "x" else (float(x), float(value))
            return SetKey(pick.item, "at", at)
        return ShiftBy((pick.item,), by if key == "x" else 0.0, by if key == "y" else 0.0)
    if key == "material" and value == AS_PHOTOGRAPHED.name:
        return SetKey(pick.item, key, None)
    return SetKey(pick.item, key, value)


def _spot(house: House, item: Item) -> list[Field]:
    """Where it is, by its lower left."""
    points = points_of(house, item)
    if not len(points):
        return []
    low = points.min(axis=0)
    return [_length("x", "From the left", float(low[0]), house),
            _length("y", "Above ground", float(low[1]), house)]  # fmt: skip


def _length(key: str, label: str, value_m: float | None, house: House) -> Field:
    text = length_text(value_m, house.units) if value_m is not None else "not said"
    step = 0.0254 if house.units in ("ft", "in") else 0.01
    return Field(key, label, value_m, text, unit="m", step=step)


def _choice(key: str, label: str, value: Any, options: Sequence[Any], kind: str = "text",
            unit: str = "") -> Field:  # fmt: skip
    made = Field(key, label, value, "", tuple(options), kind, unit)
    return Field(key, label, value, shown_option(made, value), tuple(options), kind, unit)


def _name(item: Item) -> Field:
    return Field("name", "Name", str(item.name), str(item.name))


def _run(house: House, item: Item) -> list[Field]:
    run = house.run(str(item.name))
    aim = run.aim if isinstance(run.aim, str) else float(run.aim)
    aims = (*AIMS, 45.0) if aim in AIMS or aim == 45.0 else (*AIMS, 45.0, aim)
    on_path = f"{run.count} on {length_text(run.length_m, house.units)}"
    mounts = [name for name, one in profiles().items() if one.mount in (None, run.kind.mount)]
    return [
        _name(item),
        _choice("pixels", "Kind", run.kind.name, tuple(house.kinds), "kind"),
        *_current(run),
        _choice("aim", "Aim", aim, aims, "aim", "°"),
        _length("standoff", "From the wall", run.standoff_m, house),
        _choice("profile", "Profile", run.profile.name, mounts, "profile"),
        Field("count", "Pixels", run.count, on_path,
              unit="whole", step=1),
        Field("spare_first", "Spare first", run.spares, str(run.spares), unit="whole", step=1),
        *_spot(house, item),
    ]  # fmt: skip


def _current(run: Run) -> list[Field]:
    """Of a kind whose current can be set: what it is set to."""
    if run.kind.settable is None:
        return []
    ma = run.kind.set_ma or max(channel.current_ma for channel in run.kind.channels)
    return [
        Field("set_ma", "Set to", ma, f"{ma:.4g} mA", unit="mA", step=run.kind.settable.step_ma)
    ]


def _surface(house: House, item: Item) -> list[Field]:
    surface = next(one for one in house.drawing.surfaces if one.name == item.name)
    seen = (AS_PHOTOGRAPHED.name,) if house.drawing.photo is not None else ()
    looks = (*seen, *materials())
    return [
        _name(item),
        _choice("material", "Material", surface.material.name, looks, "material"),
        _length("depth", "Before the wall", surface.depth_m, house),
        *_spot(house, item),
    ]  # fmt: skip


def _place(house: House, item: Item) -> list[Field]:
    place = next(one for one in house.places if one.name == item.name)
    return [
        _name(item),
        _choice("mains", "Mains socket", place.mains, (True, False)),
        _choice("sheltered", "Out of the rain", place.sheltered, (True, False)),
        *_spot(house, item),
    ]  # fmt: skip


def _at(house: House, at: Any) -> list[Field]:
    if at is not None and not isinstance(at, str):
        return []
    places = tuple(place.name for place in house.places)
    return [_choice("at", "Mounted at", at, places)] if places else []


def _supply(house: House, item: Item) -> list[Field]:
    supply = next(one for one in house.supplies if one.name == item.name)
    return [
        _name(item),
        _choice("volts", "Volts", supply.volts, (5.0, 12.0, 24.0), unit="V"),
        Field("amps", "Rated", supply.rated_a, f"{supply.rated_a:g} A", unit="A", step=1),
        *_at(house, supply.at),
        *_spot(house, item),
    ]  # fmt: skip


def _wire(house: House, item: Item) -> list[Field]:
    wire = house.wires[int(item.name)]
    ratings = (None, *fuses().ratings_a)
    return [
        Field("from", "From", wire.start.text, wire.start.text),
        Field("to", "To", wire.end.text, wire.end.text),
        _choice("wire", "Wire", wire.size.name, tuple(wire_sizes()), "wire"),
        _length("length", "One way", wire.length_m, house),
        _choice("fuse", "Fuse", wire.fuse_a, ratings, "fuse", "A"),
    ]  # fmt: skip


def _output(house: House, item: Item) -> list[Field]:
    output = next(one for one in house.outputs if one.name == item.name)
    return [
        _name(item),
        Field("chain", "Runs", output.chain, ", ".join(output.chain)),
        Field("universe", "Universe", output.universe, str(output.universe or "1"), unit="whole",
              step=1),
        *_at(house, output.at),
        *_spot(house, item),
    ]  # fmt: skip


def _zone(house: House, item: Item) -> list[Field]:
    zone = house.zones[str(item.name)]
    return [_name(item), Field("parts", "Runs", zone.parts, ", ".join(zone.parts))]


def _route(house: House, item: Item) -> list[Field]:
    return [_name(item), *_spot(house, item)]
