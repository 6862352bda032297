"""What a filled shape says beyond its colour: whether white is trim, how far it stands out."""

from __future__ import annotations

from collections.abc import Collection

from layouts.svg.page import Shape, box_of
from layouts.units import length_m

#: What is white and small beside the largest shape is a frame or a board, not a wall.
WHITE_WALLS = ("lap-siding-white", "render-white")
TRIM = "trim-white"
SMALL = 0.1  # of the area around the largest [common practice, no source]
FARTHEST_M = 20  # that a surface stands before the wall or behind it


def with_trim(
    chosen: dict[int, tuple[str, str]], walls: list[Shape], materials: Collection[str]
) -> dict[int, tuple[str, str]]:
    """The materials by the ids of shapes, with white trim for what is white and small.

    Only what was chosen by its colour changes: a label is believed.
    """
    if TRIM not in materials:
        return chosen
    largest = max((_spread(each) for each in walls), default=0.0)
    small = [each for each in walls if _spread(each) < SMALL * largest]
    made = dict(chosen)
    for material, said, key in [(*chosen[id(each)], id(each)) for each in small]:
        if material in WHITE_WALLS and ", nearest to " in said:
            made[key] = TRIM, said.replace(material, TRIM)
    return made


def depth_of(shape: Shape, units: str) -> tuple[float, str]:
    """How far a surface stands before the wall [m], and what to say of it.

    `data-depth` of the shape or its group says it: a length, or a number in `units`.
    """
    text = shape.depth.strip()
    if not text:
        return 0.0, ""
    try:
        metres = length_m(_number(text), units)
    except ValueError:
        return 0.0, f"; its data-depth '{text}' is no length; write it like '40 cm'"
    if abs(metres) > FARTHEST_M:
        return 0.0, f"; its data-depth '{text}' is more than {FARTHEST_M} m"
    return metres, f"; {text} before the wall"


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _spread(shape: Shape) -> float:
    """The area around a shape [px²]."""
    x0, y0, x1, y1 = box_of(shape)
    return (x1 - x0) * (y1 - y0)
