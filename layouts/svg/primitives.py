"""Paths of the basic shapes, from the attributes that say their size; and lengths in px."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from svgelements import Path

#: Coordinates beyond are a slip of the pen, or mean to do harm.
FARTHEST = 1e7
MOST = f"every number must be less than {FARTHEST:.0f}"
NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?(?:px|deg)?"

#: Pixels in one of each unit: CSS Values 4, section 6.2, 96 px are an inch.
PX = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "Q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}
_LENGTH = re.compile(r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(px|in|cm|mm|Q|pt|pc|)")


def length_px(text: str) -> float | None:
    """A length of SVG in px; None for a share of the page and for what is none."""
    found = _LENGTH.fullmatch(text.strip())
    value = float(found[1]) * PX[found[2]] if found else math.inf
    return value if abs(value) < FARTHEST else None


def is_length(text: str) -> bool:
    """Whether a text is a length of SVG, however large."""
    return _LENGTH.fullmatch(text.strip()) is not None


def lies_on_a_page(path: Iterable[Any]) -> bool:
    """Whether every number of a path's segments is nearer than `FARTHEST`.

    Raises TypeError and its kin where one is missing.
    """
    for segment in path:
        turned = [segment.rx, segment.ry] if hasattr(segment, "rx") else []
        names = ("start", "control", "control1", "control2", "center", "end")
        points = [getattr(segment, name, None) for name in names]
        values = [float(v) for point in points if point is not None for v in (point.x, point.y)]
        if not all(abs(value) < FARTHEST for value in (*values, *map(float, turned))):
            return False
    return True


def _sizes(attributes: Mapping[str, str], *keys: str) -> Iterator[float]:
    for key in keys:
        text = attributes.get(key, "0")
        value = length_px(text)
        if value is None and is_length(text):
            raise OverflowError(f"{key} lies beyond any page: {text}")
        if value is None:
            raise ValueError(f"{key} is no length: {text}")
        yield value


def _rect(attributes: Mapping[str, str]) -> Path | None:
    from svgelements import Path, Rect

    x, y, width, height, rx, ry = _sizes(attributes, "x", "y", "width", "height", "rx", "ry")
    if "rx" not in attributes or "ry" not in attributes:  # one stands for both
        rx = ry = rx or ry
    if width <= 0 or height <= 0:
        return None
    return Path(Rect(x, y, width, height, min(rx, width / 2), min(ry, height / 2)))


def _round(attributes: Mapping[str, str], *radii: str) -> Path | None:
    from svgelements import Ellipse, Path

    cx, cy, rx, ry = _sizes(attributes, "cx", "cy", radii[0], radii[-1])
    return Path(Ellipse(cx, cy, rx, ry)) if rx > 0 and ry > 0 else None


def _line(attributes: Mapping[str, str]) -> Path:
    from svgelements import Path

    x1, y1, x2, y2 = _sizes(attributes, "x1", "y1", "x2", "y2")
    return Path(f"M {x1!r},{y1!r} L {x2!r},{y2!r}")


def _poly(attributes: Mapping[str, str], closed: str = "") -> Path | None:
    from svgelements import Path

    numbers = [float(each) for each in re.findall(NUMBER, attributes.get("points", ""))]
    rest = re.sub(NUMBER, "", attributes.get("points", "")).replace(",", "").strip()
    if rest or len(numbers) % 2:
        raise ValueError("not pairs of numbers")
    if len(numbers) < 4:
        return None
    pairs = " L ".join(f"{numbers[i]!r},{numbers[i + 1]!r}" for i in range(0, len(numbers), 2))
    return Path(f"M {pairs}{closed}")


def path_of(data: str) -> Path:
    """The path that path data says. Raises ValueError and its kin where it cannot be read.

    The library mirrors the control point of any curve before an S or T; SVG 2, 9.3.6 and 9.3.7,
    has it mirrored only where that curve is of the same degree, and else be the current point.
    """
    from svgelements import CubicBezier, Path, QuadraticBezier

    path = Path(data)
    before: Any = None
    for segment in path:
        if getattr(segment, "smooth", False):
            if isinstance(segment, CubicBezier):
                same = isinstance(before, CubicBezier)
                point = before.control2.reflected_across(segment.start) if same else segment.start
                segment.control1 = point
            elif isinstance(segment, QuadraticBezier):
                same = isinstance(before, QuadraticBezier)
                point = before.control.reflected_across(segment.start) if same else segment.start
                segment.control = point
        before = segment
    return path


def _path(attributes: Mapping[str, str]) -> Path | None:
    data = attributes.get("d", "").strip()
    return path_of(data) if data not in ("", "none") else None


MAKE: dict[str, Callable[[Mapping[str, str]], Path | None]] = {
    "path": _path,
    "rect": _rect,
    "circle": lambda attributes: _round(attributes, "r"),
    "ellipse": lambda attributes: _round(attributes, "rx", "ry"),
    "line": _line,
    "polyline": _poly,
    "polygon": lambda attributes: _poly(attributes, " Z"),
}
