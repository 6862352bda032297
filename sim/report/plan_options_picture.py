"""The picture of options: the house planned with each kind, at one exposure, figures below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from layouts.errors import EvenfallError
from sim.frame import scene
from sim.light import USUAL_HOUR, picture
from sim.report.cautions import WIRING
from sim.report.compare_text import kelvin
from sim.report.plan_options import Option, PlannedLoad
from sim.report.plan_options_text import load_in_words, price_in_words, ra_in_words
from sim.report.text import amps, count, number
from sim.report.theme import GROUND, LINE, QUIET, WARM, typeface

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

#: Houses in one row; more go below.
MOST_IN_A_ROW = 3
#: Type does not shrink below this share of its size in a house 960 pixels wide.
SMALLEST = 0.72
#: [px] below each house and around, for a house 960 pixels wide.
_ROOM, _MARGIN, _GAP, _HEAD = 236, 40, 28, 122


def options_png(
    house: str,
    load: PlannedLoad,
    options: Sequence[Option],
    *,
    size_px: tuple[int, int] = (640, 427),
    hour: str = USUAL_HOUR,
) -> bytes:
    """PNG of every option side by side; `size_px` is that of one house.

    Each shows the instant at which it is brightest. The exposure lies half-way between those that
    suit the darkest and the brightest option. One that cannot be built is an empty frame that
    says why. Raises EvenfallError where none can be built.
    """
    houses, exposure_ev = shown(options, size_px, hour)
    sheet = _sheet(house, load, options, houses, exposure_ev, size_px)
    stream = BytesIO()
    sheet.save(stream, format="PNG")
    return stream.getvalue()


def shown(
    options: Sequence[Option], size_px: tuple[int, int], hour: str = USUAL_HOUR
) -> tuple[list[np.ndarray | None], float]:
    """One (H, W, 3) uint8 picture an option, None where it cannot be built, and the exposure."""
    lit = [each.built for each in options]
    scenes = [None if each is None else scene(each.plan.house, size_px, hour) for each in lit]
    values = [each.exposure_ev for each in scenes if each is not None]
    if not values:
        raise EvenfallError("no option can be built, so there is none to be drawn")
    exposure_ev = (min(values) + max(values)) / 2
    return [
        None
        if place is None or each is None
        else picture(place, each.measured.light, exposure_ev=exposure_ev)
        for place, each in zip(scenes, lit, strict=True)
    ], exposure_ev


def _sheet(
    house: str,
    load: PlannedLoad,
    options: Sequence[Option],
    houses: Sequence[np.ndarray | None],
    exposure_ev: float,
    size_px: tuple[int, int],
) -> Image:
    from PIL import Image as pil
    from PIL import ImageDraw

    width, height = size_px
    rows = ceil(len(houses) / MOST_IN_A_ROW)
    in_a_row = ceil(len(houses) / rows)
    unit = max(width / 960, SMALLEST)  # everything is laid out for a house 960 pixels wide
    margin, gap, head, room = (round(unit * px) for px in (_MARGIN, _GAP, _HEAD, _ROOM))
    across = 2 * margin + in_a_row * width + (in_a_row - 1) * gap
    below = head + rows * (height + room)
    small, step = typeface(unit * 18), round(unit * 26)
    told = list(_folded(ImageDraw.Draw(pil.new("RGB", (1, 1))), " ".join(WIRING),
                        across - 2 * margin, small))  # fmt: skip
    sheet = pil.new("RGB", (across, below + len(told) * step + margin), GROUND)
    draw = ImageDraw.Draw(sheet)
    for row, line in enumerate(told):
        draw.text((margin, below + row * step), line, QUIET, small)
    title = f"{house}, planned with {count(len(options))} kinds of pixel"
    draw.text((margin, unit * 28), title, WARM, typeface(unit * 34, bold=True))
    said = f"for {load_in_words(load)}; each at its brightest, one exposure: EV {exposure_ev:.1f}"
    draw.text((margin, unit * 76), said, QUIET, typeface(unit * 24))
    for index, (seen, each) in enumerate(zip(houses, options, strict=True)):
        left = margin + index % in_a_row * (width + gap)
        top = head + index // in_a_row * (height + room)
        if seen is None:
            draw.rectangle((left, top, left + width - 1, top + height - 1), outline=LINE)
            middle = (left + width / 2, top + height / 2)
            draw.text(middle, "cannot be built", QUIET, typeface(unit * 26), anchor="mm")
        else:
            sheet.paste(pil.fromarray(seen), (left, top))
        _label(draw, each, (left, top + height), width, unit)
    return sheet


def _label(draw: ImageDraw, option: Option, at: tuple[int, int], width: int, unit: float) -> None:
    """Name and price on one line, figures below."""
    left, top = at
    bold = typeface(unit * 30, bold=True)
    draw.text((left, top + unit * 16), option.kind.name, WARM, bold)
    if option.built is not None:
        price = price_in_words(option)
        draw.text((left + width, top + unit * 16), price, WARM, bold, anchor="ra")
    font = typeface(unit * 24)
    lines = _figures(option) if option.built else [option.why]
    y = top + unit * 64
    for words in lines:
        for line in _folded(draw, words, width, font):
            if y > top + unit * (_ROOM - 24):
                return
            draw.text((left, y), line, WARM if option.built else QUIET, font)
            y += unit * 34


def _figures(option: Option) -> list[str]:
    built = option.built
    if built is None:
        return []
    seen, plan = built.measured, built.plan
    pixels = plan.house.present
    supplies = len(plan.house.supplies)
    boxes = f"{count(supplies)} {'supply' if supplies == 1 else 'supplies'}"
    feeds = f"{count(built.feeds)} feed{'s' * (built.feeds != 1)}"
    return [
        f"{feeds}   {boxes}"
        f"   {option.kind.supply_v:g} V   peak {amps(seen.peak_a)}   mean {number(seen.watts)} W"
        f"   {number(seen.kwh_year)} kWh a year",
        f"{count(pixels)} pixels   up to {number(seen.lumens_peak)} lm   "
        f"white {kelvin(seen.white.rendition.cct_k)}, Ra {ra_in_words(built)}",
        f"at most {number(seen.refresh_hz)} frames a second   repair: {option.repair.said}"
        f"{'   backup data line' if option.kind.backup_data else ''}",
    ]


def _folded(draw: ImageDraw, words: str, width: float, font: object) -> Iterator[str]:
    """The words in lines no wider than `width` [px], broken at spaces."""
    line = ""
    for word in words.split(" "):
        longer = f"{line} {word}" if line else word
        if line and draw.textlength(longer.rstrip(), font=font) > width:  # type: ignore[arg-type]
            yield line.rstrip()
            line = word
        else:
            line = longer
    if line.strip():
        yield line.rstrip()
