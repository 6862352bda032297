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

GROUND = (13, 17, 30)
WORDS = (232, 220, 200)


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

    `size_px` is that of one picture of the sheet before it is scaled to half. Raises EvenfallError
    without any scheme, KeyError for an hour that is not in `sim.light.HOURS`.
    """
    from PIL import Image, ImageDraw, ImageFont

    if not schemes:
        raise EvenfallError("a contact sheet needs a scheme; give one or more")
    night = scene(house, size_px, hour)
    columns = 1 if len(schemes) == 1 else 2 if len(schemes) <= 6 else 3
    rows = -(-len(schemes) // columns)
    width, height = size_px[0] // 2, size_px[1] // 2
    gap, foot = max(8, width // 40), max(20, width // 18)
    page = Image.new(
        "RGB",
        (columns * (width + gap) + gap, rows * (height + foot + gap) + gap),
        GROUND,
    )
    draw = ImageDraw.Draw(page)
    letters = ImageFont.load_default(foot * 0.62)
    for number, scheme in enumerate(schemes):
        light = frame(rig_for(house, scheme), bind(house, scheme), at_s).light
        image = Image.fromarray(picture(night, light, exposure_ev=exposure_ev))
        x = gap + (number % columns) * (width + gap)
        y = gap + (number // columns) * (height + foot + gap)
        page.paste(image.resize((width, height), Image.Resampling.LANCZOS), (x, y))
        draw.text((x, y + height + foot * 0.55), scheme.name, WORDS, letters, anchor="lm")
        if progress is not None:
            progress(number + 1, len(schemes))
    return Picture(np.asarray(page))
