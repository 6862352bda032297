"""The contact sheet: schemes of a house side by side on one picture."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from effects import Scheme, bind
from layouts.errors import EvenfallError
from layouts.records import House
from sim.frame import frame, rig_for, scene
from sim.light import USUAL_HOUR, picture
from sim.pictures import Picture
from sim.report.theme import GROUND, WARM, typeface

WIDTH = 1600  # of the sheet [px]
EM = 25  # its type [px]: legible where the sheet is shown half as wide


def contact_sheet(
    house: House,
    schemes: Sequence[Scheme],
    size_px: tuple[int, int] = (1280, 720),
    *,
    hour: str = USUAL_HOUR,
    at_s: float = 0.0,
    exposure_ev: float | None = None,
    progress: Callable[[float, float], None] | None = None,
) -> Picture:
    """Every scheme at `at_s` [s] on one picture, its name below, all at one exposure.

    The sheet is 1600 px wide; `size_px` is that of one picture before it is fitted in. Raises
    EvenfallError without any scheme, KeyError for an hour that is not in `sim.light.HOURS`.
    """
    from PIL import Image, ImageDraw

    if not schemes:
        raise EvenfallError("a contact sheet needs a scheme; give one or more")
    night = scene(house, size_px, hour)
    columns = 1 if len(schemes) == 1 else 2 if len(schemes) <= 6 else 3
    rows = -(-len(schemes) // columns)
    gap, foot = 20, round(1.9 * EM)
    width = (WIDTH - (columns + 1) * gap) // columns
    height = round(width * size_px[1] / size_px[0])
    page = Image.new("RGB", (WIDTH, rows * (height + foot + gap) + gap), GROUND)
    draw = ImageDraw.Draw(page)
    letters = typeface(EM)
    for number, scheme in enumerate(schemes):
        light = frame(rig_for(house, scheme), bind(house, scheme), at_s).light
        image = Image.fromarray(picture(night, light, exposure_ev=exposure_ev))
        x = gap + (number % columns) * (width + gap)
        y = gap + (number // columns) * (height + foot + gap)
        page.paste(image.resize((width, height), Image.Resampling.LANCZOS), (x, y))
        draw.text((x, y + height + foot * 0.5), scheme.name, WARM, letters, anchor="lm")
        if progress is not None:
            progress(number + 1, len(schemes))
    return Picture(np.asarray(page))
