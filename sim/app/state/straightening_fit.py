"""How the marks fix the wall: the fit, its error, and what is still missing, in words. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from layouts.photograph import (
    DrawnLine,
    LensFit,
    Plane,
    UnfitPoints,
    errors_m,
    fit_plane,
    lens_from_lines,
    metres_per_pixel,
    plane_from_lengths,
    to_wall,
)
from layouts.units import length_m
from sim.app.state.straightening import Handle, MarkedShape, Pixel, Shapes

_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)")


@dataclass(frozen=True, eq=False)
class Fit:
    """What the marks say. `plane` is None while they do not fix a wall; then `missing` says why."""

    plane: Plane | None = None
    lens: LensFit | None = None
    errors_m: tuple[tuple[Handle, float], ...] = ()  # of each mark, or of each measured line
    worth_m: tuple[float, float] | None = None  # what a pixel is on the wall, least and most
    missing: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def overall_m(self) -> float | None:
        """Root mean square of the errors; None where there are too few to tell."""
        each = [error for _, error in self.errors_m]
        return float(np.sqrt(np.mean(np.square(each)))) if each else None


def length_of(text: str, units: str) -> float:
    """A typed length [m]; a bare number is in the units of the house. Raises ValueError."""
    text = text.strip()
    if _NUMBER.fullmatch(text):
        return length_m(float(text), units)
    if not text:
        raise ValueError("nothing is typed")
    return length_m(text)


def place_of(text: str, units: str) -> tuple[float, float]:
    """`x, y` [m]. Raises ValueError."""
    parts = text.split(",")
    if len(parts) != 2:
        raise ValueError(f"'{text}' is no place; write x, y, such as 3.2 m, 0 m")
    return length_of(parts[0], units), length_of(parts[1], units)


def rectangle_of(text: str, units: str) -> tuple[float, float, float, float]:
    """`width x height`, maybe `at x, y` of its lower left → x, y, width, height [m]."""
    size, _, at = text.partition(" at ")
    parts = re.split(r"[x×*]", size)
    if len(parts) != 2:
        raise ValueError(f"'{text}' is no size; write width x height, such as 0.9 m x 2 m")
    wide, tall = length_of(parts[0], units), length_of(parts[1], units)
    if not (wide > 0 and tall > 0):
        raise ValueError("width and height must be above 0")
    x, y = place_of(at, units) if at else (0.0, 0.0)
    return x, y, wide, tall


def check(shape: MarkedShape, text: str, units: str) -> str:
    """What is wrong with a text for a shape; "" where nothing is."""
    try:
        if shape.kind == "point":
            place_of(text, units)
        elif shape.kind == "rectangle":
            rectangle_of(text, units)
        elif text.strip() and not length_of(text, units) > 0:
            return "a length must be above 0"
    except ValueError as error:
        return str(error)
    return ""


@lru_cache(maxsize=8)
def fit_of(shapes: Shapes, units: str, photo_px: tuple[int, int]) -> Fit:
    """The wall as the marks say it."""
    lens, notes = _lens(shapes, photo_px)
    terms = lens.lens if lens else (0.0, 0.0)
    known = [one for one in shapes if one.kind in ("point", "rectangle")]
    lines = [one for one in shapes if one.kind == "length"]
    if known and lines:
        missing = ("Places and lengths both say how large the wall is: remove one kind",)
        return Fit(None, lens, missing=missing, notes=notes)
    untold = [name for name, one in names(shapes)
              if one.kind in ("point", "rectangle") and check(one, one.text, units)]  # fmt: skip
    if untold:
        return Fit(None, lens, missing=(f"Type what is known of {', '.join(untold)}",), notes=notes)
    try:
        if lines:
            return _by_lengths(shapes, units, photo_px, lens, notes)
        handles, pixel, at = known_marks(shapes, units)
        if not handles:
            return Fit(None, lens, missing=("Nothing is known of the wall yet",), notes=notes)
        plane = fit_plane(pixel, at, photo_px, terms)
    except UnfitPoints as wrong:
        return Fit(None, lens, missing=(f"{_upper(wrong.what)}; {wrong.do}",), notes=notes)
    errors = tuple(zip(handles, map(float, errors_m(plane, pixel, at)), strict=True))
    worth = metres_per_pixel(plane, at)
    if len(pixel) == 4:
        notes = (*notes, "Four marks always fit. A fifth point shows whether one is off.")
        errors = ()
    return Fit(plane, lens, errors, (float(worth.min()), float(worth.max())), notes=notes)


def known_marks(shapes: Shapes, units: str) -> tuple[list[Handle], np.ndarray, np.ndarray]:
    """Every mark whose place is known: which, (N, 2) its pixel, (N, 2) its place [m]."""
    handles, pixel, at = [], [], []
    for index, shape in enumerate(shapes):
        if shape.kind == "point":
            at.append(place_of(shape.text, units))
        elif shape.kind == "rectangle":
            x, y, w, h = rectangle_of(shape.text, units)
            at += [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        else:
            continue
        handles += [Handle(index, mark) for mark in range(len(shape.pixel))]
        pixel += list(shape.pixel)
    return handles, np.array(pixel).reshape(-1, 2), np.array(at).reshape(-1, 2)


def names(shapes: Shapes) -> list[tuple[str, MarkedShape]]:
    """Each shape with a letter of its own, as on the photograph: A, B … Z, AA …"""
    return [(_letter(index), shape) for index, shape in enumerate(shapes)]


def flags(shapes: Shapes, units: str, fit: Fit) -> tuple[list[str], list[str], list[str]]:
    """What the marks say in the words of `new --photo`: points, eaves, lengths."""
    _, pixel, at = known_marks(shapes, units)
    points = [f"{u:.3f},{v:.3f} = {x:.6g} m, {y:.6g} m"
              for (u, v), (x, y) in zip(pixel.tolist(), at.tolist(), strict=True)]  # fmt: skip
    eaves, lengths = [], []
    for shape in shapes:
        drawn = " ".join(f"{one.u:.3f},{one.v:.3f}" for one in shape.pixel)
        if shape.kind == "eave" and fit.lens is not None:
            eaves.append(drawn)
        elif shape.kind == "length":
            told = f" = {length_of(shape.text, units):.6g} m" if shape.text else ""
            lengths.append(drawn + told)
    return points, eaves, lengths


def viewer_flag(text: str, units: str) -> str | None:
    """The viewer's distance in the words of `new --photo`; None where nothing is typed."""
    return f"{length_of(text, units):.6g} m" if text.strip() else None


