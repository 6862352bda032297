"""The picture of a comparison: one house a kind, at one instant and one exposure."""

from __future__ import annotations

from io import BytesIO
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from effects import bind
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
from sim.report.text import clock, number, percent
from sim.report.theme import GROUND, LINE, QUIET, WARM, typeface

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

#: Houses in one row; more go below.
MOST_IN_A_ROW = 3
#: What the luminance scale spans [cd/m²].
SCALE_CD_M2 = (0.01, 100.0)
#: Type does not shrink below this share of its size in a house 960 pixels wide.
SMALLEST = 0.72
#: Width of a material's tile and its words; as many are shown as fit, the most shifted ones.
TILE = 235


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
    unit = max(width / 960, SMALLEST)  # everything is laid out for a house 960 pixels wide
    materials = most_shifted(comparison)[: int(width / (TILE * unit))]
    room_below = 196 if materials else 124
    margin, gap, head, foot, scale_room = (round(unit * px) for px in (40, 28, 116, room_below, 84))
    sheet = pil.new(
        "RGB",
        (
            2 * margin + columns * width + (columns - 1) * gap,
            head + rows * (height + foot) + scale_room,
        ),
        GROUND,
    )
    draw = ImageDraw.Draw(sheet)
    title = f"{comparison.scheme.name} on {comparison.house.name}"
    draw.text((margin, unit * 28), title, WARM, typeface(unit * 34, bold=True))
    said = _conditions(comparison, exposure_ev, at_s, bool(materials))
    draw.text((margin, unit * 74), said, QUIET, typeface(unit * 18))
    for index, (house, report) in enumerate(zip(houses, comparison.kinds, strict=True)):
        left = margin + index % columns * (width + gap)
        top = head + index // columns * (height + foot)
        sheet.paste(pil.fromarray(house), (left, top))
        _label(draw, report, materials, (left, top + height), width, unit)
    bottom = head + rows * (height + foot)
    _scale(draw, (margin, bottom), sheet.width - 2 * margin, unit, exposure_ev)
    return sheet


def _conditions(comparison: Comparison, exposure_ev: float, at_s: float, tiles: bool) -> str:
    """What is the same for every kind, and how to read the tiles."""
    watched = comparison.kinds[0].power.scan
    parts = [
        f"the same {same_for_all(comparison)}",
        f"brightness {percent(watched.brightness)}",
        f"{clock(round(at_s, 1))} into the scheme" if watched.frames > 1 else "",
        f"one exposure: EV {exposure_ev:.1f}",
    ]
    said = ", ".join(part for part in parts if part)
    return said + ("; tiles: above as a material should look, below as it looks" * tiles)


def _label(
    draw: ImageDraw,
    report: KindReport,
    materials: list[str],
    at: tuple[int, int],
    width: int,
    unit: float,
) -> None:
    left, top = at
    white = report.white.rendition
    draw.text((left, top + unit * 16), report.kind.name, WARM, typeface(unit * 26, bold=True))
    facts = (
        f"{channels_in_words(report)}   up to {number(report.lumens_peak)} lm   "
        f"peak {report.peak_a:.1f} A   white {kelvin(white.cct_k)}, Ra {white_in_words(report)}"
    )
    draw.text((left, top + unit * 54), facts, WARM, typeface(unit * 18))
    for index, name in enumerate(materials):
        _swatch(
            draw,
            name,
            report.white.shifts[name],
            (left + index * width / len(materials), top),
            unit,
        )


def _swatch(draw: ImageDraw, name: str, shift: Shift, at: tuple[float, float], unit: float) -> None:
    """A tile of a material: upper half as it should look, lower half as it looks."""
    left, top = at[0], at[1] + unit * 96
    side = unit * 52
    should, looks = (
        tuple(np.rint(255.0 * srgb_encode(np.array(rgb))).astype(int).tolist())
        for rgb in (shift.should_rgb, shift.looks_rgb)
    )
    draw.rectangle((left, top, left + side, top + side), looks)
    draw.rectangle((left, top, left + side, top + side / 2), should)
    beside, small = left + side + unit * 10, typeface(unit * 15)
    draw.text((beside, top + unit * 4), name, WARM, small)
    draw.text((beside, top + unit * 26), shift_in_words(shift), QUIET, small)


def _scale(
    draw: ImageDraw, at: tuple[int, int], width: int, unit: float, exposure_ev: float
) -> None:
    """How luminances of grey come out at this exposure, along a bar with ticks in cd/m²."""
    left, top = at
    low, high = np.log10(SCALE_CD_M2)
    bar = round(unit * 14)
    codes = grey_code(10.0 ** np.linspace(low, high, width), exposure_ev)
    for x, code in enumerate(codes.tolist()):
        draw.line((left + x, top, left + x, top + bar), (code, code, code))
    draw.rectangle((left, top, left + width, top + bar), outline=LINE)
    font = typeface(unit * 15)
    for power in range(round(low), round(high) + 1):
        x = left + (power - low) / (high - low) * width
        draw.line((x, top + bar, x, top + bar + unit * 6), QUIET)
        text = f"{10.0**power:g}" + (" cd/m²" if power == round(high) else "")
        anchor = "la" if power == round(low) else "ra" if power == round(high) else "ma"
        draw.text((x, top + bar + unit * 10), text, QUIET, font, anchor=anchor)
