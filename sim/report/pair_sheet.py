"""Two pictures side by side with their words below: before and after, sound and broken."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

import numpy as np

from sim.report.theme import GROUND, QUIET, WARM, fitted, typeface


def pair_sheet(halves: Sequence[np.ndarray], words: Sequence[str], same: str = "") -> bytes:
    """PNG of two pictures (H, W, 3) uint8, each over its words; `same` is said of both."""
    from PIL import Image, ImageDraw

    height, width = halves[0].shape[:2]
    gap, foot = max(4, width // 60), max(28, width // 20)
    sheet = Image.new("RGB", (2 * width + gap, height + foot), GROUND)
    draw = ImageDraw.Draw(sheet)
    letters, small = typeface(foot * 0.45), typeface(foot * 0.4)
    wide = draw.textlength(same, small)
    for number, (half, said) in enumerate(zip(halves, words, strict=True)):
        left = number * (width + gap)
        sheet.paste(Image.fromarray(half), (left, 0))
        room = width - 2 * gap - (wide + gap if same and number else 0)
        below = (left + gap, height + foot // 4)
        draw.text(below, fitted(said, letters, room), WARM, letters)
    draw.text((2 * width + gap - wide - gap, height + foot // 4), same, QUIET, small)
    stream = BytesIO()
    sheet.save(stream, format="PNG")
    return stream.getvalue()