def _lens(shapes: Shapes, photo_px: tuple[int, int]) -> tuple[LensFit | None, tuple[str, ...]]:
    lines = [np.array(one.pixel) for one in shapes if one.kind == "eave"]
    if not lines:
        return None, ()
    try:
        return lens_from_lines(lines, photo_px), ()
    except UnfitPoints as wrong:
        return None, (f"The lens is taken for perfect: {wrong.what}",)


def _by_lengths(
    shapes: Shapes, units: str, photo_px: tuple[int, int], lens: LensFit | None,
    notes: tuple[str, ...],
) -> Fit:  # fmt: skip
    level: list[DrawnLine] = []
    upright: list[DrawnLine] = []
    measured = []
    for index, shape in enumerate(shapes):
        if shape.kind != "length":
            continue
        a, b = shape.pixel
        known_m = length_of(shape.text, units) if shape.text else None
        across = abs(b.u - a.u) >= abs(b.v - a.v)
        ends = sorted((a, b), key=_left) if across else sorted((a, b), key=_low)
        line = DrawnLine(np.array(ends), known_m)
        (level if across else upright).append(line)
        if known_m is not None:
            measured.append((Handle(index, 0), line))
    plane = plane_from_lengths(level, upright, photo_px, lens.lens if lens else (0.0, 0.0))
    errors, places = [], []
    for handle, line in measured:
        ends_m = to_wall(plane, line.pixel)
        places.append(ends_m)
        assert line.length_m is not None
        errors.append((handle, abs(float(np.hypot(*(ends_m[1] - ends_m[0]))) - line.length_m)))
    worth = metres_per_pixel(plane, np.concatenate(places))
    if len(measured) == 2:
        notes = (*notes, "Two lengths always fit. A third shows whether one is off.")
        errors = []
    spread = (float(worth.min()), float(worth.max()))
    return Fit(plane, lens, tuple(errors), spread, notes=notes)


def _left(one: Pixel) -> float:
    return one.u


def _low(one: Pixel) -> float:
    return -one.v


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _letter(index: int) -> str:
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
