"""A house that was made in code, as the text of a new house file.

The manner is that of files people write: sections in one order with a line over those that need
it, an entry a line, and lengths in the file's own units, rounded to what a tape shows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from layouts.files.emit import inline, pair
from layouts.units import METRES, length_m

#: The keys of a house file in the order they are written; any other stands after them.
ORDER = (
    "format", "name", "units", "temperature_c", "location", "measures", "drawing", "kinds",
    "runs", "zones", "places", "routes", "outputs", "supplies", "wires", "calibration", "spread",
)  # fmt: skip
#: Lists whose every entry is one line, however long it is.
_IN_LINES = frozenset(
    (
        "surfaces",
        "points",
        "runs",
        "places",
        "routes",
        "outputs",
        "supplies",
        "wires",
        "calibration",
    )
)
#: The line over a section of a new file.
_OVER = {
    "runs": "A run is one unbroken piece of strip or string, in data order.",
    "zones": "Every run is a zone by its own name, and `all` is every pixel.",
    "places": "Where a supply or a controller can be mounted.",
    "routes": "Along what cable may be laid, beside the runs.",
    "outputs": "A controller's data ports and the runs chained on each.",
    "wires": "Pairs of wires, + and −; `length` is one way.",
}
_DRAWN = "Painted in this order, back to front; a larger depth is nearer to the street."
#: Where lengths stand: keys on the way, `*` for every entry of a list.
_LENGTHS = frozenset(
    tuple(path.split("."))
    for path in (
        "drawing.size.*", "drawing.viewer", "drawing.surfaces.*.depth",
        "drawing.surfaces.*.outline.*.*", "drawing.photo.corners.*.*",
        "drawing.photo.points.*.at.*", "runs.*.path.*.*", "runs.*.standoff", "supplies.*.at.*",
        "wires.*.length", "outputs.*.at.*", "outputs.*.lead.length", "places.*.at.*",
        "routes.*.path.*.*",
    )
)  # fmt: skip


def house_text(
    data: Mapping[str, Any], *, remarks: str = "", over: Mapping[str, str] | None = None
) -> str:
    """The YAML text of a new house file: what `rounded(data)` holds, with comments.

    `data` is what `house_from` takes, in plain Python. `remarks` are the lines at the head of the
    file; `over` gives the name of a surface the line that stands over it. Raises ValueError for
    what a file cannot hold.
    """
    given = {"format": "evenfall-house/1", **rounded(data)}
    lines = [*_comment(remarks, 0)]
    for key in (*(k for k in ORDER if k in given), *(k for k in given if k not in ORDER)):
        value = given[key]
        if key in _OVER or key in ("measures", "drawing", "kinds") or (lines and _is_long(value)):
            lines.append("")
        lines += _comment(_OVER.get(key, ""), 0)
        if key == "drawing" and isinstance(value, Mapping):
            lines += ["drawing:", *_drawing(value, over or {})]
        else:
            lines += _section(key, value, 0)
    return "\n".join(lines) + "\n"


def rounded(data: Mapping[str, Any]) -> dict[str, Any]:
    """`data` with every length as a number in its own `units`, as `house_text` writes it.

    To 1 mm, or to 1/16 in where the units are feet or inches. What is above zero stays above zero,
    and text that is not a length, such as an expression, stays as it is.
    """
    said = data.get("units", "m")
    units = said if isinstance(said, str) and said in METRES else "m"
    made: dict[str, Any] = _rounded(data, (), units, units)
    return made


def in_units(data: Mapping[str, Any], units: str) -> dict[str, Any]:
    """`data` with its lengths in other `units`, rounded as a new file in these has them."""
    said = data.get("units", "m")
    made: dict[str, Any] = _rounded(data, (), units, said)
    return {**made, "units": units}


def rounded_length(value: float | str, units: str) -> float:
    """A length in `units` as a new file has it. Raises ValueError for what is no length."""
    metres = length_m(value, units)
    step_m = METRES["in"] / 16 if units in ("ft", "in") else 0.001
    steps = round(metres / step_m)
    if steps == 0 and metres:
        return metres / METRES[units]  # a whole step down would be nothing at all
    # Four places tell sixteenths of an inch apart in feet, and three millimetres in metres.
    made = round(steps * step_m / METRES[units], 4)
    return int(made) if made.is_integer() else made


def _rounded(value: Any, path: tuple[str, ...], units: str, said: str) -> Any:
    """`value` with its lengths in `units`; bare ones are in `said`."""
    if isinstance(value, Mapping):
        return {key: _rounded(each, (*path, str(key)), units, said) for key, each in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_rounded(each, (*path, "*"), units, said) for each in value]
    is_length = path in _LENGTHS and isinstance(value, int | float | str)
    if not is_length or isinstance(value, bool):
        return value
    try:
        bare = not isinstance(value, str)
        return rounded_length(value * METRES[said] / METRES[units] if bare else value, units)
    except ValueError:
        return value  # `house_from` tells what is wrong with it, or knows better


def _drawing(drawing: Mapping[str, Any], over: Mapping[str, str]) -> Iterator[str]:
    """The lines of the drawing; what is painted stands last."""
    for key, value in drawing.items():
        if key != "surfaces":
            yield from _section(key, value, 2)
    if "surfaces" not in drawing:
        return
    surfaces = drawing["surfaces"]
    if not surfaces or not isinstance(surfaces, list):
        yield from _section("surfaces", surfaces, 2)
        return
    yield from _comment(_DRAWN, 2)
    yield "  surfaces:"
    for surface in surfaces:
        name = surface.get("name") if isinstance(surface, Mapping) else None
        yield from _comment(over.get(name, "") if isinstance(name, str) else "", 4)
        yield f"    - {inline(surface)}"


def _section(key: str, value: Any, indent: int) -> Iterator[str]:
    """The lines of a key and what it holds."""
    column = " " * indent
    if key in _IN_LINES and isinstance(value, list) and value:
        yield f"{column}{key}:"
        yield from (f"{column}  - {inline(each)}" for each in value)
    elif key == "photo" and isinstance(value, Mapping) and value:
        yield f"{column}{key}:"
        for inner, each in value.items():
            yield from _section(inner, each, indent + 2)
    elif key == "location":
        yield f"{column}{key}: {inline(value)}"
    else:
        yield from pair(key, value, indent, 2)


def _is_long(value: Any) -> bool:
    return isinstance(value, list) and any(isinstance(each, Mapping) for each in value)


def _comment(text: str, indent: int) -> Iterator[str]:
    """The lines of a comment. What would end a line within it is shown as a space."""
    for line in text.strip().split("\n") if text.strip() else ():
        plain = "".join(char if char.isprintable() else " " for char in line).rstrip()
        yield f"{' ' * indent}# {plain}".rstrip()
