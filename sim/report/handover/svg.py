"""Drawings of the document as SVG: a few shapes, words of a known width, nothing unescaped.

Colours stand in the attributes, as on paper, and by class, so that a style sheet around the drawing
changes them for a dark screen. Every line of words is set to the width it was measured with, so
what was kept apart stays apart in whatever type the reader has.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from sim.report.handover.clean import clean
from sim.report.theme import LIGHT, typeface

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

#: Colours of supplies, told apart with every kind of colour vision; every mark has its number too.
#: Source: M. Okabe, K. Ito, Color Universal Design (2008), without black and without its yellow,
#: which is not seen on paper.
SUPPLIES = ("#d55e00", "#0072b2", "#009e73", "#cc79a7", "#e69f00", "#56b4e9")
#: Class of a colour -> on paper, as the style sheet of the document names them.
INKS = {
    "ink": LIGHT["text"],
    "soft": LIGHT["quiet"],
    "hair": LIGHT["line"],
    "ground": LIGHT["sky"],
    "tint": LIGHT["deep"],
    "shade": LIGHT["wall"],
    "gold": LIGHT["warm"],
    **{f"s{n}": colour for n, colour in enumerate(SUPPLIES)},
}
FAMILY = '"Noto Sans", "Segoe UI", "Liberation Sans", Arial, sans-serif'
_MEASURED_PX = 100


def supply_ink(number: int) -> str:
    """The class of the colour of a supply; of what hangs on none, a quiet one."""
    return "soft" if number < 0 else f"s{number % len(SUPPLIES)}"


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a line of words is."""
    return _font(bold).getlength(clean(text)) * size / _MEASURED_PX


def fitted(text: str, size: float, most: float, *, bold: bool = False) -> str:
    """The text, its end left out where it is wider than `most`."""
    text = clean(text)
    if width_of(text, size, bold=bold) <= most:
        return text
    while text and width_of(text + "…", size, bold=bold) > most:
        text = text[:-1]
    return text.rstrip() + "…"


def text(
    x: float,
    y: float,
    words: str,
    size: float,
    *,
    ink: str = "ink",
    bold: bool = False,
    anchor: str = "start",
) -> Markup:
    """A line of words; `y` is its base line, `x` its start, middle or end."""
    said = clean(words)
    if not said.strip():
        return Markup("")
    wide = width_of(said, size, bold=bold)
    given: dict[str, object] = {
        "x": x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor],
        "y": y,
        "font-size": size,
        "textLength": wide,
        "lengthAdjust": "spacingAndGlyphs",
        "class": f"f-{ink}",
        "fill": INKS[ink],
    }
    if bold:
        given["font-weight"] = "bold"
    return element("text", given, [escape(said)])


def line(
    points: Iterable[Iterable[float]],
    width: float,
    *,
    ink: str = "ink",
    dash: str = "",
    fill: str = "",
) -> Markup:
    """A line through points, or with `fill` the area within."""
    pairs = " ".join(",".join(_plain(number) for number in point) for point in points)
    given: dict[str, object] = {"points": pairs, "stroke-width": width, "stroke-linejoin": "round"}
    given |= {"class": f"l-{ink}{f' f-{fill}' if fill else ''}", "stroke": INKS[ink]}
    given["fill"] = INKS[fill] if fill else "none"
    if dash:
        given["stroke-dasharray"] = dash
    return element("polygon" if fill else "polyline", given)


def rect(
    x: float,
    y: float,
    w: float,
    h: float,
    *,
    ink: str = "ink",
    fill: str = "ground",
    width: float = 1.2,
    round_: float = 0.0,
) -> Markup:
    """A box."""
    return element(
        "rect",
        {
            "x": x,
            "y": y,
            "width": w,
            "height": h,
            "rx": round_,
            "stroke-width": width,
            "class": f"l-{ink} f-{fill}",
            "stroke": INKS[ink],
            "fill": INKS[fill],
        },
    )


def swatch(x: float, y: float, w: float, h: float, colour: str) -> Markup:
    """A patch of a scheme's own colour, #rrggbb, without a line around it."""
    return element("rect", {"x": x, "y": y, "width": w, "height": h, "fill": colour})


def frame(
    x: float, y: float, w: float, h: float, *, ink: str = "soft", width: float = 0.8
) -> Markup:
    """The line around an area: a patch as white as the paper, or as dark as a screen, is seen."""
    given: dict[str, object] = {"x": x, "y": y, "width": w, "height": h, "stroke-width": width}
    given |= {"class": f"l-{ink}", "stroke": INKS[ink], "fill": "none"}
    return element("rect", given)


def circle(
    x: float,
    y: float,
    radius: float,
    *,
    ink: str = "ink",
    fill: str = "ground",
    width: float = 1.2,
) -> Markup:
    """A disc."""
    return element(
        "circle",
        {
            "cx": x,
            "cy": y,
            "r": radius,
            "stroke-width": width,
            "class": f"l-{ink} f-{fill}",
            "stroke": INKS[ink],
            "fill": INKS[fill],
        },
    )


def drawing(width: float, height: float, said: str, parts: Iterable[Markup]) -> Markup:
    """The whole drawing; `said` tells in words what it shows."""
    given = {
        "viewBox": f"0 0 {_plain(width)} {_plain(height)}",
        "width": _plain(width),
        "height": _plain(height),
        "role": "img",
        "font-family": FAMILY,
        "aria-label": clean(said),
    }
    return element("svg", {"xmlns": "http://www.w3.org/2000/svg", **given}, parts)


def element(name: str, given: Mapping[str, object], inner: Iterable[Markup] = ()) -> Markup:
    """One element, everything in it escaped."""
    attributes = "".join(
        f' {key}="{escape(_plain(value))}"' for key, value in given.items() if value != ""
    )
    return Markup(f"<{name}{attributes}>{''.join(inner)}</{name}>")


def _plain(value: object) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


@cache
def _font(bold: bool) -> FreeTypeFont:
    return typeface(_MEASURED_PX, bold)
