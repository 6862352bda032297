"""What `--point`, `--eaves`, `--length` and `--viewer` say, with everything wrong told at once."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from layouts.errors import EvenfallError, InputError, Problem

if TYPE_CHECKING:
    from layouts.photograph import DrawnLine

_NUMBER = r"-?(?:\d+(?:\.\d*)?|\.\d+)"
_PIXEL = re.compile(rf"\s*({_NUMBER})\s*,\s*({_NUMBER})\s*")
_PIXELS = re.compile(rf"(?:^|[\s;-])\s*({_NUMBER})\s*,\s*({_NUMBER})(?=$|[\s;-])")


def in_units(units: str | None) -> str:
    """The units of a new file; raises EvenfallError for what is none."""
    from layouts.units import METRES

    if units is None:
        return "m"
    if units not in METRES:
        raise EvenfallError(f"--units: '{units}' is no unit of length; write m, cm, mm, ft or in")
    return units


def viewer_m(text: str | None, units: str) -> float | None:
    """How far away the camera stood [m]."""
    if text is None:
        return None
    away = _length(text, units)
    if isinstance(away, str) or not away > 0:
        what = away if isinstance(away, str) else f"'{text}' is not in front of the wall"
        raise InputError([Problem("--viewer", 0, 0, what, "write it like '12 m'")])
    return away


def known_pairs(
    texts: list[str], units: str, size_px: tuple[int, int]
) -> tuple[np.ndarray, np.ndarray]:
    """`u,v = x,y` -> (N, 2) pixels and (N, 2) places [m]."""
    wrong, pixels, places = [], [], []
    for number, text in enumerate(texts, 1):
        left, equals, right = text.partition("=")
        seen, parts = _PIXEL.fullmatch(left), right.split(",")
        where = f"--point {number}"
        if not (equals and seen and len(parts) == 2):
            do = "write it like '412,988 = 0 m, 3 m'"
            wrong.append(Problem(where, 0, 0, f"'{text}' is no pixel = place", do))
            continue
        pixel = (float(seen[1]), float(seen[2]))
        wrong += _outside(where, pixel, size_px)
        at = [_length(part, units) for part in parts]
        wrong += [Problem(where, 0, 0, each) for each in at if isinstance(each, str)]
        pixels.append(pixel)
        places.append([0.0 if isinstance(each, str) else each for each in at])
    if wrong:
        raise InputError(wrong)
    return np.array(pixels), np.array(places)


def eave_lines(texts: list[str], size_px: tuple[int, int]) -> list[np.ndarray]:
    """`u,v u,v u,v` -> (K ≥ 3, 2) pixels of each."""
    wrong: list[Problem] = []
    lines = []
    for number, text in enumerate(texts, 1):
        where = f"--eaves {number}"
        pixels = _pixels(text)
        if pixels is None or len(pixels) < 3:
            do = "write three pixels or more along it, like '100,420 800,396 1500,401'"
            wrong.append(Problem(where, 0, 0, f"'{text}' is no line of pixels", do))
            continue
        for pixel in pixels:
            wrong += _outside(where, pixel, size_px)
        lines.append(np.array(pixels))
    if wrong:
        raise InputError(wrong)
    return lines


def lines_of(
    texts: list[str], units: str, size_px: tuple[int, int]
) -> tuple[list[DrawnLine], list[DrawnLine]]:
    """`u,v u,v = 8 m` or without a length -> the level and the upright lines.

    A line is level where it runs more across the picture than down it.
    """
    from layouts.photograph import DrawnLine

    wrong: list[Problem] = []
    level, upright = [], []
    for number, text in enumerate(texts, 1):
        where = f"--length {number}"
        left, equals, right = text.partition("=")
        pixels = _pixels(left)
        length = _length(right, units) if equals else None
        if pixels is None or len(pixels) != 2 or pixels[0] == pixels[1]:
            do = "write it like '412,988 1890,1004 = 8 m'"
            wrong.append(Problem(where, 0, 0, f"'{text}' is no line between two pixels", do))
            continue
        if isinstance(length, str):
            wrong.append(Problem(where, 0, 0, length))
            continue
        for pixel in pixels:
            wrong += _outside(where, pixel, size_px)
        (au, av), (bu, bv) = pixels
        if abs(bu - au) >= abs(bv - av):
            level.append(DrawnLine(np.array(sorted(pixels)), length))
        else:
            upward = sorted(pixels, key=lambda pixel: -pixel[1])
            upright.append(DrawnLine(np.array(upward), length))
    if wrong:
        raise InputError(wrong)
    return level, upright


def _pixels(text: str) -> list[tuple[float, float]] | None:
    """Pixels between blanks, semicolons or dashes; None where anything else is among them."""
    found = [(float(u), float(v)) for u, v in _PIXELS.findall(text.strip())]
    rest = _PIXELS.sub("", text.strip())
    return found if found and not rest.strip(" ;-") else None


def _outside(where: str, pixel: tuple[float, float], size_px: tuple[int, int]) -> list[Problem]:
    (u, v), (wide, tall) = pixel, size_px
    if 0 <= u <= wide and 0 <= v <= tall:
        return []
    what = f"pixel {u:g},{v:g} lies outside the photo, which is {wide} × {tall}"
    return [Problem(where, 0, 0, what, "count from the upper left of the picture as it is seen")]


def _length(text: str, units: str) -> float | str:
    """A length [m], or what is wrong with it."""
    from layouts.units import length_m

    try:
        try:
            return length_m(float(text), units)
        except ValueError:
            return length_m(text)
    except ValueError as error:
        return str(error)
