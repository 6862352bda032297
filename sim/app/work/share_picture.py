"""The caption beneath a picture of the house: whose it is, and that it is computed."""

from __future__ import annotations

import numpy as np

from sim.report.theme import GROUND, QUIET, WARM, typeface

#: How tall the caption is [px of the picture].
CAPTION = 52
COMPUTED = "computed with Evenfall"


def captioned(image: np.ndarray, house: str, words: str) -> np.ndarray:
    """A picture (H, W, 3) uint8 with a band of `CAPTION` rows beneath it: (H + CAPTION, W, 3).

    The house's name stands first, then `words`; what has no room is cut.
    """
    from PIL import Image, ImageDraw

    height, width = image.shape[:2]
    page = Image.new("RGB", (width, height + CAPTION), GROUND)
    page.paste(Image.fromarray(image), (0, 0))
    draw = ImageDraw.Draw(page)
    bold, plain, small = typeface(19, bold=True), typeface(19), typeface(14)
    middle, pad = height + CAPTION / 2, 28
    right = width - pad
    room = right - draw.textlength(COMPUTED, small) - pad
    if room > width / 2:
        draw.text((right, middle), COMPUTED, QUIET, small, anchor="rm")
        right = room
    x: float = pad
    for text, letters, colour in ((house, bold, WARM), (words, plain, QUIET)):
        shown = text
        while shown and draw.textlength(shown, letters) > right - x:
            shown = shown[:-2].rstrip() + "…" if len(shown) > 2 else ""
        draw.text((x, middle), shown, colour, letters, anchor="lm")
        x += draw.textlength(shown, letters) + 18
    return np.asarray(page)
