"""The picture of a comparison: one house a kind, at one instant and one exposure."""

from __future__ import annotations

from io import BytesIO
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from effects import bind
from effects.colour_spaces import LUMINANCE
from sim.colour import Shift
from sim.frame import frame, scene
from sim.light import USUAL_HOUR, picture
from sim.light.tone import grey_code, srgb_encode
from sim.report.compare import Comparison, KindReport
from sim.report.compare_text import (
    channels_in_words,
    kelvin,
    most_shifted,
    same_for_all,
    shift_in_words,
    white_in_words,
)
from sim.report.text import brightness_percent, clock, number
from sim.report.theme import GROUND, LINE, QUIET, WARM, typeface

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

#: Houses in one row; more go below.
MOST_IN_A_ROW = 3
#: What the luminance scale spans [cd/m²].
SCALE_CD_M2 = (0.01, 100.0)
#: Sheets are read at this width [px] where they stand in a page of text, and their smallest type
#: has this size there: everything is laid out in its em.
READ_AT, SMALLEST = 830, 12.5
LEAST = 12.5  # of a small sheet's type [px]
#: Width of a material's tile [em]; as many are shown as fit, the most shifted ones.
TILE = 9.6
MOST_TILES = 4
DARK_INK = 0.2  # luminance of a tile above which dark type reads better on it


def comparison_png(
    comparison: Comparison,
    *,
    size_px: tuple[int, int] = (960, 640),
    at_s: float | None = None,
    hour: str = USUAL_HOUR,
) -> bytes:
    """PNG of every kind side by side; `size_px` is that of one house.

    `at_s` [s] is the instant shown; left out, the one at which the first kind is brightest. The
    exposure lies half-way between those that would suit the darkest and the brightest kind.
    """
    at_s = comparison.kinds[0].brightest_s if at_s is None else at_s
    houses, exposure_ev = shown(comparison, size_px, at_s, hour)
    sheet = _sheet(comparison, houses, exposure_ev, at_s)
    stream = BytesIO()
    sheet.save(stream, format="PNG")
    return stream.getvalue()


def shown(
    comparison: Comparison, size_px: tuple[int, int], at_s: float, hour: str = USUAL_HOUR
) -> tuple[list[np.ndarray], float]:
    """One (H, W, 3) uint8 picture a kind, and the exposure [EV] they share."""
    scenes = [scene(each.rig.house, size_px, hour) for each in comparison.kinds]
    values = [each.exposure_ev for each in scenes]
    exposure_ev = (min(values) + max(values)) / 2
    return [
        picture(
            place,
            frame(each.rig, bind(each.rig.house, comparison.scheme), at_s).light,
            exposure_ev=exposure_ev,
        )
        for place, each in zip(scenes, comparison.kinds, strict=True)
    ], exposure_ev


def _sheet(
    comparison: Comparison, houses: list[np.ndarray], exposure_ev: float, at_s: float
) -> Image:
    from PIL import Image as pil
    from PIL import ImageDraw

    rows = ceil(len(houses) / MOST_IN_A_ROW)
    columns = ceil(len(houses) / rows)
    height, width = houses[0].shape[:2]
    em = max(columns * width * SMALLEST / READ_AT * 1.06, LEAST)
    margin, gap, head = round(1.3 * em), round(0.9 * em), round(4.6 * em)
    page = pil.new("RGB", (2 * margin + columns * width + (columns - 1) * gap, 1), GROUND)
    materials = most_shifted(comparison)[: min(MOST_TILES, int(width / (TILE * em)))]
    foot, scale_room = round((11.8 if materials else 5.8) * em), round(3 * em)
    sheet = page.resize((page.width, head + rows * (height + foot) + scale_room))
    draw = ImageDraw.Draw(sheet)
    title = f"{comparison.scheme.name} on {comparison.house.name}"
    draw.text((margin, 0.7 * em), title, WARM, typeface(1.75 * em, bold=True))
    said = _conditions(comparison, exposure_ev, at_s, bool(materials))
    _line(draw, (margin, 3.0 * em), said, QUIET, em, sheet.width - 2 * margin)
    for index, (house, report) in enumerate(zip(houses, comparison.kinds, strict=True)):
        left = margin + index % columns * (width + gap)
        top = head + index // columns * (height + foot)
        sheet.paste(pil.fromarray(house), (left, top))
        _label(draw, report, materials, (left, top + height), width, em)
    bottom = head + rows * (height + foot)
    _scale(draw, (margin, bottom), sheet.width - 2 * margin, em, exposure_ev)
    return sheet


