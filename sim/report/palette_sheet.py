"""A picture of palettes: the colours themselves, and the ring that effects run through."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from itertools import pairwise
from math import ceil

import numpy as np

from effects import Palette
from sim.report.theme import GROUND, QUIET, WARM, typeface

COLUMN, ROW, GAP = 560, 92, 40  # in a picture drawn at scale 1
BAND, STRIP = 26, 10  # heights of the colours and of the ring below them


def palette_sheet_png(palettes: Sequence[Palette], *, columns: int = 3, scale: float = 2) -> bytes:
    """PNG of every palette: name, occasion, its colours as bands, below them the closed ring."""
    from PIL import Image, ImageDraw

    per_column = max(1, ceil(len(palettes) / columns))
    columns = ceil(len(palettes) / per_column)

    def px(length: float) -> int:
        return round(length * scale)

    page = Image.new(
        "RGB", (px(columns * (COLUMN + GAP) + GAP), px(per_column * ROW + 2 * GAP)), GROUND
    )
    draw = ImageDraw.Draw(page)
    name_font, occasion_font = typeface(px(17), bold=True), typeface(px(13))
    for number, palette in enumerate(palettes):
        x = GAP + (number // per_column) * (COLUMN + GAP)
        y = GAP + (number % per_column) * ROW
        draw.text((px(x), px(y + 16)), palette.name, WARM, name_font, anchor="ls")
        draw.text((px(x + COLUMN), px(y + 16)), palette.occasion, QUIET, occasion_font, anchor="rs")
        top = px(y + 26)
        edges = np.linspace(px(x), px(x + COLUMN), len(palette.colours) + 1).round().astype(int)
        for (left, right), code in zip(pairwise(edges.tolist()), palette.codes, strict=True):
            draw.rectangle((left, top, right - 1, top + px(BAND) - 1), tuple(code.tolist()))
        strip = Image.fromarray(_strip(palette, px(COLUMN))).resize((px(COLUMN), px(STRIP)))
        page.paste(strip, (px(x), top + px(BAND + 4)))
    stream = BytesIO()
    page.save(stream, "PNG")
    return stream.getvalue()


def _strip(palette: Palette, width: int) -> np.ndarray:
    """(1, width, 3) uint8: once round the ring, each colour in the middle of its band."""
    from effects.colour_spaces import encoded
    from effects.palette import STEPS, ring

    table = ring(palette.colours, "matched")[:, :3]
    position = np.linspace(0, len(palette.colours), width, endpoint=False) - 0.5
    rgb = np.maximum(table[np.rint(position * STEPS).astype(int) % len(table)], 0)
    rgb = rgb / np.maximum(rgb.max(axis=1, keepdims=True), 1)
    return np.rint(encoded(rgb) * 255).astype(np.uint8)[None]
