"""How large a drawing is: by a line that a length is written beside, or by the house's width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layouts.errors import InputError, Problem
from layouts.svg.page import Page, Shape, Text
from layouts.units import length_m, length_text

#: A text belongs to a line whose middle is not farther than this share of its length.
BESIDE = 0.6
#: Several labelled lines must agree to this share.
AGREE = 0.02
#: What is shorter on the page is a speck [px]: no scale follows from it.
LEAST_PX = 1e-6
#: A drawn house is at least so wide, and nothing that is drawn lies farther from its corner [m].
LEAST_M, FARTHEST_M = 0.01, 100_000.0


@dataclass(frozen=True)
class Scale:
    """Metres in one px of the page, how that is known, and the shapes that said it."""

    m_per_px: float
    said: str
    lines: tuple[Shape, ...] = ()


def scale_of(page: Page, width: str | None, units: str, house_px: tuple[float, float]) -> Scale:
    """The scale of a page. A `width` given is that of the house, which lies between `house_px`.

    Raises InputError where nothing says it, or two things say different scales; ValueError for a
    width that is none.
    """
    if width is not None:
        try:
            value: float | str = float(width)
        except ValueError:
            value = width
        width_m = length_m(value, units)
        px = house_px[1] - house_px[0]
        if width_m <= 0:
            raise ValueError(f"a house {width} wide cannot be drawn; write a width above zero")
        if px < LEAST_PX:
            what = "all that is drawn has no width"
            raise InputError([Problem(page.file, 1, 1, what, "draw the house's walls")])
        said = f"the house, {length_text(width_m, units)} wide, is {px:g} px wide in the drawing"
        return Scale(width_m / px, said, tuple(line for line, _, _ in labelled(page)))
    found = labelled(page)
    if not found:
        what = "nothing says how large this is"
        do = (
            "draw a line along something you know and write its length beside it, like '4.2 m',"
            ' or give the width of the house: --width "12 m"'
        )
        raise InputError([Problem(page.file, 1, 1, what, do)])
    scales = [metres / _length(line) for line, metres, _ in found]
    if max(scales) > min(scales) * (1 + AGREE):
        problems = [
            Problem(
                page.file,
                *line.at,
                f"this line says {1 / scale:g} px for a metre, another something else",
                "correct one of them, or give --width",
            )
            for (line, _, _), scale in zip(found, scales, strict=True)
        ]
        raise InputError(problems)
    scale = float(np.mean(scales))
    line, _, text = found[0]
    said = f"the line of line {line.at[0]}, labelled '{text}', is {_length(line):g} px long"
    return Scale(scale, said, tuple(each for each, _, _ in found))


def check_reach(
    page: Page, scale: Scale, house_px: tuple[float, float], boxes: Sequence[Sequence[float]]
) -> None:
    """Raises InputError where a drawing of this scale is of no house, with the shapes too far;
    `boxes` are theirs."""
    wide_m = (house_px[1] - house_px[0]) * scale.m_per_px
    if not LEAST_M <= wide_m <= FARTHEST_M:
        what = f"at this scale all that is drawn is {wide_m:.3g} m wide: {scale.said}"
        do = "correct the scale, or the drawing's coordinates"
        raise InputError([Problem(page.file, 1, 1, what, do)])
    problems = []
    for shape, box in zip(page.shapes, boxes, strict=True):
        far_m = max(map(abs, box)) * scale.m_per_px
        if far_m > FARTHEST_M:
            what = f"at this scale this lies {far_m / 1000:.3g} km from the corner of the page"
            do = "look at its coordinates, or correct the scale"
            problems.append(Problem(page.file, *shape.at, what, do))
    if problems:
        raise InputError(problems)


def labelled(page: Page) -> list[tuple[Shape, float, str]]:
    """The straight lines that say a length [m], by a label of theirs or a text beside them."""
    straight = [each for each in page.shapes if _is_straight(each)]
    found: dict[int, tuple[Shape, float, str]] = {}
    for line in straight:
        for label in line.labels:
            metres = _metres(label)
            if metres:
                found[id(line)] = (line, metres, label)
    for text in page.texts:
        metres = _metres(text.text)
        beside = _beside(text, straight) if metres else None
        if metres and beside is not None:
            found.setdefault(id(beside), (beside, metres, text.text))
    return list(found.values())


def _metres(text: str) -> float:
    try:
        return length_m(text)
    except ValueError:
        return 0.0


def _is_straight(shape: Shape) -> bool:
    return (
        shape.stroked and shape.fill is None and len(shape.path) == 2 and _length(shape) >= LEAST_PX
    )


def _length(line: Shape) -> float:
    ends = line.path[1]
    return float(np.hypot(ends.end.x - ends.start.x, ends.end.y - ends.start.y))


def _beside(text: Text, lines: list[Shape]) -> Shape | None:
    """The line a text belongs to: the only one of its group, or the nearest that is near."""
    own = [line for line in lines if line.group == text.group and text.group]
    if len(own) == 1:
        return own[0]
    near = [(_apart(text, line), line) for line in own or lines]
    near = [(apart, line) for apart, line in near if apart <= BESIDE * _length(line)]
    return min(near, key=lambda each: each[0])[1] if near else None


def _apart(text: Text, line: Shape) -> float:
    ends = line.path[1]
    middle = (ends.end.x + ends.start.x) / 2, (ends.end.y + ends.start.y) / 2
    return float(np.hypot(text.xy[0] - middle[0], text.xy[1] - middle[1]))