def _line(
    draw: ImageDraw,
    at: tuple[float, float],
    text: str,
    colour: tuple[int, int, int],
    size: float,
    room: float,
    anchor: str = "la",
) -> None:
    """One line of type, smaller where its room asks for that."""
    wide = draw.textlength(text, typeface(size))
    draw.text(at, text, colour, typeface(size * min(1.0, room / max(wide, 1.0))), anchor=anchor)


def _conditions(comparison: Comparison, exposure_ev: float, at_s: float, tiles: bool) -> str:
    """What is the same for every kind, and how to read the tiles."""
    watched = comparison.kinds[0].power.scan
    parts = [
        f"the same {same_for_all(comparison)}",
        f"brightness {brightness_percent(watched.brightness)}",
        f"{clock(round(at_s, 1))} into the scheme" if watched.frames > 1 else "",
        f"one exposure: EV {exposure_ev:.1f}",
    ]
    said = ", ".join(part for part in parts if part)
    return said + ("; a tile: how a material should look (asked), how it looks (shown)" * tiles)


def _label(
    draw: ImageDraw,
    report: KindReport,
    materials: list[str],
    at: tuple[int, int],
    width: int,
    em: float,
) -> None:
    left, top = at
    white = report.white.rendition
    draw.text((left, top + 0.5 * em), report.kind.name, WARM, typeface(1.4 * em, bold=True))
    facts = (
        f"{channels_in_words(report)}   white {kelvin(white.cct_k)}, Ra {white_in_words(report)}",
        f"up to {number(report.lumens_peak)} lm   peak {report.peak_a:.1f} A",
    )
    for line, text in enumerate(facts):
        _line(draw, (left, top + (2.45 + 1.3 * line) * em), text, WARM, em, width)
    for index, name in enumerate(materials):
        place = (left + index * width / len(materials), top + 5.5 * em)
        room = width / len(materials) - 0.7 * em
        _swatch(draw, name, report.white.shifts[name], place, room, em)


def _swatch(
    draw: ImageDraw, name: str, shift: Shift, at: tuple[float, float], room: float, em: float
) -> None:
    """A tile of a material, its halves named on it: as it should look, and as it looks."""
    left, top = at
    half = 1.25 * em
    for part, word, rgb in ((0, "asked", shift.should_rgb), (1, "shown", shift.looks_rgb)):
        code = np.rint(255.0 * srgb_encode(np.array(rgb))).astype(int)
        low = top + part * half
        draw.rectangle((left, low, left + room, low + half), tuple(code.tolist()))
        ink = GROUND if LUMINANCE @ np.array(rgb) > DARK_INK else WARM
        draw.text((left + 0.5 * em, low + half / 2), word, ink, typeface(0.94 * em), anchor="lm")
    below = top + 2 * half
    _line(draw, (left, below + 0.3 * em), name, WARM, em, room)
    _line(draw, (left, below + 1.5 * em), shift_in_words(shift), QUIET, em, room)


def _scale(draw: ImageDraw, at: tuple[int, int], width: int, em: float, exposure_ev: float) -> None:
    """How luminances of grey come out at this exposure, along a bar with ticks in cd/m²."""
    left, top = at
    low, high = np.log10(SCALE_CD_M2)
    bar = round(0.7 * em)
    codes = grey_code(10.0 ** np.linspace(low, high, width), exposure_ev)
    for x, code in enumerate(codes.tolist()):
        draw.line((left + x, top, left + x, top + bar), (code, code, code))
    draw.rectangle((left, top, left + width, top + bar), outline=LINE)
    font = typeface(em)
    for power in range(round(low), round(high) + 1):
        x = left + (power - low) / (high - low) * width
        draw.line((x, top + bar, x, top + bar + 0.3 * em), QUIET)
        text = f"{10.0**power:g}" + (" cd/m²" if power == round(high) else "")
        anchor = "la" if power == round(low) else "ra" if power == round(high) else "ma"
        draw.text((x, top + bar + 0.45 * em), text, QUIET, font, anchor=anchor)
